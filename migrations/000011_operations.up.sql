-- What a browser sent with a key of its own, and what it was answered. Written in one transaction with what it does, so that
-- what is sent twice is done once, whatever was lost on the way.
create table operations (
  actor text not null,
  key text not null constraint operations_key_short check (length(key) between 1 and 200),
  -- tells what was sent from anything else under the same key
  request bytea not null,
  status integer,
  location text not null default '',
  flash text not null default '',
  created_at timestamptz not null default now(),
  primary key (actor, key)
);
create index on operations (created_at);
