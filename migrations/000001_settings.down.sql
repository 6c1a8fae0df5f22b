drop function append_only();
drop table signins;
drop table claim_codes;
drop table account;
drop table settings;
