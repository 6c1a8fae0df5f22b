drop table job_kits;
alter table needs drop column pinned_at;
alter table needs drop column single_use;
alter table needs drop column least_grade;
alter table needs drop column side;
create or replace function stock_follow() returns trigger language plpgsql as $$
begin
  insert into stock (part_id, bin_id, quantity) values (new.part_id, new.bin_id, 0) on conflict do nothing;
  update stock set quantity = quantity + new.quantity where part_id = new.part_id and bin_id = new.bin_id;
  return new;
end $$;
drop index stock_place;
-- what lies together is one row again
alter table stock drop constraint stock_never_negative;
create temporary table lies on commit drop as select part_id, bin_id, sum(quantity)::integer as quantity from stock group by part_id, bin_id;
truncate stock;
alter table stock drop column lot_id;
insert into stock (part_id, bin_id, quantity) select part_id, bin_id, quantity from lies;
alter table stock add constraint stock_never_negative check (quantity >= 0);
alter table stock add primary key (part_id, bin_id);
alter table stock_movements drop column lot_id;
drop table lots;
