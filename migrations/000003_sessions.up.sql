create table session_patterns (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  weekday integer not null check (weekday between 1 and 7),
  from_minute integer not null check (from_minute between 0 and 1439),
  to_minute integer not null check (to_minute between 1 and 1440),
  helpers integer not null default 0 check (helpers between 0 and 9),
  constraint session_patterns_order check (from_minute < to_minute)
);
-- A date with exceptions follows them alone: off, or the sessions listed.
create table session_exceptions (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  on_date date not null,
  off boolean not null default false,
  from_minute integer not null default 0 check (from_minute between 0 and 1439),
  to_minute integer not null default 0 check (to_minute between 0 and 1440),
  helpers integer not null default 0 check (helpers between 0 and 9),
  note text not null default '',
  constraint session_exceptions_order check (off or from_minute < to_minute)
);
create index on session_exceptions (on_date);

create table tools (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  name text not null constraint tools_name_present check (name <> ''),
  capacity integer not null default 1 check (capacity between 1 and 99),
  -- a borrowed tool is here only from the one day to the other, both included
  here_from date,
  here_to date,
  note text not null default '',
  deleted_at timestamptz,
  constraint tools_here_order check (here_from <= here_to)
);
