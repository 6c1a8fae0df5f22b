package exchange

import (
	"axlestand/internal/garage"
	"axlestand/internal/trade/torque"
)

type demoWrench struct {
	Name, Unit, Length, Calibrated, Note string
	Low, High, Graduation                float64
	Clicks                               int
}

type demoTorque struct {
	Joint, Stages, Thread, Class, Condition, Sequence, Retorque, Source, Page, Checked, Note string
	Bolts                                                                                    int
	SingleUse                                                                                bool   `json:"single_use"`
	At                                                                                       string // the job at whose first stage it is wanted
}

type demoFluid struct {
	Kind, Name, Standard, Grade, Dry, Service, Every, Source, Page string
	Months                                                         int
}

type demoBottle struct {
	Kind, Name, Standard, Grade, Opened, Left, Place string
	Keeps                                            int
}

type demoRequired struct {
	Size, Speed, Seat, Source, Page string
	Load, Bolts                     int
	Circle, Bore                    float64
}

type demoWheelSet struct {
	Name, Tyre, Rim, Seat, Made, Tread, Place string
	Turns                                     float64
	Mounted                                   bool
}

// orNil is a pointer to a value that was given, else nil.
func orNil[T comparable](v T) *T {
	var none T
	if v == none {
		return nil
	}
	return &v
}

func (r *demoReader) fluids(car garage.CarID, c demoCar) {
	for _, f := range c.Fluids {
		r.out.Fluids = append(r.out.Fluids, garage.FluidSpec{
			ID: garage.FluidSpecID(len(r.out.Fluids) + 1), CarID: car, Kind: f.Kind, Name: f.Name, Standard: f.Standard, Grade: f.Grade,
			CapacityDry: f.Dry, CapacityService: f.Service, EveryDistance: f.Every, EveryMonths: orNil(f.Months), Source: f.Source, Page: f.Page,
		})
	}
}

func (r *demoReader) wheels(car garage.CarID, c demoCar) {
	if w := c.Wheels; w != nil {
		r.out.Required = append(r.out.Required, garage.RequiredWheel{
			ID: garage.RequiredWheelID(len(r.out.Required) + 1), CarID: car, Size: w.Size, LoadIndex: w.Load, SpeedSymbol: w.Speed,
			Bolts: orNil(w.Bolts), Circle: orNil(w.Circle), Bore: orNil(w.Bore), Seat: w.Seat, Source: w.Source, Page: w.Page,
		})
	}
	for _, w := range c.WheelSets {
		r.out.WheelSets = append(r.out.WheelSets, garage.WheelSet{
			ID: garage.WheelSetID(len(r.out.WheelSets) + 1), CarID: car, Name: w.Name, Tyre: w.Tyre, Rim: w.Rim, Seat: w.Seat,
			Turns: orNil(w.Turns), DateCode: w.Made, Tread: w.Tread, Place: w.Place, Mounted: w.Mounted,
		})
	}
}

// specs reads the figures of the cars and what they are measured with.
func (r *demoReader) specs(d demo) {
	for _, w := range d.Wrenches {
		wrench := garage.Wrench{
			ID: garage.WrenchID(len(r.out.Wrenches) + 1), Name: w.Name, Unit: w.Unit, Low: w.Low, High: w.High, Length: w.Length,
			CalibratedOn: r.maybeDate(w.Calibrated), Clicks: w.Clicks, Note: w.Note,
		}
		if w.Graduation > 0 {
			wrench.Graduation = &w.Graduation
		}
		r.out.Wrenches = append(r.out.Wrenches, wrench)
	}
	for _, b := range d.Bottles {
		r.out.Bottles = append(r.out.Bottles, garage.Bottle{
			ID: garage.BottleID(len(r.out.Bottles) + 1), Kind: b.Kind, Name: b.Name, Standard: b.Standard, Grade: b.Grade,
			OpenedOn: r.date(b.Opened), VolumeLeft: b.Left, KeepsMonths: orNil(b.Keeps), Place: b.Place,
		})
	}
	for _, c := range d.Cars {
		r.fluids(r.cars[c.Name], c)
		r.wheels(r.cars[c.Name], c)
		for _, t := range c.Torque {
			r.torque(r.cars[c.Name], t)
		}
	}
}

func (r *demoReader) torque(car garage.CarID, t demoTorque) {
	spec := garage.TorqueSpec{
		ID: garage.TorqueSpecID(len(r.out.Torque) + 1), CarID: car, Joint: t.Joint, Stages: t.Stages, Thread: t.Thread, Class: t.Class,
		Condition: torque.Condition(t.Condition), Sequence: t.Sequence, SingleUse: t.SingleUse, Retorque: t.Retorque, Source: t.Source,
		Page: t.Page, CheckedOn: r.maybeDate(t.Checked), Note: t.Note,
	}
	if t.Bolts > 0 {
		spec.Bolts = &t.Bolts
	}
	if t.At != "" {
		job := find(r, r.jobs, t.At)
		for _, s := range r.out.Stages {
			if s.JobID == job && spec.StageID == nil {
				spec.StageID = &s.ID
			}
		}
	}
	r.out.Torque = append(r.out.Torque, spec)
}
