alter table jobs drop column closed_as;
alter table stages drop column immobile_before;
alter table stock_movements drop column donor_part_id, drop column stage_id;
