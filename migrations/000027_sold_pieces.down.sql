alter table donor_sales drop column movement_id;
alter table stock_movements drop constraint stock_movements_kind_check;
alter table stock_movements add constraint stock_movements_kind_check
  check (kind in ('bought', 'received', 'taken off', 'used', 'moved', 'counted', 'scrapped', 'sent back', 'reversed')) not valid;
