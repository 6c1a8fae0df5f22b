drop table operations;
