-- A unit on a donor that goes back in place of the one on the car.
alter table cores add column donor_part_id bigint references donor_parts;
create index on cores (donor_part_id);

-- Days that are no business days, of which the windows of deposits count none.
alter table settings add column holidays date[] not null default '{}' check (cardinality(holidays) <= 400);
