-- A round can be undone, shows its own photos, and knows the follow-up that calls for the next one.
alter table rounds
  add column follow_up_id bigint references follow_ups,
  add column undone_at timestamptz;
alter table rounds drop constraint rounds_job_id_number_key;
create unique index rounds_number_unique on rounds (job_id, number) where undone_at is null;
create index on rounds (follow_up_id);

alter table photo_uses
  add column round_id bigint references rounds,
  drop constraint photo_uses_one_thing,
  add constraint photo_uses_one_thing check (num_nonnulls(step_id, job_id, car_id, part_id, arrival_id, order_id, round_id) = 1);
create index on photo_uses (round_id);
