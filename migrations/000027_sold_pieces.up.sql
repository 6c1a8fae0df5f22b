-- A piece of a donor that is sold leaves the shelf with the sale.
alter table stock_movements drop constraint stock_movements_kind_check;
alter table stock_movements add constraint stock_movements_kind_check
  check (kind in ('bought', 'received', 'taken off', 'used', 'moved', 'counted', 'scrapped', 'sent back', 'sold', 'reversed'));
alter table donor_sales add column movement_id bigint references stock_movements;
