-- What was ordered of a supplier. Amounts are minor units of its currency, the rate how many of the garage's one of it is, in
-- thousandths of a millionth.
create table orders (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  supplier_id bigint not null references suppliers,
  number text not null default '',
  ordered_on date not null,
  -- null: no day was promised
  promised_on date,
  currency text not null check (currency ~ '^[A-Z]{3}$'),
  home text not null check (home ~ '^[A-Z]{3}$'),
  rate bigint not null constraint orders_rate_positive check (rate > 0),
  shipping bigint not null default 0 check (shipping >= 0),
  duty bigint not null default 0 check (duty >= 0),
  tax bigint not null default 0 check (tax >= 0),
  handling bigint not null default 0 check (handling >= 0),
  -- all that was paid, deposits included; null: as it adds up
  paid bigint check (paid >= 0),
  return_days integer check (return_days between 0 and 3653),
  notes text not null default '',
  deleted_at timestamptz,
  constraint orders_promised_order check (promised_on >= ordered_on),
  constraint orders_rate_at_home check (currency <> home or rate = 1000000000)
);
create index on orders (supplier_id);

create table order_lines (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  order_id bigint not null references orders,
  part_id bigint not null references parts,
  quantity integer not null check (quantity > 0),
  -- of one, or of 1,000 of what is measured
  price bigint not null check (price >= 0),
  per integer not null check (per in (1, 1000)),
  -- the core deposit of each piece
  deposit bigint not null default 0 check (deposit >= 0),
  -- of the quantity, what will not come after all
  cancelled integer not null default 0,
  note text not null default '',
  deleted_at timestamptz,
  constraint order_lines_cancelled_range check (cancelled between 0 and quantity)
);
create index on order_lines (order_id);
create index on order_lines (part_id);

-- Pieces that go back, and what came of it.
create table order_returns (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  order_line_id bigint not null references order_lines,
  arrival_id bigint not null references arrivals,
  movement_id bigint not null unique references stock_movements,
  quantity integer not null check (quantity > 0),
  why text not null check (why in ('wrong', 'damaged', 'not needed')),
  -- the last day on which it can be sent; null: not agreed
  last_day date,
  sent_on date,
  tracking text not null default '',
  -- what was paid back, in the order's currency
  refunded bigint not null default 0 check (refunded >= 0),
  refunded_on date,
  note text not null default '',
  deleted_at timestamptz
);
create index on order_returns (order_line_id);

alter table arrivals
  add column order_id bigint references orders,
  add column order_line_id bigint references order_lines,
  add column promised_on date,
  -- its dates follow the promise and how the supplier keeps those
  add column estimated boolean not null default false,
  -- it comes in place of what went back
  add column return_id bigint references order_returns,
  add constraint arrivals_order_whole check (num_nulls(order_id, order_line_id) in (0, 2));
create index on arrivals (order_line_id);
alter table cores add column order_line_id bigint references order_lines;
create index on cores (order_line_id);
alter table photo_uses add column order_id bigint references orders;
alter table photo_uses drop constraint photo_uses_one_thing;
alter table photo_uses add constraint photo_uses_one_thing
  check (num_nonnulls(step_id, job_id, car_id, part_id, arrival_id, order_id) = 1);
create index on photo_uses (order_id);
alter table stock_movements drop constraint stock_movements_kind_check;
alter table stock_movements add constraint stock_movements_kind_check
  check (kind in ('bought', 'received', 'taken off', 'used', 'moved', 'counted', 'scrapped', 'sent back', 'reversed'));

-- What pieces that came have cost when they are in the bin, in the garage's currency. It is never changed: when a bill comes
-- later, the difference is added.
create table order_costs (
  id bigint generated always as identity primary key,
  order_line_id bigint not null references order_lines,
  movement_id bigint not null references stock_movements,
  amount bigint not null check (amount <> 0),
  currency text not null check (currency ~ '^[A-Z]{3}$'),
  created_at timestamptz not null default now()
);
create index on order_costs (order_line_id);
create trigger order_costs_append_only before update or delete on order_costs
  for each row execute function append_only();

-- What of a line is not cancelled either came or is expected, once: when a transaction ends. Each of its pieces with a deposit has
-- one core, of that deposit.
create function order_line_covered() returns trigger language plpgsql as $$
declare
  line bigint := case tg_table_name when 'order_lines' then (to_jsonb(new) ->> 'id')::bigint else (to_jsonb(new) ->> 'order_line_id')::bigint end;
begin
  if exists (
    select from order_lines l join orders o on o.id = l.order_id
    cross join lateral (select case when l.deleted_at is null and o.deleted_at is null then l.quantity - l.cancelled else 0 end as wanted) w
    where l.id = line and (
      w.wanted <> (select coalesce(sum(a.quantity), 0) from arrivals a
        where a.order_line_id = l.id and a.deleted_at is null and a.return_id is null)
      or case when l.deposit > 0 then w.wanted else 0 end <> (select count(*) from cores c
        where c.order_line_id = l.id and c.deleted_at is null and c.deposit = l.deposit and c.currency = o.currency)
      or exists (select from cores c where c.order_line_id = l.id and c.deleted_at is null and c.deposit <> l.deposit))) then
    raise exception 'line % of an order: what is expected, or its deposits, do not add up', line
      using errcode = 'check_violation', constraint = 'order_lines_covered';
  end if;
  return null;
end $$;
create constraint trigger order_lines_covered after insert or update on order_lines
  deferrable initially deferred for each row execute function order_line_covered();
create constraint trigger arrivals_cover after insert or update on arrivals
  deferrable initially deferred for each row when (new.order_line_id is not null) execute function order_line_covered();

-- The deposit of a core that came with an order is changed in the order, where the others of its line are.
create function core_of_order() returns trigger language plpgsql as $$
begin
  if exists (
    select from order_lines l join orders o on o.id = l.order_id
    where l.id = new.order_line_id and (
      l.deposit <> new.deposit and new.deleted_at is null
      or l.deleted_at is null and o.deleted_at is null and new.deleted_at is not null and old.deleted_at is null
        and l.deposit > 0 and (select count(*) from cores c where c.order_line_id = l.id and c.deleted_at is null) < l.quantity - l.cancelled)) then
    raise exception 'core % came with an order', new.id using errcode = 'check_violation', constraint = 'cores_of_order';
  end if;
  return null;
end $$;
create trigger core_of_order after update on cores
  for each row when (new.order_line_id is not null) execute function core_of_order();

create trigger garage_changed after insert or update or delete or truncate on order_lines
  for each statement execute function garage_changed();
