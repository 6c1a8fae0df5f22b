-- A core deposit for one unit, with the terms as agreed. Amounts are minor units, tax in millionths.
create table cores (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  part_id bigint not null references parts,
  job_id bigint references jobs,
  supplier text not null constraint cores_supplier_present check (supplier <> ''),
  order_number text not null default '',
  currency text not null check (currency ~ '^[A-Z]{3}$'),
  deposit bigint not null check (deposit > 0),
  tax bigint not null default 0 check (tax >= 0),
  window_n integer not null check (window_n between 0 and 3653),
  window_count text not null check (window_count in ('days', 'business days', 'months')),
  basis text not null check (basis in ('purchase', 'ship', 'delivery', 'invoice')),
  -- null: that day has not come
  basis_on date,
  box boolean not null default false,
  drained boolean not null default false,
  complete boolean not null default false,
  freight_by_buyer boolean not null default false,
  -- null: when the refund is due was not agreed
  refund_n integer check (refund_n between 0 and 3653),
  refund_count text not null default 'days' check (refund_count in ('days', 'business days', 'months')),
  return_to text not null default '',
  return_number text not null default '',
  note text not null default '',
  -- what the events come to
  state text not null default 'owed' check (state in ('owed', 'removed from the car', 'boxed', 'sent', 'received', 'accepted', 'rejected', 'refunded', 'forfeited')),
  paid bigint not null check (paid >= deposit),
  refunded bigint not null default 0 check (refunded >= 0),
  forfeited bigint not null default 0 check (forfeited >= 0),
  outstanding bigint not null check (outstanding >= 0),
  deleted_at timestamptz,
  constraint cores_money_conserved check (paid = refunded + forfeited + outstanding),
  constraint cores_ended check ((outstanding = 0) = (state in ('refunded', 'forfeited')))
);
create index on cores (part_id);
create index on cores (job_id);
create trigger garage_changed after insert or update or delete or truncate on cores
  for each statement execute function garage_changed();

create table core_events (
  id bigint generated always as identity primary key,
  core_id bigint not null references cores,
  -- empty for one that reverses another
  state text not null check (state in ('', 'removed from the car', 'boxed', 'sent', 'received', 'accepted', 'rejected', 'refunded', 'forfeited')),
  happened_on date not null,
  amount bigint not null default 0 check (amount >= 0),
  freight bigint not null default 0 check (freight >= 0),
  tracking text not null default '',
  reason text not null default '',
  reverses bigint unique references core_events,
  constraint core_events_reversal check ((state = '') = (reverses is not null))
);
create index on core_events (core_id);
create trigger core_events_append_only before update or delete on core_events
  for each row execute function append_only();

-- What a core says was refunded is the sum of its refunds that stand, when a transaction ends.
create function core_refunds_noted() returns trigger language plpgsql as $$
declare
  core bigint := case tg_table_name when 'cores' then (to_jsonb(new) ->> 'id')::bigint else (to_jsonb(new) ->> 'core_id')::bigint end;
begin
  if exists (select from cores c where c.id = core and c.refunded <> (
      select coalesce(sum(e.amount), 0) from core_events e
      where e.core_id = core and e.state = 'refunded' and not exists (select from core_events r where r.reverses = e.id))) then
    raise exception 'core %: what was refunded is not what the events say', core
      using errcode = 'check_violation', constraint = 'cores_refunds_noted';
  end if;
  return null;
end $$;
create constraint trigger cores_refunds_noted after insert or update on cores
  deferrable initially deferred for each row execute function core_refunds_noted();
create constraint trigger core_events_refunds_noted after insert on core_events
  deferrable initially deferred for each row execute function core_refunds_noted();
