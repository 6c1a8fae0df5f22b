-- Counts what is changed in the tables that a plan depends on, so that a plan made before can be told from one that still
-- holds. Each connection counts in a row of its own: one row for all would make every change wait for the one before it to
-- be committed, and two that wait for each other fail. What is seen of the sum only ever grows, by each change committed.
create table garage_changes (
  backend integer primary key,
  changes bigint not null
);
create function garage_changed() returns trigger language plpgsql as $$
begin
  insert into garage_changes (backend, changes) values (pg_backend_pid(), 1)
  on conflict (backend) do update set changes = garage_changes.changes + 1;
  return null;
end $$;
-- A new table that a plan depends on gets this trigger too.
do $$
declare planned text;
begin
  foreach planned in array array[
    'settings', 'session_patterns', 'session_exceptions', 'tools', 'cars', 'road_needs', 'access', 'access_inside',
    'closing_work', 'phases', 'jobs', 'job_after', 'stages', 'stage_tools', 'stage_access', 'stage_closing', 'needs',
    'bins', 'parts', 'stock', 'arrivals', 'donor_parts'] loop
    execute format('create trigger garage_changed after insert or update or delete or truncate on %I
      for each statement execute function garage_changed()', planned);
  end loop;
end $$;

-- The plan as it was last made, and the last one before it that was different. One row.
create table plans (
  the_one boolean primary key default true check (the_one),
  garage_version bigint not null,
  current jsonb not null,
  before jsonb
);

-- How long a stage at the bench took, where the owner said.
alter table stages add column actual_minutes integer
  constraint stages_actual_range check (actual_minutes between 1 and 525600);
-- Whether plans take the owner's estimates as they were written or as they turn out.
alter table settings add column estimates text not null default 'turn out' check (estimates in ('written', 'turn out'));
