alter table settings drop column holidays;
alter table cores drop column donor_part_id;
