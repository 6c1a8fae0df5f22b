drop trigger core_of_order on cores;
drop trigger arrivals_cover on arrivals;
drop trigger order_lines_covered on order_lines;
drop function core_of_order(), order_line_covered();
drop table order_costs;
alter table stock_movements drop constraint stock_movements_kind_check;
alter table stock_movements add constraint stock_movements_kind_check
  check (kind in ('bought', 'received', 'taken off', 'used', 'moved', 'counted', 'scrapped', 'reversed')) not valid;
delete from photo_uses where order_id is not null;
alter table photo_uses drop constraint photo_uses_one_thing;
alter table photo_uses drop column order_id;
alter table photo_uses add constraint photo_uses_one_thing
  check (num_nonnulls(step_id, job_id, car_id, part_id, arrival_id) = 1);
alter table cores drop column order_line_id;
alter table arrivals
  drop column order_id,
  drop column order_line_id,
  drop column promised_on,
  drop column estimated,
  drop column return_id;
drop table order_returns, order_lines, orders;
