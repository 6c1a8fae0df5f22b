-- Pieces fitted to a car, and what became of them. Work that is marked done adds them; how far they ran follows from the
-- odometer's readings.
create table fitted (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  part_id bigint not null references parts,
  car_id bigint not null references cars,
  -- the stage that fitted them; null: noted by hand
  stage_id bigint references stages,
  quantity integer not null default 1 constraint fitted_quantity check (quantity > 0),
  side text not null default '' check (side in ('', 'left', 'right', 'both')),
  grade text not null default ''
    check (grade in ('', 'maker', 'supplier to the maker', 'aftermarket', 'refurbished', 'used', 'made here')),
  supplier text not null default '',
  fitted_on date not null,
  ended_on date,
  ended_as text not null default '' constraint fitted_ended_known check (ended_as in ('', 'failed', 'worn', 'replaced', 'taken off')),
  note text not null default '',
  deleted_at timestamptz,
  constraint fitted_ended_whole check ((ended_on is null) = (ended_as = '')),
  constraint fitted_order check (fitted_on <= ended_on)
);
create index on fitted (part_id);
create index on fitted (car_id);
create index on fitted (stage_id);
