-- What sets some pieces of a part apart from others of it: pieces that lie together with the same of this are one row of stock.
-- A lot is never changed: pieces of which something else is found out are moved into another one.
create table lots (
  id bigint generated always as identity primary key,
  part_id bigint not null references parts,
  condition text not null default '' constraint lots_condition_known check (condition in ('', 'new', 'good', 'worn', 'bad')),
  -- empty: that of the part
  grade text not null default ''
    check (grade in ('', 'maker', 'supplier to the maker', 'aftermarket', 'refurbished', 'used', 'made here')),
  checked_on date,
  checked_car_id bigint references cars,
  opened_on date,
  keeps_months integer constraint lots_keeps_range check (keeps_months between 1 and 600),
  donor_part_id bigint references donor_parts,
  note text not null default '',
  constraint lots_checked_whole check (num_nulls(checked_on, checked_car_id) in (0, 2))
);
create index on lots (part_id);
alter table stock_movements add column lot_id bigint references lots;
alter table stock add column lot_id bigint references lots;
alter table stock drop constraint stock_pkey;
create unique index stock_place on stock (part_id, bin_id, coalesce(lot_id, 0));
create or replace function stock_follow() returns trigger language plpgsql as $$
begin
  insert into stock (part_id, bin_id, lot_id, quantity) values (new.part_id, new.bin_id, new.lot_id, 0)
    on conflict (part_id, bin_id, coalesce(lot_id, 0)) do nothing;
  update stock set quantity = quantity + new.quantity
    where part_id = new.part_id and bin_id = new.bin_id and lot_id is not distinct from new.lot_id;
  return new;
end $$;

alter table needs add column side text not null default '' constraint needs_side_known check (side in ('', 'left', 'right', 'both'));
-- the least grade that will do; empty: any
alter table needs add column least_grade text not null default ''
  check (least_grade in ('', 'maker', 'supplier to the maker', 'aftermarket', 'refurbished', 'used', 'made here'));
alter table needs add column single_use boolean not null default false;
-- since when pieces on hand are kept for it, whatever the plan would rather
alter table needs add column pinned_at timestamptz;

-- The box in which what a job needs is gathered. It is a bin: stock lies in it.
create table job_kits (
  job_id bigint primary key references jobs,
  bin_id bigint not null references bins
);
create trigger garage_changed after insert or update or delete or truncate on lots
  for each statement execute function garage_changed();
