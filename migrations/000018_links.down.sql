alter table step_marks drop constraint step_marks_by_link_fkey;
drop index step_marks_by_link_idx;
drop table link_browsers;
drop table link_jobs;
drop table links;
