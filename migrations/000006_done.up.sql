-- What a stage used, and which part on a donor a movement came from, so that undoing finds its rows.
alter table stock_movements
  add column stage_id bigint references stages,
  add column donor_part_id bigint references donor_parts;
create index on stock_movements (stage_id);
create index on stock_movements (donor_part_id);

-- Whether the car was immobile when the stage was done: undoing puts that back.
alter table stages add column immobile_before boolean;

-- Why a job was closed with stages still open.
alter table jobs add column closed_as text not null default '';
