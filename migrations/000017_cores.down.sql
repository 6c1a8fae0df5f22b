drop table core_events;
drop table cores;
drop function core_refunds_noted();
