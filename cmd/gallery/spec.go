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
