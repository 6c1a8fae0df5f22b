drop table fitted;
