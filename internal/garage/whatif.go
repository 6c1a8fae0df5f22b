package garage

import (
	"slices"
	"strconv"
	"strings"
	"time"
)

// Supposition is one thing of a garage supposed to be otherwise than it is: what if the donor came a week later? It can be
// written into an address.
type Supposition struct {
	Kind     SupposedKind
	ID       int64     // the car, arrival, part or job
	Days     int       // later; negative is earlier
	Quantity int       // more of a part
	PartID   PartID    // of a need
	From, To time.Time // a session; To only of a further one
	Helpers  int       // in the session
}

// SupposedKind is what a supposition is about.
type SupposedKind string

// The kinds of supposition.
const (
	CarLater   SupposedKind = "car-later"  // a car arrives so many days later
	CarHere    SupposedKind = "car-here"   // a car has arrived
	PartLater  SupposedKind = "part-later" // an arrival comes so many days later
	PartHere   SupposedKind = "part-here"  // an arrival has come
	InStock    SupposedKind = "in-stock"   // so many more of a part are on hand
	WithHelp   SupposedKind = "helpers"    // so many helpers are there in a session
	MoreTime   SupposedKind = "session"    // there is a further session
	WithoutJob SupposedKind = "without"    // a job is not done
	FixedJob   SupposedKind = "fixed"      // a job is done in a session
	OtherPart  SupposedKind = "other-part" // a need is met by another part
	OffDonor   SupposedKind = "off-donor"  // a job takes a part off a donor
	OrderedNow SupposedKind = "ordered"    // so many of a part are ordered on a day
)

// Kept says whether the supposition can be made true by entering it: nobody makes a part come by saying so.
func (x Supposition) Kept() bool {
	return x.Kind != InStock && x.Kind != PartHere && x.Kind != WithoutJob && x.Kind != OrderedNow
}

const (
	supposedDay   = "2006-01-02T1504"
	supposedClock = "1504"
	mostDays      = 730
)

// Text writes a supposition for an address, times in the garage's zone: fixed_6_2027-03-13T0900.
func (x Supposition) Text(zone *time.Location) string {
	id, from := strconv.FormatInt(x.ID, 10), x.From.In(zone).Format(supposedDay)
	words := []string{string(x.Kind)}
	switch x.Kind {
	case CarLater, PartLater:
		words = append(words, id, strconv.Itoa(x.Days))
	case InStock:
		words = append(words, id, strconv.Itoa(x.Quantity))
	case OrderedNow:
		words = append(words, id, strconv.Itoa(x.Quantity), from)
	case OtherPart:
		words = append(words, id, strconv.FormatInt(int64(x.PartID), 10))
	case WithHelp:
		words = append(words, from, strconv.Itoa(x.Helpers))
	case MoreTime:
		words = append(words, from, x.To.In(zone).Format(supposedClock), strconv.Itoa(x.Helpers))
	case FixedJob:
		words = append(words, id, from)
	default:
		words = append(words, id)
	}
	return strings.Join(words, "_")
}

// ParseSupposition reads what Text wrote; false for anything else.
func ParseSupposition(text string, zone *time.Location) (Supposition, bool) {
	r := wordReader{words: strings.Split(text, "_"), zone: zone}
	x := Supposition{Kind: SupposedKind(r.next())}
	switch x.Kind {
	case CarLater, PartLater:
		x.ID, x.Days = r.id(), r.int(-mostDays, mostDays)
	case InStock:
		x.ID, x.Quantity = r.id(), r.int(1, 1_000_000)
	case OrderedNow:
		x.ID, x.Quantity, x.From = r.id(), r.int(1, 1_000_000), r.instant()
	case OtherPart:
		x.ID, x.PartID = r.id(), PartID(r.id())
	case WithHelp:
		x.From, x.Helpers = r.instant(), r.int(0, 9)
	case MoreTime:
		x.From = r.instant()
		x.To, x.Helpers = r.clock(x.From), r.int(0, 9)
		r.failed = r.failed || !x.From.Before(x.To)
	case FixedJob:
		x.ID, x.From = r.id(), r.instant()
	case CarHere, PartHere, WithoutJob, OffDonor:
		x.ID = r.id()
	default:
		r.failed = true
	}
	return x, !r.failed && len(r.words) == 0
}

// wordReader reads the words of a supposition one by one and remembers whether one did not fit.
type wordReader struct {
	words  []string
	zone   *time.Location
	failed bool
}

func (r *wordReader) next() string {
	if len(r.words) == 0 {
		r.failed = true
		return ""
	}
	word := r.words[0]
	r.words = r.words[1:]
	return word
}

func (r *wordReader) int(low, high int) int {
	n, err := strconv.Atoi(r.next())
	r.failed = r.failed || err != nil || n < low || n > high
	return n
}

func (r *wordReader) id() int64 {
	n, err := strconv.ParseInt(r.next(), 10, 64)
	r.failed = r.failed || err != nil || n < 1
	return n
}

func (r *wordReader) instant() time.Time {
	t, err := time.ParseInLocation(supposedDay, r.next(), r.zone)
	r.failed = r.failed || err != nil || t.Year() < 1900 || t.Year() > 2199
	return t
}

// clock is a time of day on the day of an instant; 0000 is its end.
func (r *wordReader) clock(from time.Time) time.Time {
	t, err := time.Parse(supposedClock, r.next())
	r.failed = r.failed || err != nil
	minute := t.Hour()*60 + t.Minute()
	if minute == 0 {
		minute = 24 * 60
	}
	return time.Date(from.Year(), from.Month(), from.Day(), 0, minute, 0, 0, r.zone)
}

// In is the garage as supposed; s itself stays as it is. ErrNotFound when there is nothing in it that could be so.
func (x Supposition) In(s Snapshot) (Snapshot, error) {
	found := false
	switch x.Kind {
	case CarLater, CarHere:
		s.Cars, found = changed(s.Cars, x.car)
	case PartLater:
		s.Arrivals, found = changed(s.Arrivals, func(a *Arrival) bool {
			a.Low, a.Likely, a.High = a.Low.AddDays(x.Days), a.Likely.AddDays(x.Days), a.High.AddDays(x.Days)
			return int64(a.ID) == x.ID
		})
	case PartHere:
		s, found = x.arrived(s)
	case InStock:
		found = slices.ContainsFunc(s.Parts, func(p Part) bool { return int64(p.ID) == x.ID })
		s.Stock = append(slices.Clone(s.Stock), Stock{PartID: PartID(x.ID), Quantity: x.Quantity, Grade: gradeOf(s, PartID(x.ID))})
	case WithHelp, MoreTime:
		s.Exceptions, found = x.day(s)
	case WithoutJob:
		found = slices.ContainsFunc(s.Jobs, func(j Job) bool { return int64(j.ID) == x.ID })
		s.Stages = slices.DeleteFunc(slices.Clone(s.Stages), func(t Stage) bool { return int64(t.JobID) == x.ID })
	case OtherPart:
		s.Needs, found = changed(s.Needs, func(n *Need) bool {
			n.PartID, n.PinnedAt = x.PartID, nil
			return int64(n.ID) == x.ID
		})
		found = found && slices.ContainsFunc(s.Parts, func(p Part) bool { return p.ID == x.PartID })
	case OffDonor:
		s, found = x.harvested(s)
	case OrderedNow:
		s, found = x.ordered(s)
	case FixedJob:
		s.Jobs, found = changed(s.Jobs, func(j *Job) bool {
			j.PinnedAt = &x.From
			return int64(j.ID) == x.ID
		})
	}
	if !found {
		return s, ErrNotFound
	}
	return s, nil
}

// supposedRecord is from where on records are numbered that only a supposition has.
const supposedRecord = 1 << 50

// Supposed says that a job is only supposed: there is no record of it.
func (j Job) Supposed() bool { return j.ID >= supposedRecord }

// HarvestOf is the job that takes a part off a donor, alone, as it is supposed or made: nil minutes are taken to be an hour.
func HarvestOf(d DonorPart, part, currency string) HarvestPlan {
	likely := 60
	if d.RemovalMinutes != nil {
		likely = *d.RemovalMinutes
	}
	return HarvestPlan{
		CarID: d.CarID, Title: "Take off: " + part, Parts: []DonorPartID{d.ID}, Low: max(1, likely*3/4), Likely: likely, High: likely * 2, Currency: currency,
	}
}

// harvested has a job take a part off a donor, which no job does yet.
func (x Supposition) harvested(s Snapshot) (Snapshot, bool) {
	i := slices.IndexFunc(s.DonorParts, func(d DonorPart) bool { return int64(d.ID) == x.ID && d.HarvestJobID == nil })
	if i < 0 {
		return s, false
	}
	d := s.DonorParts[i]
	plan := HarvestOf(d, find(s.Parts, func(p Part) bool { return p.ID == d.PartID }).Name, s.Settings.Currency)
	job := Job{ID: JobID(supposedRecord + x.ID), CarID: d.CarID, Kind: Harvest, Title: plan.Title, Weight: 3, Currency: plan.Currency}
	stage := Stage{ID: StageID(supposedRecord + x.ID), JobID: job.ID, Position: 1, Name: plan.Title, Kind: Bench, Low: plan.Low, Likely: plan.Likely, High: plan.High}
	d.HarvestJobID = &job.ID
	s.DonorParts = slices.Clone(s.DonorParts)
	s.DonorParts[i] = d
	s.Jobs, s.Stages = append(slices.Clone(s.Jobs), job), append(slices.Clone(s.Stages), stage)
	return s, true
}

// ordered has so many of a part ordered on a day; without days from ordering there is nothing to expect.
func (x Supposition) ordered(s Snapshot) (Snapshot, bool) {
	p := find(s.Parts, func(p Part) bool { return int64(p.ID) == x.ID })
	if p.LeadLikely == nil || x.From.IsZero() {
		return s, false
	}
	today := DateOf(x.From.In(s.Settings.Location()))
	s.Arrivals = append(slices.Clone(s.Arrivals), Arrival{
		ID: ArrivalID(supposedRecord + x.ID), PartID: p.ID, Quantity: x.Quantity, Supplier: p.Supplier,
		Low: today.AddDays(*p.LeadLow), Likely: today.AddDays(*p.LeadLikely), High: today.AddDays(*p.LeadHigh),
	})
	return s, true
}

// changed is the list with the records changed that change says it is for.
func changed[T any](list []T, change func(*T) bool) (all []T, found bool) {
	all = slices.Clone(list)
	for i := range all {
		if record := all[i]; change(&record) {
			all[i], found = record, true
		}
	}
	return all, found
}

// car changes a car that is still to come.
func (x Supposition) car(c *Car) bool {
	if int64(c.ID) != x.ID || c.Stands != NotHere {
		return false
	}
	if x.Kind == CarHere {
		c.Stands = Outside
		return true
	}
	if c.ArrivesLow == nil {
		return false
	}
	low, likely, high := c.ArrivesLow.AddDays(x.Days), c.ArrivesLikely.AddDays(x.Days), c.ArrivesHigh.AddDays(x.Days)
	c.ArrivesLow, c.ArrivesLikely, c.ArrivesHigh = &low, &likely, &high
	return true
}

// arrived puts what an arrival brings into stock.
func (x Supposition) arrived(s Snapshot) (Snapshot, bool) {
	i := slices.IndexFunc(s.Arrivals, func(a Arrival) bool { return int64(a.ID) == x.ID })
	if i < 0 {
		return s, false
	}
	s.Stock = append(slices.Clone(s.Stock), Stock{
		PartID: s.Arrivals[i].PartID, Quantity: s.Arrivals[i].Quantity, Grade: gradeOf(s, s.Arrivals[i].PartID),
	})
	s.Arrivals = slices.Delete(slices.Clone(s.Arrivals), i, i+1)
	return s, true
}

func gradeOf(s Snapshot, part PartID) string {
	return find(s.Parts, func(p Part) bool { return p.ID == part }).Grade
}

// day is the garage's exceptions with those of the session's day written out as supposed: a date with exceptions follows them
// alone, so that they name its other sessions too.
func (x Supposition) day(s Snapshot) ([]SessionException, bool) {
	zone := s.Settings.Location()
	date := DateOf(x.From.In(zone))
	sessions := Sessions(s.Patterns, s.Exceptions, date, date, zone)
	found := x.Kind == MoreTime
	if found {
		sessions = append(sessions, Session{From: x.From, To: x.To, Helpers: x.Helpers})
	}
	for i := range sessions {
		if x.Kind == WithHelp && sessions[i].From.Equal(x.From) {
			sessions[i].Helpers, found = x.Helpers, true
		}
	}
	var all, others []SessionException
	for _, e := range s.Exceptions {
		if e.OnDate == date {
			others = append(others, e)
		} else {
			all = append(all, e)
		}
	}
	for _, t := range sessions {
		e := SessionException{OnDate: date, FromMinute: minuteOf(t.From.In(zone)), ToMinute: minuteOf(t.To.In(zone)), Helpers: t.Helpers}
		if e.ToMinute == 0 {
			e.ToMinute = 24 * 60
		}
		for _, o := range others {
			if !o.Off && o.FromMinute == e.FromMinute {
				e.Note = o.Note
			}
		}
		all = append(all, e)
	}
	return all, found
}

func minuteOf(t time.Time) int { return t.Hour()*60 + t.Minute() }
