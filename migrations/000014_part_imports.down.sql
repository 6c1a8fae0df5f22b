drop table part_import_rows;
drop table part_imports;
