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
	for _, c := range d.Cars {
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
