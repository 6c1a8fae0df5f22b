-- All numbers of a part as written, without what they are spaced with, to be searched in one go.
alter table parts add column numbers_said text not null generated always as (
  translate(lower(number || ',' || replace(other_numbers, E'\n', ',')), E'-./\u2010\u2011\u2013 \t\r\u00a0\u202f', '')) stored;
-- The order of the list of parts.
create index parts_listed on parts (lower(name), side, id) where deleted_at is null;
create index on stock (bin_id);
