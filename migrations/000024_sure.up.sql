-- When a browser last showed the password: what gives others a way in, or takes one away, is not done long after.
alter table signins add column sure_at timestamptz;
update signins set sure_at = created_at;
alter table signins alter column sure_at set not null;
