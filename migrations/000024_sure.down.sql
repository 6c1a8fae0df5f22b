alter table signins drop column sure_at;
