package main

import (
	"fmt"

	"github.com/a-h/templ"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/trade/torque"
	"axlestand/web/page"
	"axlestand/web/ui"
)

func init() {
	register("spec",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return specs(b, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component { return specs(b, someSpecs()) }},
		Entry{Name: "index-200", Page: func(b ui.Page) templ.Component { return specs(b, manySpecs(200)) }},
		Entry{Name: "show", Page: func(b ui.Page) templ.Component { return spec(b, someSpecs()[0], page.WrenchPick{}) }},
		Entry{Name: "show-extension", Page: func(b ui.Page) templ.Component {
			return spec(b, someSpecs()[1], page.WrenchPick{Extension: "50", Angle: "0"})
		}},
		Entry{Name: "show-long", Page: func(b ui.Page) templ.Component { return spec(b, someSpecs()[2], page.WrenchPick{Extension: "long"}) }},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return specForm(b, page.TorqueSpecForm{}) }},
		Entry{Name: "edit", Page: func(b ui.Page) templ.Component { return specForm(b, page.NewTorqueSpecForm(garagetest.TorqueSpec())) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.TorqueSpecForm{Joint: longName, Stages: "forty", Thread: "Q7", Class: "9", Sequence: longName, Bolts: "many", Page: "7", Stage: "x", Condition: "wet"}
			form.TorqueSpec()
			return specForm(b, form)
		}},
	)
	register("wrench",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return wrenches(b, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component { return wrenches(b, someWrenches()) }},
		Entry{Name: "new", Page: func(b ui.Page) templ.Component { return wrench(b, page.WrenchForm{Unit: "Nm"}) }},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.WrenchForm{Name: longName + longName, Unit: "mm", Low: "x", High: "-1", Graduation: "0", Accuracy: "200", Length: "long", CalibratedOn: "soon", Clicks: "-1"}
			form.Wrench()
			return wrench(b, form)
		}},
	)
}

func init() {
	fluids := func(b ui.Page, list []garage.FluidSpec) templ.Component {
		b.Title, b.Active = "Fluids", ui.NavCars
		bottles := []garage.Bottle{garagetest.Bottle(), garagetest.Bottle(func(v *garage.Bottle) { v.Grade, v.Name = "DOT 5", longName })}
		return page.Fluids(page.NewFluids(page.Base{Page: b}, specCar, list, bottles, theDay))
	}
	register("fluid",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return fluids(b, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component {
			return fluids(b, []garage.FluidSpec{
				garagetest.FluidSpec(),
				garagetest.FluidSpec(func(v *garage.FluidSpec) {
					v.Kind, v.Name, v.Grade, v.Source, v.Page = garage.BrakeFluid, "Brake fluid", "DOT 4", "", ""
				}),
				garagetest.FluidSpec(func(v *garage.FluidSpec) {
					v.Kind, v.Name, v.Standard, v.Note = garage.Coolant, longName, longName, longName
				}),
			})
		}},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.FluidSpecForm{Kind: "soup", Name: longName, CapacityDry: "much", EveryDistance: "often", EveryMonths: "x", Page: "7"}
			form.FluidSpec()
			b.Title = "Fluid"
			return page.FluidSpecEdit(page.FluidSpecFormView{Base: page.Base{Page: b}, Car: specCar, Form: form})
		}},
	)
	bottles := func(b ui.Page, list ...garage.Bottle) templ.Component {
		b.Title, b.Active = "Opened bottles", ui.NavMore
		return page.Bottles(page.NewBottles(page.Base{Page: b}, list, theDay))
	}
	register("bottle",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return bottles(b) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component {
			return bottles(b, garagetest.Bottle(), garagetest.Bottle(func(v *garage.Bottle) { v.Name, v.KeepsMonths = longName, new(1) }))
		}},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.BottleForm{OpenedOn: "soon", VolumeLeft: "some", KeepsMonths: "long"}
			form.Bottle(theDay)
			b.Title = "Bottle"
			return page.BottleEdit(page.BottleFormView{Base: page.Base{Page: b}, Form: form})
		}},
	)
	wheels := func(b ui.Page, required []garage.RequiredWheel, sets ...garage.WheelSet) templ.Component {
		b.Title, b.Active = "Wheels", ui.NavCars
		return page.Wheels(page.NewWheels(page.Base{Page: b}, specCar, required, sets, theDay))
	}
	register("wheelset",
		Entry{Name: "index-empty", Page: func(b ui.Page) templ.Component { return wheels(b, nil) }},
		Entry{Name: "index", Page: func(b ui.Page) templ.Component {
			return wheels(b, []garage.RequiredWheel{garagetest.RequiredWheel()}, garagetest.WheelSet(),
				garagetest.WheelSet(func(v *garage.WheelSet) {
					v.Name, v.Tyre, v.Mounted, v.Note = longName, "195/65 R15 88T", false, longName
				}))
		}},
		Entry{Name: "required-wrong", Page: func(b ui.Page) templ.Component {
			form := page.RequiredWheelForm{Size: longName, LoadIndex: "9", SpeedSymbol: "?", Circle: "1", Bore: "x", Page: "7"}
			form.RequiredWheel()
			b.Title = "Required"
			return page.RequiredWheelEdit(page.RequiredWheelFormView{Base: page.Base{Page: b}, Car: specCar, Form: form})
		}},
		Entry{Name: "wrong", Page: func(b ui.Page) templ.Component {
			form := page.WheelSetForm{Name: longName, Tyre: "205", Rim: "round", Turns: "many", DateCode: "5027", Tread: "worn"}
			form.WheelSet(theDay)
			b.Title = "Wheel set"
			return page.WheelSetEdit(page.WheelSetFormView{Base: page.Base{Page: b}, Car: specCar, Form: form})
		}},
	)
}

var specCar = garage.Car{ID: 1, Name: "Tern estate"}

func specs(b ui.Page, list []garage.TorqueSpecRow) templ.Component {
	b.Title, b.Active = "Specs", ui.NavCars
	return page.Specs(page.NewSpecs(page.Base{Page: b}, specCar, list, someWrenches(), "", theDay))
}

func spec(b ui.Page, row garage.TorqueSpecRow, pick page.WrenchPick) templ.Component {
	b.Title, b.Active = row.Joint, ui.NavCars
	settings := garagetest.Settings(func(s *garage.Settings) { s.TorqueUnit = "lbf ft" })
	return page.TorqueSpecShow(page.NewTorqueSpec(page.Base{Page: b}, row, specCar, someWrenches(), pick, settings, theDay))
}

func specForm(b ui.Page, form page.TorqueSpecForm) templ.Component {
	b.Title, b.Active = "Torque spec", ui.NavCars
	stages := []garage.StageChoice{{ID: 1, Name: "Fit", JobTitle: "Rear brakes"}, {ID: 2, Name: longName, JobTitle: longName}}
	return page.TorqueSpecEdit(page.TorqueSpecFormView{Base: page.Base{Page: b}, Car: specCar, Stages: stages, Form: form})
}

func wrenches(b ui.Page, list []garage.Wrench) templ.Component {
	b.Title, b.Active = "Wrenches", ui.NavMore
	return page.Wrenches(page.NewWrenches(page.Base{Page: b}, list, theDay))
}

func wrench(b ui.Page, form page.WrenchForm) templ.Component {
	b.Title, b.Active = "Wrench", ui.NavMore
	return page.Wrench(page.WrenchView{Base: page.Base{Page: b}, Form: form})
}

func someWrenches() []garage.Wrench {
	return []garage.Wrench{
		garagetest.Wrench(func(w *garage.Wrench) { w.ID = 1 }),
		garagetest.Wrench(func(w *garage.Wrench) {
			w.ID, w.Name, w.Low, w.High, w.Graduation, w.Accuracy = 2, "1/4 in, 5 to 25", 5, 25, nil, nil
		}),
		garagetest.Wrench(func(w *garage.Wrench) {
			w.ID, w.Name, w.Unit, w.Low, w.High, w.CalibratedOn, w.Note = 3, longName, "lbf ft", 30, 150, nil, longName
		}),
	}
}

func someSpecs() []garage.TorqueSpecRow {
	job, title, stage := garage.JobID(4), "Rear brakes", "Fit"
	return []garage.TorqueSpecRow{
		{TorqueSpec: garagetest.TorqueSpec(func(s *garage.TorqueSpec) { s.ID = 1 }), StageName: &stage, JobID: &job, JobTitle: &title},
		{TorqueSpec: garagetest.TorqueSpec(func(s *garage.TorqueSpec) {
			s.ID, s.Joint, s.Stages, s.Source, s.Page, s.CheckedOn, s.SingleUse = 2, "Oil pan", "78–82 Nm", "", "", nil, false
			s.Thread, s.Class, s.Sequence, s.Bolts, s.Condition = "M6", "8.8", "spiral 2×5", nil, torque.Unsaid
		})},
		{TorqueSpec: garagetest.TorqueSpec(func(s *garage.TorqueSpec) {
			s.ID, s.Joint, s.Note, s.Source, s.Retorque, s.Sequence, s.Bolts = 3, longName, longName, longName, longName, "star 20", nil
			s.Stages = "hand tight, 25 lbf ft (34 Nm), loosen 180°, wait 10 min, 30 Nm + 90° + 90°, retighten at 1000 km with the engine cold"
		}), StageName: new(longName), JobID: &job, JobTitle: new(longName)},
	}
}

func manySpecs(n int) []garage.TorqueSpecRow {
	all := make([]garage.TorqueSpecRow, n)
	for i := range all {
		all[i].TorqueSpec = garagetest.TorqueSpec(func(s *garage.TorqueSpec) { s.ID, s.Joint = garage.TorqueSpecID(i+1), fmt.Sprintf("Joint %03d", i+1) })
	}
	return all
}
