drop table part_fits;
alter table parts drop column said;
alter table parts drop column variant;
drop table part_twins;
drop trigger part_numbers_follow on parts;
drop function part_numbers_follow();
drop function part_numbers_of(text, text);
drop table part_numbers;
drop function normal_number(text);
