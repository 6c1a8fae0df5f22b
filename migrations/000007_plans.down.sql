alter table settings drop column estimates;
alter table stages drop column actual_minutes;
drop table plans;
drop function garage_changed() cascade;
drop table garage_changes;
