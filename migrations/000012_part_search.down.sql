drop index stock_bin_id_idx;
drop index parts_listed;
alter table parts drop column numbers_said;
