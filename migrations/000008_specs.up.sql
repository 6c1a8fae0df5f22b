-- Figures are kept as printed: text that the trade's own grammars read. Conversions are made for display only.
create table torque_specs (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  -- the stage that it is wanted at, if any
  stage_id bigint references stages,
  joint text not null constraint torque_specs_joint_present check (joint <> ''),
  stages text not null constraint torque_specs_stages_present check (stages <> ''),
  thread text not null default '',
  class text not null default '',
  condition text not null default '' constraint torque_specs_condition_known check (condition in ('', 'dry', 'oiled', 'locked')),
  bolts integer constraint torque_specs_bolts_range check (bolts between 1 and 60),
  sequence text not null default '',
  single_use boolean not null default false,
  retorque text not null default '',
  source text not null default '',
  page text not null default '',
  checked_on date,
  note text not null default '',
  deleted_at timestamptz,
  constraint torque_specs_page_of_source check (source <> '' or page = '')
);
create index on torque_specs (car_id);
create index on torque_specs (stage_id);

create table fluid_specs (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  kind text not null constraint fluid_specs_kind_known
    check (kind in ('engine oil', 'gear oil', 'brake fluid', 'coolant', 'refrigerant', 'other')),
  name text not null constraint fluid_specs_name_present check (name <> ''),
  standard text not null default '',
  grade text not null default '',
  capacity_dry text not null default '',
  capacity_service text not null default '',
  every_distance text not null default '',
  every_months integer constraint fluid_specs_months_range check (every_months between 1 and 600),
  source text not null default '',
  page text not null default '',
  note text not null default '',
  deleted_at timestamptz,
  constraint fluid_specs_page_of_source check (source <> '' or page = '')
);
create index on fluid_specs (car_id);

create table bottles (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  kind text not null constraint bottles_kind_known
    check (kind in ('engine oil', 'gear oil', 'brake fluid', 'coolant', 'refrigerant', 'other')),
  name text not null constraint bottles_name_present check (name <> ''),
  standard text not null default '',
  grade text not null default '',
  opened_on date not null,
  volume_left text not null default '',
  keeps_months integer constraint bottles_keeps_range check (keeps_months between 1 and 600),
  place text not null default '',
  note text not null default '',
  deleted_at timestamptz
);

create table wrenches (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  name text not null constraint wrenches_name_present check (name <> ''),
  unit text not null,
  low double precision not null,
  high double precision not null,
  -- from one mark to the next; none for one that shows tenths
  graduation double precision constraint wrenches_graduation_positive check (graduation > 0),
  -- in per cent, from its certificate; none for what the standard allows
  accuracy double precision constraint wrenches_accuracy_range check (accuracy > 0 and accuracy <= 20),
  length text not null default '',
  calibrated_on date,
  clicks integer not null default 0 constraint wrenches_clicks_range check (clicks >= 0),
  note text not null default '',
  deleted_at timestamptz,
  constraint wrenches_range check (low > 0 and low < high)
);

-- What a car's papers ask of its wheels: one such record for each car.
create table required_wheels (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  size text not null constraint required_wheels_size_present check (size <> ''),
  load_index integer not null constraint required_wheels_load_range check (load_index between 60 and 126),
  speed_symbol text not null constraint required_wheels_speed_present check (speed_symbol <> ''),
  bolts integer constraint required_wheels_bolts_range check (bolts between 3 and 8),
  circle double precision constraint required_wheels_circle_range check (circle between 80 and 230),
  bore double precision constraint required_wheels_bore_range check (bore between 40 and 180),
  seat text not null default '' constraint required_wheels_seat_known check (seat in ('', '60° cone', 'ball', 'flat')),
  source text not null default '',
  page text not null default '',
  deleted_at timestamptz,
  constraint required_wheels_page_of_source check (source <> '' or page = '')
);
create unique index required_wheels_one on required_wheels (car_id) where deleted_at is null;

create table wheel_sets (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  name text not null constraint wheel_sets_name_present check (name <> ''),
  tyre text not null constraint wheel_sets_tyre_present check (tyre <> ''),
  rim text not null default '',
  seat text not null default '' constraint wheel_sets_seat_known check (seat in ('', '60° cone', 'ball', 'flat')),
  -- how many turns a bolt goes in
  turns double precision constraint wheel_sets_turns_range check (turns between 0 and 99),
  date_code text not null default '',
  tread text not null default '',
  place text not null default '',
  mounted boolean not null default false,
  note text not null default '',
  deleted_at timestamptz
);
create index on wheel_sets (car_id);
