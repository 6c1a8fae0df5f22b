drop trigger card_changed on stages;
drop trigger card_changed on jobs;
drop trigger card_changed on follow_ups;
create or replace function card_changed() returns trigger language plpgsql as $$
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
drop table card_changes;
