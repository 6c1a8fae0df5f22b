create table bins (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  name text not null constraint bins_name_present check (name <> ''),
  place text not null default '',
  deleted_at timestamptz
);
create unique index bins_name_unique on bins (lower(name)) where deleted_at is null;

create table parts (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  name text not null constraint parts_name_present check (name <> ''),
  number text not null default '',
  other_numbers text not null default '',
  side text not null default '' check (side in ('', 'left', 'right')),
  grade text not null default '' check (grade in ('', 'maker', 'supplier to the maker', 'aftermarket', 'refurbished', 'used', 'made here')),
  unit text not null default 'piece' check (unit in ('piece', 'ml', 'g', 'cm', 'set')),
  supplier text not null default '',
  -- price of one unit (of 1,000 for ml and g), in minor units
  price bigint not null default 0 check (price >= 0),
  currency text not null default 'EUR' check (currency ~ '^[A-Z]{3}$'),
  -- working from an order made now; null: not to be had by ordering
  lead_low integer,
  lead_likely integer,
  lead_high integer,
  notes text not null default '',
  deleted_at timestamptz,
  constraint parts_lead_order check (0 <= lead_low and lead_low <= lead_likely and lead_likely <= lead_high and lead_high <= 3650),
  constraint parts_lead_whole check (num_nulls(lead_low, lead_likely, lead_high) in (0, 3))
);

create table stock_movements (
  id bigint generated always as identity primary key,
  part_id bigint not null references parts,
  bin_id bigint not null references bins,
  quantity integer not null check (quantity <> 0),
  kind text not null check (kind in ('bought', 'received', 'taken off', 'used', 'moved', 'counted', 'scrapped', 'reversed')),
  note text not null default '',
  job_id bigint,
  arrival_id bigint,
  reverses bigint unique references stock_movements,
  created_at timestamptz not null default now()
);
create index on stock_movements (part_id);
create trigger stock_movements_append_only before update or delete on stock_movements
  for each row execute function append_only();

-- The sum of the movements, kept by the database itself, never below zero.
create table stock (
  part_id bigint not null references parts,
  bin_id bigint not null references bins,
  quantity integer not null constraint stock_never_negative check (quantity >= 0),
  primary key (part_id, bin_id)
);
create function stock_follow() returns trigger language plpgsql as $$
begin
  insert into stock (part_id, bin_id, quantity) values (new.part_id, new.bin_id, 0) on conflict do nothing;
  update stock set quantity = quantity + new.quantity where part_id = new.part_id and bin_id = new.bin_id;
  return new;
end $$;
create trigger stock_movements_follow before insert on stock_movements
  for each row execute function stock_follow();

create table arrivals (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  part_id bigint not null references parts,
  quantity integer not null check (quantity > 0),
  low date not null,
  likely date not null,
  high date not null,
  supplier text not null default '',
  note text not null default '',
  received_at timestamptz,
  deleted_at timestamptz,
  constraint arrivals_order check (low <= likely and likely <= high)
);
create index on arrivals (part_id);
alter table stock_movements add foreign key (arrival_id) references arrivals;
