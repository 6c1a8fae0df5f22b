-- How long a part takes to come off its donor, and what one costs elsewhere at the cheapest; null: not known.
alter table donor_parts add column removal_minutes integer constraint donor_parts_removal_range check (removal_minutes between 1 and 10080);
alter table donor_parts add column worth bigint constraint donor_parts_worth_positive check (worth >= 0);

-- What a donor costs, and what its shell brings in the end. Amounts are minor units.
create table donor_ledgers (
  car_id bigint primary key references cars,
  version bigint not null default 1,
  currency text not null check (currency ~ '^[A-Z]{3}$'),
  price bigint not null default 0 check (price >= 0),
  transport bigint not null default 0 check (transport >= 0),
  storage_per_day bigint not null default 0 check (storage_per_day >= 0),
  disposal bigint not null default 0 check (disposal >= 0),
  paperwork bigint not null default 0 check (paperwork >= 0),
  here_since date,
  gone_on date,
  scrap_kg integer not null default 0 check (scrap_kg between 0 and 100000),
  -- for a kilogram
  scrap_price bigint not null default 0 check (scrap_price >= 0),
  constraint donor_ledgers_order check (here_since <= gone_on)
);

create table donor_sales (
  id bigint generated always as identity primary key,
  version bigint not null default 1,
  car_id bigint not null references cars,
  what text not null constraint donor_sales_what_present check (what <> ''),
  sold_on date not null,
  currency text not null check (currency ~ '^[A-Z]{3}$'),
  price bigint not null check (price >= 0),
  fees bigint not null default 0,
  note text not null default '',
  deleted_at timestamptz,
  constraint donor_sales_fees check (0 <= fees and fees <= price)
);
create index on donor_sales (car_id);
