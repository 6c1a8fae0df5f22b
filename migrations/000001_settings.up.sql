-- One owner, one garage.
create table settings (
  single boolean primary key default true check (single),
  version bigint not null default 1,
  name text not null default '' check (length(name) <= 200),
  zone text not null default 'UTC',
  currency text not null default 'EUR' check (currency ~ '^[A-Z]{3}$'),
  distance_unit text not null default 'km' check (distance_unit in ('km', 'mi')),
  torque_unit text not null default 'Nm' check (torque_unit in ('Nm', 'lbf ft')),
  -- the confidence, in per cent, with which an arrival must be there by its planned date
  confidence integer not null default 80 check (confidence between 50 and 99),
  change_car_minutes integer not null default 20 check (change_car_minutes between 0 and 1440),
  lifts integer not null default 1 check (lifts between 0 and 9)
);
insert into settings default values;

create table account (
  single boolean primary key default true check (single),
  password_hash text not null,
  claimed_at timestamptz not null default now()
);

-- The code printed at start that lets the owner claim an unclaimed garage.
create table claim_codes (
  code_hash bytea primary key check (length(code_hash) = 32),
  expires_at timestamptz not null
);

create table signins (
  token_hash bytea primary key check (length(token_hash) = 32),
  created_at timestamptz not null default now(),
  seen_at timestamptz not null default now(),
  agent text not null default '',
  address text not null default ''
);

-- Rows of record: they are reversed by a further row, never changed.
create function append_only() returns trigger language plpgsql as $$
begin
  raise exception 'rows of % are never changed: add one that reverses', tg_table_name
    using errcode = 'integrity_constraint_violation', constraint = tg_table_name || '_append_only';
end $$;
