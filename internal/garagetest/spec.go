package garagetest

import (
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/trade/torque"
)

// TorqueSpec is one with everything on it, but for a car and a stage.
func TorqueSpec(changes ...func(*garage.TorqueSpec)) garage.TorqueSpec {
	return with(garage.TorqueSpec{
		Version: 1, Joint: "Rear caliper bracket", Stages: "65 Nm + 90°", Thread: "M10×1.5", Class: "10.9", Condition: torque.Dry,
		Bolts: new(5), Sequence: "star 5", SingleUse: true, Retorque: "after 50 km", Source: "Tern workshop manual", Page: "46-12",
		CheckedOn: new(garage.NewDate(2027, time.January, 9)), Note: "Clean the threads.",
	}, changes)
}

// Wrench is one from 20 to 110 Nm, calibrated half a year ago.
func Wrench(changes ...func(*garage.Wrench)) garage.Wrench {
	return with(garage.Wrench{
		Version: 1, Name: "1/2 in, 20 to 110", Unit: "Nm", Low: 20, High: 110, Graduation: new(1.0), Accuracy: new(3.0), Length: "400 mm",
		CalibratedOn: new(garage.NewDate(2026, time.September, 1)), Clicks: 310, Note: "Drawer 2",
	}, changes)
}

// FluidSpec is engine oil with everything on it, but for a car.
func FluidSpec(changes ...func(*garage.FluidSpec)) garage.FluidSpec {
	return with(garage.FluidSpec{
		Version: 1, Kind: garage.EngineOil, Name: "Engine oil", Standard: "ACEA C3-16", Grade: "5W-30", CapacityDry: "4.8 l",
		CapacityService: "4.3 l", EveryDistance: "15 000 km", EveryMonths: new(12), Source: "Tern handbook", Page: "201", Note: "With filter.",
	}, changes)
}

// Bottle is brake fluid that was opened a month ago.
func Bottle(changes ...func(*garage.Bottle)) garage.Bottle {
	return with(garage.Bottle{
		Version: 1, Kind: garage.BrakeFluid, Name: "Small tin", Grade: "DOT 4", OpenedOn: garage.NewDate(2027, time.February, 6),
		VolumeLeft: "0.3 l", KeepsMonths: new(12), Place: "Cabinet", Note: "Lid is tight.",
	}, changes)
}

// RequiredWheel is what the papers of an estate ask, but for the car.
func RequiredWheel(changes ...func(*garage.RequiredWheel)) garage.RequiredWheel {
	return with(garage.RequiredWheel{
		Version: 1, Size: "205/55 R16", LoadIndex: 91, SpeedSymbol: "V", Bolts: new(5), Circle: new(112.0), Bore: new(57.1), Seat: "ball",
		Source: "Papers", Page: "2",
	}, changes)
}

// WheelSet is a set that fits [RequiredWheel], but for the car.
func WheelSet(changes ...func(*garage.WheelSet)) garage.WheelSet {
	return with(garage.WheelSet{
		Version: 1, Name: "Summer", Tyre: "205/55 R16 91V", Rim: "7J×16 ET42 5×112 57.1", Seat: "ball", Turns: new(7.0), DateCode: "1823",
		Tread: "5 mm", Place: "Loft", Mounted: true, Note: "Two are newer.",
	}, changes)
}
