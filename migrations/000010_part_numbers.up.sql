-- A part number in small letters, without the blanks, hyphens, dots and strokes that it is written with.
create function normal_number(number text) returns text language sql immutable parallel safe
  return translate(lower(number), E'-./\u2010\u2011\u2013 \t\n\u00a0\u202f', '');

-- Every number a part goes by. What the owner writes down of them is parts.number and parts.other_numbers; these rows follow.
-- Further numbers stand behind commas, semicolons or on lines of their own: whose it is before a colon, what replaced it behind >.
create table part_numbers (
  part_id bigint not null references parts,
  position integer not null,
  whose text not null default '',
  number text not null,
  replaced_by text not null default '',
  normal text not null generated always as (translate(lower(number), E'-./\u2010\u2011\u2013 \t\n\u00a0\u202f', '')) stored,
  primary key (part_id, position)
);
create index on part_numbers (normal);
create function part_numbers_of(number text, others text)
returns table (at bigint, whose text, number text, replaced_by text) language sql immutable as $$
  with entries as (
    select n as at, btrim(entry, E' \t\r') as entry
    from regexp_split_to_table(others, E'[,;\n]') with ordinality as e (entry, n)
  ), said as (
    select at,
      case when entry ~ '^[^:>]+:' then btrim(substring(entry from '^([^:>]+):')) else '' end as whose,
      regexp_split_to_array(regexp_replace(entry, '^[^:>]+:', ''), E'\\s*[>\u2192]\\s*') as chain
    from entries where entry <> ''
  )
  select 0, '', btrim($1), '' where btrim($1) <> ''
  union all
  select at * 1000 + i, whose, btrim(chain[i]), coalesce(btrim(chain[i + 1]), '')
  from said, generate_subscripts(chain, 1) as i where btrim(chain[i]) <> ''
$$;
create function part_numbers_follow() returns trigger language plpgsql as $$
begin
  delete from part_numbers where part_id = new.id;
  insert into part_numbers (part_id, position, whose, number, replaced_by)
    select new.id, row_number() over (order by at) - 1, n.whose, n.number, n.replaced_by
    from part_numbers_of(new.number, new.other_numbers) n;
  return null;
end $$;
create trigger part_numbers_follow after insert or update of number, other_numbers on parts
  for each row execute function part_numbers_follow();
update parts set number = number;

-- Handed twins: the same part for the other side. One row, so that both lead to each other.
create table part_twins (
  left_id bigint primary key references parts,
  right_id bigint not null unique references parts,
  constraint part_twins_two check (left_id <> right_id)
);

-- What must match, where a part comes in variants.
alter table parts add column variant text not null default '';
-- What can be said of a part, to be searched in one go.
alter table parts add column said text not null generated always as
  (lower(name || ' ' || side || ' ' || supplier || ' ' || notes || ' ' || variant)) stored;

create table part_fits (
  id bigint generated always as identity primary key,
  part_id bigint not null references parts,
  car_id bigint not null references cars,
  known text not null constraint part_fits_known check (known in ('checked on the car', 'by number', 'guessed', 'does not fit')),
  note text not null default '',
  deleted_at timestamptz
);
create unique index part_fits_one on part_fits (part_id, car_id) where deleted_at is null;
create index on part_fits (car_id);
