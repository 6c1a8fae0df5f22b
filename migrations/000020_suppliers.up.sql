-- Who sells parts. Parts, arrivals and deposits name a supplier by its name, whether or not more is known of it.
create table suppliers (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  name text not null constraint suppliers_name_present check (name <> ''),
  -- days from an order until it is here, as the owner expects it; null: not said
  lead_low integer,
  lead_likely integer,
  lead_high integer,
  currency text not null check (currency ~ '^[A-Z]{3}$'),
  -- what shipping usually costs, in minor units; null: not said
  shipping bigint check (shipping >= 0),
  -- how long something can go back, in days from its arrival; null: not said
  return_days integer constraint suppliers_return_range check (return_days between 0 and 3653),
  -- how long the old unit of a core deposit can go back, and from which day
  core_n integer constraint suppliers_core_range check (core_n between 0 and 3653),
  core_count text not null default 'days' check (core_count in ('days', 'business days', 'months')),
  core_basis text not null default 'delivery' check (core_basis in ('purchase', 'ship', 'delivery', 'invoice')),
  notes text not null default '',
  deleted_at timestamptz,
  constraint suppliers_lead_order check (0 <= lead_low and lead_low <= lead_likely and lead_likely <= lead_high and lead_high <= 3650),
  constraint suppliers_lead_whole check (num_nulls(lead_low, lead_likely, lead_high) in (0, 3))
);
create unique index suppliers_name_unique on suppliers (lower(name)) where deleted_at is null;
insert into suppliers (name, currency)
  select distinct on (lower(btrim(supplier))) btrim(supplier), (select currency from settings)
  from (select supplier from parts where deleted_at is null
    union select supplier from arrivals where deleted_at is null
    union select supplier from cores where deleted_at is null) named
  where btrim(supplier) <> '' order by lower(btrim(supplier)), supplier;
create trigger garage_changed after insert or update or delete or truncate on suppliers
  for each statement execute function garage_changed();
