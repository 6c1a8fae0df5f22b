drop table order_import_parts, order_imports;
