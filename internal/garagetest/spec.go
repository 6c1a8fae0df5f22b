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
