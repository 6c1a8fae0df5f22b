-- A link with which a helper sees, and may tick, the cards of some jobs. Only the SHA-256 of its token is known here.
create table links (
  id bigint generated always as identity primary key,
  token_hash bytea not null unique constraint links_token_length check (length(token_hash) = 32),
  -- whom it is for
  name text not null constraint links_name_present check (name <> ''),
  -- the one day that it is for, if any
  day date,
  rights text not null constraint links_rights_known check (rights in ('look', 'look and tick')),
  created_at timestamptz not null,
  expires_at timestamptz not null,
  revoked_at timestamptz,
  constraint links_expiry_later check (expires_at > created_at)
);
create table link_jobs (
  link_id bigint not null references links,
  job_id bigint not null references jobs,
  primary key (link_id, job_id)
);
create index on link_jobs (job_id);

-- The browsers that started with it. Only the SHA-256 of their token is known here.
create table link_browsers (
  token_hash bytea primary key constraint link_browsers_token_length check (length(token_hash) = 32),
  link_id bigint not null references links,
  started_at timestamptz not null,
  seen_at timestamptz not null,
  agent text not null default ''
);
create index on link_browsers (link_id);

alter table step_marks add foreign key (by_link) references links;
create index on step_marks (by_link);
