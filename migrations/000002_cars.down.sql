drop table closing_work;
drop table access_inside;
drop table access;
drop table road_needs;
drop table odometer_readings;
drop table odometer_segments;
drop table cars;
