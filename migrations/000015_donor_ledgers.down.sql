drop table donor_sales;
drop table donor_ledgers;
alter table donor_parts drop column worth;
alter table donor_parts drop column removal_minutes;
