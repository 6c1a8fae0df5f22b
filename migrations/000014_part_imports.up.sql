-- A file of parts as it came, so that what is wrong with it can be mended, and what it did undone.
create table part_imports (
  id bigint generated always as identity primary key,
  content bytea not null,
  currency text not null check (currency ~ '^[A-Z]{3}$'),
  created_at timestamptz not null default now(),
  done_at timestamptz,
  undone_at timestamptz
);
-- What an import made of a part: before is what it was, null for one that was added.
create table part_import_rows (
  import_id bigint not null references part_imports,
  part_id bigint not null references parts,
  version bigint not null,
  before jsonb,
  primary key (import_id, part_id)
);
