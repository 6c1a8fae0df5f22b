drop table suppliers;
