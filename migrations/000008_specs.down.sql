drop table wheel_sets;
drop table required_wheels;
drop table wrenches;
drop table bottles;
drop table fluid_specs;
drop table torque_specs;
