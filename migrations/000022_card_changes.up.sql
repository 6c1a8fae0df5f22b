-- How often each job's card has changed, for pages that ask whether what they show is old, and for the database to tell those
-- that listen. What ends a stage or a job shows on the card too.
create table card_changes (
  job_id bigint primary key references jobs,
  count bigint not null
);

create or replace function card_changed() returns trigger language plpgsql as $$
declare
  of_row jsonb := to_jsonb(new);
  of_job bigint := case tg_table_name when 'jobs' then (of_row->>'id')::bigint else coalesce(
    (of_row->>'job_id')::bigint,
    (select job_id from stages where id = (of_row->>'stage_id')::bigint),
    (select g.job_id from steps s join stages g on g.id = s.stage_id where s.id = (of_row->>'step_id')::bigint)) end;
  new_count bigint;
begin
  if of_job is not null then
    insert into card_changes as c (job_id, count) values (of_job, 1)
      on conflict (job_id) do update set count = c.count + 1 returning count into new_count;
    perform pg_notify('axlestand_live', of_job || ' ' || new_count);
  end if;
  return null;
end $$;

create trigger card_changed after update on stages for each row execute function card_changed();
create trigger card_changed after update on jobs for each row execute function card_changed();
create trigger card_changed after insert or update on follow_ups for each row execute function card_changed();
