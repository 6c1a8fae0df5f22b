package page

import (
	"fmt"
	"slices"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
	"axlestand/web/ui"
)

// Chart is a time line by car, with a line for each of its jobs, and the lift's use under it. Places across are per cent.
type Chart struct {
	Ticks  []ui.Tick
	Bands  []ChartSpan // sessions
	Cars   []ChartCar
	Lift   []ChartHeld
	Legend string
}

// ChartSpan is a stretch of the time line.
type ChartSpan struct {
	From, To float64
}

// ChartCar is a car with the lines of its jobs.
type ChartCar struct {
	Name  string
	Sub   string
	Marks []ChartMark // on the car's own line, above its jobs
	Lines []ChartLine
}

// ChartLine is a job: its work, what passes between, and its name beside them.
type ChartLine struct {
	Title   string
	Href    string
	Why     string
	Bars    []ChartSpan // hands on
	Hatches []ChartSpan // the car immobile, or the work paused
	Passing []ChartSpan // waits and outside work
	TextAt  float64
	Left    bool // the text stands before the work, ending at TextAt
}

// ChartMark is a date that matters.
type ChartMark struct {
	At     float64
	Text   string
	Danger bool
}

// ChartHeld is a car on the lift.
type ChartHeld struct {
	ChartSpan
	Car string
}

// chartScale turns instants into per cent of the span shown.
type chartScale struct {
	start, end time.Time
}

func (c chartScale) at(t time.Time) float64 {
	return 100 * float64(t.Sub(c.start)) / float64(c.end.Sub(c.start))
}

// cut is the part of a stretch that is shown, drawn at least wide enough to be seen.
func (c chartScale) cut(from, to time.Time) (ChartSpan, bool) {
	if !to.After(c.start) || !from.Before(c.end) {
		return ChartSpan{}, false
	}
	span := ChartSpan{From: max(0, c.at(from)), To: min(100, c.at(to))}
	const least = 0.35
	if span.To-span.From < least {
		span.To = min(100, span.From+least)
		span.From = span.To - least
	}
	return span, true
}

func newChart(p Planned, start, end time.Time) Chart {
	scale := chartScale{start: start, end: end}
	chart := Chart{Ticks: chartTicks(p, scale)}
	for _, s := range p.Problem.Sessions {
		if span, shown := scale.cut(s.From, s.To); shown {
			chart.Bands = append(chart.Bands, span)
		}
	}
	for _, car := range p.Shot.Cars {
		if line := chartCar(p, scale, car); len(line.Lines) > 0 || len(line.Marks) > 0 {
			chart.Cars = append(chart.Cars, line)
		}
	}
	for _, v := range p.Answer.Visits {
		if span, shown := scale.cut(v.From, v.To); shown && v.OnLift {
			chart.Lift = append(chart.Lift, ChartHeld{ChartSpan: span, Car: p.cars[v.Car].Name})
		}
	}
	return chart
}

// chartDate is how much of the scale a date takes on the narrowest screen that shows it, in hundredths.
const chartDate = 12.5

func nextMonday(d garage.Date) garage.Date { return d.AddDays(8 - d.Weekday()) }

// chartTicks are a short mark for each day and a long one with its date for each Monday and the first day.
func chartTicks(p Planned, scale chartScale) []ui.Tick {
	var ticks []ui.Tick
	first := garage.DateOf(scale.start)
	last := garage.DateOf(scale.end)
	for d := first; d.Before(last); d = d.AddDays(1) {
		at := d.In(p.Now.Location())
		tick := ui.Tick{At: scale.at(at), Major: d.Weekday() == 1 || d == first}
		// A first day too near to the next Monday, or a last one too near to the edge, has no room for its date.
		if tick.Major && tick.At < 100-chartDate && scale.at(nextMonday(d).In(p.Now.Location()))-tick.At > chartDate {
			tick.Text = at.Format("Mon 2 Jan")
		}
		ticks = append(ticks, tick)
	}
	return ticks
}

func chartCar(p Planned, scale chartScale, car garage.Car) ChartCar {
	ref := planner.CarRef(car.ID)
	line := ChartCar{Name: car.Name, Sub: string(car.Role)}
	if car.Immobile {
		line.Sub += ", immobile"
	}
	if car.Stands == garage.NotHere && car.ArrivesLikely != nil {
		line.Marks = arrivalMark(p, scale, car)
	}
	placed := map[string][]planner.PlacedStage{}
	var order []string
	for _, s := range p.Answer.Stages {
		if s.Car != ref {
			continue
		}
		if !slices.Contains(order, s.Job) {
			order = append(order, s.Job)
		}
		placed[s.Job] = append(placed[s.Job], s)
	}
	for _, job := range order {
		if l, shown := chartLine(p, scale, placed[job]); shown {
			line.Lines = append(line.Lines, l)
		}
	}
	return line
}

func arrivalMark(p Planned, scale chartScale, car garage.Car) []ChartMark {
	zone := p.Now.Location()
	at := car.ArrivesLikely.In(zone)
	if at.Before(scale.start) || !at.Before(scale.end) {
		return nil
	}
	return []ChartMark{{
		At:   scale.at(at),
		Text: fmt.Sprintf("arrives %s to %s", p.dayText(car.ArrivesLow.In(zone)), p.dayText(car.ArrivesHigh.In(zone))),
	}}
}

func chartLine(p Planned, scale chartScale, stages []planner.PlacedStage) (ChartLine, bool) {
	job := p.jobs[stages[0].Job]
	line := ChartLine{Title: job.Title, Href: jobHref(job), Why: p.because(stages[0].Because)}
	first, last := 100.0, 0.0
	shown := false
	add := func(list *[]ChartSpan, from, to time.Time) {
		if span, ok := scale.cut(from, to); ok {
			*list = append(*list, span)
			first, last, shown = min(first, span.From), max(last, span.To), true
		}
	}
	var immobile time.Time
	for _, s := range stages {
		for _, piece := range s.Pieces {
			add(&line.Bars, piece.From, piece.To)
		}
		switch stage := p.stages[s.Stage]; {
		case stage.Immobile == planner.ImmobileFrom:
			immobile = s.From
		case stage.Immobile == planner.ImmobileUntil && !immobile.IsZero():
			add(&line.Hatches, immobile, s.To)
			immobile = time.Time{}
		case len(s.Pieces) > 1 || stage.Immobile == planner.ImmobileWithin:
			add(&line.Hatches, s.From, s.To)
		}
		if len(s.Pieces) == 0 {
			add(&line.Passing, s.From, s.To)
		}
	}
	line.TextAt, line.Left = last, false
	if last > 60 {
		line.TextAt, line.Left = first, true
	}
	if first < 25 && last > 60 {
		line.TextAt, line.Left = first, false
	}
	return line, shown
}
