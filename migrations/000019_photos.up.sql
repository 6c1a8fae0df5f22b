-- Photos are kept once, by what they are: JPEGs made anew, with nothing of the file that was sent but its dots.
create table photos (
  id bigint generated always as identity primary key,
  -- SHA-256 of full_size
  hash bytea not null constraint photos_hash_unique unique,
  type text not null default 'image/jpeg' constraint photos_type_known check (type = 'image/jpeg'),
  width integer not null constraint photos_width_range check (width between 1 and 2560),
  height integer not null constraint photos_height_range check (height between 1 and 2560),
  full_size bytea not null,
  small bytea not null,
  created_at timestamptz not null default now()
);
-- JPEGs do not get smaller by packing them once more.
alter table photos alter column full_size set storage external, alter column small set storage external;

-- What a photo shows: exactly one thing. The same photo may be used more than once.
create table photo_uses (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  photo_id bigint not null references photos,
  step_id bigint references steps,
  job_id bigint references jobs,
  car_id bigint references cars,
  part_id bigint references parts,
  arrival_id bigint references arrivals,
  note text not null default '',
  at timestamptz not null,
  -- of the form that brought it: the same one sent twice adds nothing
  key text constraint photo_uses_key_unique unique,
  deleted_at timestamptz,
  constraint photo_uses_one_thing check (num_nonnulls(step_id, job_id, car_id, part_id, arrival_id) = 1)
);
create index on photo_uses (step_id);
create index on photo_uses (job_id);
create index on photo_uses (car_id);
create index on photo_uses (part_id);
create index on photo_uses (arrival_id);
create index on photo_uses (photo_id);
create trigger card_changed after insert or update on photo_uses for each row execute function card_changed();
