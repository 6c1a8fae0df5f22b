-- A step is one action inside a stage at the bench, with its figure as printed at the point of use.
create table steps (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  stage_id bigint not null references stages,
  position integer not null,
  kind text not null default 'do'
    constraint steps_kind_known check (kind in ('do', 'torque', 'fluid', 'measure', 'wait', 'check', 'photo', 'remove')),
  text text not null constraint steps_text_present check (text <> ''),
  side text not null default '' constraint steps_side_known check (side in ('', 'left', 'right')),
  figure text not null default '',
  -- what may be measured
  limit_low double precision,
  limit_high double precision,
  limit_unit text not null default '',
  condition text not null default '' constraint steps_condition_known check (condition in ('', 'dry', 'oiled', 'locked')),
  source text not null default '',
  page text not null default '',
  torque_spec_id bigint references torque_specs,
  fluid_spec_id bigint references fluid_specs,
  -- what comes off and is used once, or goes on
  part_id bigint references parts,
  quantity integer not null default 0 constraint steps_quantity_range check (quantity between 0 and 1000000),
  -- topics of cautions, and the owner's own
  cautions text[] not null default '{}',
  caution_own text not null default '',
  critical boolean not null default false,
  pause_after text not null default '',
  -- the wrench and extension that the owner chose for it
  wrench_id bigint references wrenches,
  extension text not null default '',
  extension_angle text not null default '',
  -- of the card, in which it was made or last changed
  revision integer not null default 1,
  changed text not null default '' constraint steps_changed_known check (changed in ('', 'new', 'changed', 'moved', 'gone')),
  deleted_at timestamptz,
  constraint steps_limits_order check (limit_low <= limit_high),
  constraint steps_page_of_source check (source <> '' or page = '')
);
create index on steps (stage_id);
create index on steps (part_id);
create index on steps (torque_spec_id);
create index on steps (fluid_spec_id);

alter table jobs
  add column card_revision integer not null default 1,
  -- the first mark
  add column card_in_use_at timestamptz,
  -- what must be seen before the rounds end; empty: done once
  add column repeat_until text not null default '';

-- Single-use fasteners that a step takes off.
alter table needs add column step_id bigint references steps;
create index on needs (step_id);

-- What was done at the steps. A step stands as its last mark says that is not reversed.
create table step_marks (
  id bigint generated always as identity primary key,
  step_id bigint not null references steps,
  job_id bigint not null references jobs,
  kind text not null constraint step_marks_kind_known check (kind in ('done', 'no wrench', 'started', 'second look', 'undone')),
  value text not null default '',
  wrench_id bigint references wrenches,
  note text not null default '',
  revision integer not null,
  -- when it happened, and when it came here
  at timestamptz not null,
  recorded_at timestamptz not null default now(),
  by_link bigint,
  reverses bigint unique references step_marks,
  -- of the request that made it, so that who knows no id can undo it
  key text unique,
  constraint step_marks_undone_reverses check ((kind = 'undone') = (reverses is not null))
);
create index on step_marks (job_id, step_id);
create index on step_marks (step_id);
create trigger step_marks_append_only before update or delete on step_marks
  for each row execute function append_only();

-- The owner left the work, with something loose or not.
create table leavings (
  id bigint generated always as identity primary key,
  job_id bigint not null references jobs,
  at timestamptz not null,
  loose text not null default '',
  returned_at timestamptz,
  -- marks looked at again on coming back
  confirmed bigint[] not null default '{}'
);
create index on leavings (job_id);

-- Due after a distance or on a date because something was done.
create table follow_ups (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  job_id bigint references jobs,
  step_id bigint references steps,
  mark_id bigint references step_marks,
  what text not null constraint follow_ups_what_present check (what <> ''),
  due_on date,
  -- what the car has run by then, in metres
  due_m bigint,
  created_at timestamptz not null default now(),
  done_at timestamptz,
  done_note text not null default '',
  deleted_at timestamptz
);
create index on follow_ups (car_id);
create index on follow_ups (job_id);
create index on follow_ups (mark_id);

-- A job that is done again until something is seen.
create table rounds (
  id bigint generated always as identity primary key,
  job_id bigint not null references jobs,
  number integer not null check (number >= 1),
  observation text not null default '',
  reading text not null default '',
  at timestamptz not null,
  -- the next one, if any: after a distance in metres, on a day
  next_distance_m bigint constraint rounds_distance_positive check (next_distance_m > 0),
  next_on date,
  -- the owner's word that ended them
  ended text not null default '',
  unique (job_id, number)
);

-- Whether a job was worth it, asked after a while.
create table look_backs (
  id bigint generated always as identity primary key,
  job_id bigint not null constraint look_backs_one unique references jobs,
  due_on date,
  due_m bigint,
  answered_at timestamptz,
  worth text not null default '' constraint look_backs_worth_known check (worth in ('', 'yes', 'partly', 'no')),
  changed text not null default '',
  constraint look_backs_due check (num_nonnulls(due_on, due_m) > 0)
);

-- What was looked at before the car left.
create table close_outs (
  id bigint generated always as identity primary key,
  job_id bigint not null constraint close_outs_one unique references jobs,
  version bigint not null default 1,
  tools boolean not null default false,
  panels boolean not null default false,
  levels boolean not null default false,
  leftovers text not null default '',
  road_test text not null default '',
  at timestamptz not null
);

-- A card's steps without a job, to be used again.
create table card_patterns (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  name text not null constraint card_patterns_name_present check (name <> ''),
  steps jsonb not null,
  created_at timestamptz not null default now(),
  deleted_at timestamptz
);
create unique index card_patterns_name_unique on card_patterns (lower(name)) where deleted_at is null;

-- Tells the pages that show a job's card that something of it changed. A row names its job itself, or by its stage or step.
create function card_changed() returns trigger language plpgsql as $$
declare
  of_row jsonb := to_jsonb(new);
  of_job bigint := coalesce(
    (of_row->>'job_id')::bigint,
    (select job_id from stages where id = (of_row->>'stage_id')::bigint),
    (select g.job_id from steps s join stages g on g.id = s.stage_id where s.id = (of_row->>'step_id')::bigint));
begin
  if of_job is not null then
    perform pg_notify('axlestand_live', 'job ' || of_job);
  end if;
  return null;
end $$;
do $$
declare shown text;
begin
  foreach shown in array array['steps', 'step_marks', 'leavings', 'rounds'] loop
    execute format('create trigger card_changed after insert or update on %I for each row execute function card_changed()', shown);
  end loop;
end $$;
