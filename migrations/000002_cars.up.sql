create table cars (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  name text not null constraint cars_name_present check (name <> ''),
  role text not null check (role in ('project', 'daily', 'donor')),
  make text not null default '',
  model text not null default '',
  year integer constraint cars_year_range check (year between 1885 and 2100),
  vin text not null default '',
  plate text not null default '',
  engine text not null default '',
  stands text not null default 'outside' check (stands in ('lift', 'inside', 'outside', 'not here')),
  immobile boolean not null default false,
  -- when a car that is not here arrives
  arrives_low date,
  arrives_likely date,
  arrives_high date,
  notes text not null default '',
  deleted_at timestamptz,
  constraint cars_arrival_order check (arrives_low <= arrives_likely and arrives_likely <= arrives_high),
  constraint cars_arrival_whole check (num_nulls(arrives_low, arrives_likely, arrives_high) in (0, 3))
);

-- A stretch of one odometer: a swapped cluster or a rolled-over counter starts a new one.
create table odometer_segments (
  id bigint generated always as identity primary key,
  car_id bigint not null references cars,
  number integer not null check (number >= 1),
  unit text not null check (unit in ('km', 'mi')),
  -- what the car had run, in metres, when this odometer showed zero; negative for a used cluster
  offset_m bigint not null default 0,
  reason text not null check (reason in ('first', 'cluster swapped', 'rolled over')),
  unique (car_id, number)
);
create table odometer_readings (
  id bigint generated always as identity primary key,
  segment_id bigint not null references odometer_segments,
  read_on date not null,
  shown integer not null check (shown >= 0),
  note text not null default '',
  reverses bigint unique references odometer_readings,
  created_at timestamptz not null default now()
);
create index on odometer_readings (segment_id);
create trigger odometer_readings_append_only before update or delete on odometer_readings
  for each row execute function append_only();

-- Spans in which a car must be whole: one-off (starts_at, ends_at) or on weekdays (1 Monday to 7 Sunday).
create table road_needs (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  why text not null default '',
  starts_at timestamptz,
  ends_at timestamptz,
  weekdays integer[] not null default '{}' check (weekdays <@ '{1,2,3,4,5,6,7}'),
  from_minute integer not null default 0 check (from_minute between 0 and 1440),
  to_minute integer not null default 0 check (to_minute between 0 and 1440),
  deleted_at timestamptz,
  constraint road_needs_kind check (
    (starts_at is not null and ends_at is not null and starts_at < ends_at and weekdays = '{}')
    or (starts_at is null and ends_at is null and weekdays <> '{}' and from_minute < to_minute))
);
create index on road_needs (car_id);

-- Something opened or taken off to reach the work.
create table access (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  name text not null constraint access_name_present check (name <> ''),
  open_minutes integer not null default 0 check (open_minutes between 0 and 10000),
  close_minutes integer not null default 0 check (close_minutes between 0 and 10000),
  -- may stay open while another car is on the lift
  stays boolean not null default false,
  -- is open now
  is_open boolean not null default false,
  deleted_at timestamptz
);
create index on access (car_id);
-- access_id lies inside inside_id, which must be open first
create table access_inside (
  access_id bigint not null references access,
  inside_id bigint not null references access,
  primary key (access_id, inside_id),
  constraint access_inside_other check (access_id <> inside_id)
);

-- Done once at the end of a visit for all jobs that call for it.
create table closing_work (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  name text not null constraint closing_work_name_present check (name <> ''),
  minutes integer not null default 0 check (minutes between 0 and 10000),
  helpers integer not null default 0 check (helpers between 0 and 9),
  deleted_at timestamptz
);
create index on closing_work (car_id);
