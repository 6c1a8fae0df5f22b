alter table stock_movements drop constraint stock_movements_arrival_id_fkey;
drop table arrivals;
drop table stock_movements;
drop table stock;
drop function stock_follow();
drop table parts;
drop table bins;
