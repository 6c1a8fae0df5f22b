delete from photo_uses where round_id is not null;
alter table photo_uses
  drop constraint photo_uses_one_thing,
  drop column round_id,
  add constraint photo_uses_one_thing check (num_nonnulls(step_id, job_id, car_id, part_id, arrival_id, order_id) = 1);
delete from rounds where undone_at is not null;
drop index rounds_number_unique;
alter table rounds
  drop column follow_up_id,
  drop column undone_at,
  add constraint rounds_job_id_number_key unique (job_id, number);
