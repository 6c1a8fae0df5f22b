create table phases (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  name text not null constraint phases_name_present check (name <> ''),
  budget bigint not null default 0 check (budget >= 0),
  currency text not null default 'EUR' check (currency ~ '^[A-Z]{3}$'),
  finish_on date,
  deleted_at timestamptz
);
create index on phases (car_id);

create table jobs (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  phase_id bigint references phases,
  kind text not null check (kind in ('repair', 'upgrade', 'service', 'inspection', 'fault finding', 'harvest')),
  title text not null constraint jobs_title_present check (title <> ''),
  reason text not null default '',
  weight integer not null default 3 check (weight between 1 and 9),
  not_before date,
  pinned_at timestamptz,
  due date,
  due_for text not null default '',
  late_cost_per_day bigint not null default 0 check (late_cost_per_day >= 0),
  late_cost bigint not null default 0 check (late_cost >= 0),
  currency text not null default 'EUR' check (currency ~ '^[A-Z]{3}$'),
  notes text not null default '',
  created_at timestamptz not null default now(),
  closed_at timestamptz,
  deleted_at timestamptz
);
create index on jobs (car_id);
create index on jobs (phase_id);

create table job_after (
  job_id bigint not null references jobs,
  after_id bigint not null references jobs,
  gap_minutes integer not null default 0 check (gap_minutes between 0 and 525600),
  primary key (job_id, after_id),
  constraint job_after_other check (job_id <> after_id)
);
create index on job_after (after_id);

create table stages (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  job_id bigint not null references jobs,
  position integer not null,
  name text not null constraint stages_name_present check (name <> ''),
  kind text not null check (kind in ('bench', 'wait', 'outside')),
  -- minutes for bench and wait, working days for outside
  low integer not null,
  likely integer not null,
  high integer not null,
  lift boolean not null default false,
  helpers integer not null default 0 check (helpers between 0 and 9),
  immobile text not null default '' check (immobile in ('', 'from', 'until', 'within')),
  follows_at_once boolean not null default false,
  done_at timestamptz,
  deleted_at timestamptz,
  constraint stages_order check (0 <= low and low <= likely and likely <= high and high <= 525600),
  constraint stages_bench_positive check (kind <> 'bench' or likely > 0)
);
create index on stages (job_id);
create table stage_tools (
  stage_id bigint not null references stages on delete cascade,
  tool_id bigint not null references tools,
  primary key (stage_id, tool_id)
);
create table stage_access (
  stage_id bigint not null references stages on delete cascade,
  access_id bigint not null references access,
  primary key (stage_id, access_id)
);
create table stage_closing (
  stage_id bigint not null references stages on delete cascade,
  closing_id bigint not null references closing_work,
  primary key (stage_id, closing_id)
);

create table needs (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  stage_id bigint not null references stages,
  part_id bigint not null references parts,
  quantity integer not null check (quantity > 0),
  -- its lack stops the job
  stops boolean not null default true,
  note text not null default '',
  deleted_at timestamptz
);
create index on needs (stage_id);
create index on needs (part_id);

create table donor_parts (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  part_id bigint not null references parts,
  quantity integer not null default 1 check (quantity > 0),
  condition text not null default 'unknown' check (condition in ('unknown', 'good', 'worn', 'bad')),
  note text not null default '',
  -- the job that takes it off; null: nobody planned to
  harvest_job_id bigint references jobs,
  taken_at timestamptz,
  deleted_at timestamptz
);
create index on donor_parts (car_id);
create index on donor_parts (part_id);
create index on donor_parts (harvest_job_id);
alter table stock_movements add foreign key (job_id) references jobs;
