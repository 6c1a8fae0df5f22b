-- An order as it was pasted, so that what is wrong with it can be mended, and what it did undone.
create table order_imports (
  id bigint generated always as identity primary key,
  content bytea not null,
  -- the order that it becomes, without its lines
  form jsonb not null,
  created_at timestamptz not null default now(),
  done_at timestamptz,
  undone_at timestamptz,
  order_id bigint references orders
);
-- The parts that it added.
create table order_import_parts (
  import_id bigint not null references order_imports,
  part_id bigint not null references parts,
  primary key (import_id, part_id)
);
