package page

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/garage"
	"axlestand/internal/trade/interval"
	"axlestand/internal/trade/unit"
)

var intervalCalculators = []calculator{dueBench, ageBench}

// benchLine is a line of a field that takes several, and its number from one on.
type benchLine struct {
	Number int
	Text   string
}

// lines are those of a field on which something stands.
func (in *benchTyped) lines(name string) (lines []benchLine) {
	for i, text := range strings.Split(in.text(name), "\n") {
		if text = strings.Join(strings.Fields(text), " "); text != "" {
			lines = append(lines, benchLine{Number: i + 1, Text: text})
		}
	}
	return lines
}

// wrongLine notes what is wrong with a line; only the first is shown, since there is one place for it.
func (in *benchTyped) wrongLine(name string, l benchLine, sentence string) {
	if in.Errors[name] == "" {
		in.wrong(name, fmt.Sprintf("Line %d: %s", l.Number, sentence))
	}
}

func wholeMetres(q unit.Distance) int64 { return int64(math.Round(q.In(unit.Km) * 1000)) }

// metres reads a distance in metres.
func (in *benchTyped) metres(name string) int64 {
	return wholeMetres(quantity[unit.DistanceKind](in, name))
}

// distanceUnit is the unit chosen beside a field; one that there is not is noted where the field is read.
func (in *benchTyped) distanceUnit(name string) unit.Unit[unit.DistanceKind] {
	u, err := unit.ParseUnit[unit.DistanceKind](in.unitOf(in.field(name)))
	if err != nil {
		return unit.Km
	}
	return u
}

// distanceIn is metres in a unit, to the nearest whole one.
func distanceIn(metres int64, u unit.Unit[unit.DistanceKind]) string {
	n := math.Round(unit.Km.Of(float64(metres) / 1000).In(u))
	sign := ""
	if n < 0 {
		sign = "\u2212"
	}
	return sign + garage.Grouped(strconv.FormatFloat(math.Abs(n), 'f', 0, 64))
}

// bothDistances is metres in a unit and in the other of km and miles.
func bothDistances(metres int64, u unit.Unit[unit.DistanceKind]) (value, name, also string) {
	other := unit.Mile
	if u == unit.Mile {
		other = unit.Km
	}
	return distanceIn(metres, u), u.String(), distanceIn(metres, other) + "\u00a0" + other.String()
}

// dayText is a day in words, or what stands for none.
func dayText(d interval.Date, none string) string {
	if d.IsZero() {
		return none
	}
	return dateWords(d.Year, d.Month, d.Day)
}

// civil is the garage's day as the trade packages count with.
func (in *benchTyped) civil() interval.Date { return interval.NewDate(in.today().Date()) }

var dueBench = calculator{
	Name: "next-due", Title: "Due by distance or months",
	Sub: "When something is due again by distance or by months, whichever comes first, with the line through all readings of the odometer.",
	Fields: []benchField{
		{Name: "months", Label: "Every so many months", Hint: "Empty when only the distance counts.", Example: "12", Unit: "months", Optional: true},
		{Name: "distance", Label: "Every so far", Hint: "Empty when only the months count.", Example: "10000", Units: benchDistances, Optional: true},
		{Name: "done", Label: "Last done on", Kind: aDate, Example: "2026-01-10"},
		{Name: "done_at", Label: "Odometer then", Hint: "What is chosen here is the unit of the readings too.", Example: "120000", Units: benchDistances, Optional: true},
		{
			Name: "readings", Label: "Readings since or before", Kind: someLines, Optional: true, Example: "2026-04-12 121860",
			Hint: "One a line, its day first: 2026-04-12 121860. The latest is where the car stands now.",
		},
	},
	About: benchAbout{
		Formula: "Due = the earlier of last day + months and day of the latest reading + ⌈(last + interval − now)/rate⌉ days. The rate is the slope of the least-squares line through the readings of the last year.",
		Source:  computed,
		Range:   fmt.Sprintf("Readings up to 10 000 000 km, at most 1200 months. A rate takes readings that cover at least %d days; the last time it was done is one of them.", interval.RateDays),
		Limits:  "Days on which the car is laid up, a cluster that was swapped in between, engine hours, the maker's own display, and short trips. " + interval.SevereUse + " These ask for it sooner.",
	},
	Work: workDue,
}

func workDue(in *benchTyped) (a BenchAnswer) {
	rule := interval.Rule{Months: in.whole("months"), Metres: in.metres("distance")}
	last := interval.Reading{On: in.date("done"), Metres: in.metres("done_at")}
	readings := in.readings()
	if in.text("months") == "" && in.text("distance") == "" {
		in.wrong("months", "Give months, a distance, or both.")
	}
	if in.text("distance") != "" {
		if in.text("done_at") == "" {
			in.wrong("done_at", "For a distance it takes the odometer when it was last done, like 120000.")
		}
		if in.text("readings") == "" {
			in.wrong("readings", "For a distance it takes a reading of now too, like 2026-04-12 121860.")
		}
	}
	if !in.ok() {
		return a
	}
	if in.text("done_at") == "" {
		readings = nil // without a distance they say nothing, and the last time has none to go with them
	}
	now := last
	for _, r := range readings {
		if now.On.Before(r.On) || now.On == r.On && now.Metres < r.Metres {
			now = r
		}
	}
	rate, err := interval.DailyRate(slices.Concat(readings, []interval.Reading{last}), nil)
	if in.refused(err) {
		return a
	}
	due, err := interval.NextDue(rule, last, now, rate, nil)
	if in.refused(err, "rule", in.limitTyped(), "last", "done_at", "now", "readings") {
		return a
	}
	in.sayDue(&a, rule, due, now, rate)
	return a
}

// limitTyped is the field at which a limit that is none is noted.
func (in *benchTyped) limitTyped() string {
	if in.text("months") == "" {
		return "distance"
	}
	return "months"
}

// readings are lines of a day and what the odometer showed on it.
func (in *benchTyped) readings() (readings []interval.Reading) {
	bare := in.distanceUnit("done_at")
	for _, l := range in.lines("readings") {
		on, shown, _ := strings.Cut(l.Text, " ")
		d, err := garage.ParseDate(on)
		if err != nil || d.Year < 1900 || d.Year > 2199 {
			in.wrongLine("readings", l, "begin with a day from 1900 to 2199, like 2026-04-12 121860.")
			continue
		}
		q, err := unit.ParseIn(shown, bare)
		if err != nil {
			in.wrongLine("readings", l, err.Error())
			continue
		}
		readings = append(readings, interval.Reading{On: interval.NewDate(d.Year, d.Month, d.Day), Metres: wholeMetres(q)})
	}
	return readings
}

func (in *benchTyped) sayDue(a *BenchAnswer, rule interval.Rule, due interval.Due, now interval.Reading, rate interval.Rate) {
	u, today := in.distanceUnit("done_at"), in.civil()
	by := map[interval.Cause]string{interval.ByTime: "by the months", interval.ByDistance: "by the distance"}
	a.Figures = []BenchFigure{{Label: "Next due", Value: dayText(due.On, "not known"), Also: by[due.By]}}
	if rule.Months > 0 {
		a.row("By the months", dayText(due.Time, ""), fmt.Sprintf("%d months after it was done.", rule.Months))
	}
	if rule.Metres > 0 {
		value, name, also := bothDistances(due.LeftMetres, u)
		a.row("By the distance", dayText(due.Distance, "no day known"), fmt.Sprintf("%s\u00a0%s (%s) left at the reading of %s.", value, name, also, now.On))
		a.row("Runs in a day", in.rateText(rate, u), "From the readings and the last time it was done.")
	}
	switch {
	case due.OverdueMetres() > 0:
		a.bad("overdue", "The distance is passed by "+distanceIn(due.OverdueMetres(), u)+"\u00a0"+u.String()+".")
	case rule.Metres > 0 && due.Distance.IsZero() && rate == 0:
		a.look(fmt.Sprintf("No day for the distance: the readings cover less than %d days, or the car has not moved.", interval.RateDays))
	case rule.Metres > 0 && due.Distance.IsZero():
		a.look("At that rate the distance is more than a hundred years away.")
	}
	if n := due.OverdueDays(today); n > 0 {
		a.bad("overdue", fmt.Sprintf("The months have passed %s ago.", countWords(n, "day", "days")))
	}
	if today.Before(now.On) {
		a.look("The latest reading is of a day that has not come yet.")
	}
}

func (in *benchTyped) rateText(rate interval.Rate, u unit.Unit[unit.DistanceKind]) string {
	if rate == 0 {
		return "not known"
	}
	return fixed(unit.Km.Of(float64(rate)/1000).In(u), 1) + "\u00a0" + u.String()
}

var ageBench = calculator{
	Name: "component-age", Title: "Age of a component",
	Sub: "How far and how long a part has run, also one that came used from another car.",
	Fields: []benchField{
		{Name: "from", Label: "Odometer when it was fitted", Example: "120000", Units: benchDistances},
		{Name: "to", Label: "Odometer now", Hint: "Or when it was taken off.", Example: "130000", Units: benchDistances},
		{Name: "before", Label: "Had run before", Hint: "On other cars; empty for a new part.", Example: "50000", Units: benchDistances, Optional: true},
		{Name: "fitted", Label: "Fitted on", Kind: aDate, Optional: true, Example: "2024-02-29"},
		{Name: "off", Label: "Taken off on", Hint: "Empty while it is still on the car.", Kind: aDate, Optional: true},
	},
	About: benchAbout{
		Formula: "Distance = what it had run before + odometer now − odometer when fitted. Time = whole months from the day it was fitted, and the days over.",
		Source:  computed,
		Range:   "Up to 10 000 000 km.",
		Limits:  "A cluster that was swapped in between, engine hours, the age of a part since it was made, and its condition.",
	},
	Work: workAge,
}

func workAge(in *benchTyped) (a BenchAnswer) {
	stint := interval.Stint{From: in.metres("from"), To: in.metres("to")}
	before, fitted, off := in.metres("before"), in.date("fitted"), in.date("off")
	if fitted.IsZero() && !off.IsZero() {
		in.wrong("fitted", "To count the time it takes the day it was fitted, like 2024-02-29.")
	}
	if off.IsZero() {
		off = in.civil()
	}
	if !fitted.IsZero() && off.Before(fitted) {
		in.wrong("fitted", "That day is after the one to which the time is counted.")
	}
	if !in.ok() {
		return a
	}
	run, err := interval.ComponentMetres(before, stint)
	if in.refused(err, "stints", "to") {
		return a
	}
	u := in.distanceUnit("to")
	value, name, also := bothDistances(run, u)
	a.Figures = []BenchFigure{{Label: "It has run", Value: value, Unit: name, Also: also}}
	here, name, also := bothDistances(stint.To-stint.From, u)
	a.row("Of that on this car", here+"\u00a0"+name+" ("+also+")", "")
	if !fitted.IsZero() {
		months := fitted.Months(off)
		over := fitted.AddMonths(months).Days(off)
		a.row("Time on this car", countWords(months, "month", "months")+" and "+countWords(over, "day", "days"), "To "+dayText(off, "")+".")
	}
	return a
}
