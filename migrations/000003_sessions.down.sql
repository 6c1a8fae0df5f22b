drop table tools;
drop table session_exceptions;
drop table session_patterns;
