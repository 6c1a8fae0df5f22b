package planner_test

import (
	"encoding/json"
	"fmt"
	"math/big"
	"strings"
	"time"
)

// instant reads a time that has an hour; what it cannot read is a complaint, so that nothing passes unread.
func (c *checker) instant(s string) int {
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04", "2006-01-02T15:04:05"} {
		if t, err := time.ParseInLocation(layout, s, c.loc); err == nil {
			return int(t.Unix() / 60)
		}
	}
	c.fail("time", "cannot read %q", s)
	return 0
}

// written reads a span of the answer, whose times carry the zone's offset.
func (c *checker) written(from, to string) span {
	s := span{c.instant(from), c.instant(to)}
	if s.to < s.from {
		c.fail("time", "%s to %s runs backwards", from, to)
	}
	for text, minute := range map[string]int{from: s.from, to: s.to} {
		want := c.timeAt(minute).Format(time.RFC3339)
		if text != want {
			c.fail("time", "%s is written for %s", text, want)
		}
	}
	return s
}

func bareDate(s string) bool { return len(s) == len("2006-01-02") }

// startOf is the first instant of a civil day of the zone, found by walking up to it: on days whose midnight
// does not exist it is the first minute that bears the date.
func (c *checker) startOf(date string) int {
	if m, ok := c.days[date]; ok {
		return m
	}
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		c.fail("time", "cannot read date %q", date)
		return 0
	}
	t := day.Add(-26 * time.Hour)
	for t.In(c.loc).Format(time.DateOnly) < date {
		t = t.Add(15 * time.Minute)
	}
	m := int(t.Unix() / 60)
	c.days[date] = m
	return m
}

func (c *checker) dateOf(minute int) string {
	return c.timeAt(minute).Format(time.DateOnly)
}

func addDays(date string, n int) string {
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	return day.AddDate(0, 0, n).Format(time.DateOnly)
}

// endOf reads a time whose bare date means the end of that day.
func (c *checker) endOf(s string) int {
	if bareDate(s) {
		return c.startOf(addDays(s, 1))
	}
	return c.instant(s)
}

// beginOf reads a time whose bare date means the start of that day.
func (c *checker) beginOf(s string) int {
	if bareDate(s) {
		return c.startOf(s)
	}
	return c.instant(s)
}

// quantile is the value at the asked confidence on the line through (0.1, low), (0.5, likely), (0.9, high),
// rounded up, in exact fractions.
func (c *checker) quantile(low, likely, high int) int {
	conf := big.NewRat(8, 10)
	if c.p.Confidence != "" {
		conf.SetString(string(c.p.Confidence))
	}
	half, step := big.NewRat(1, 2), big.NewRat(4, 10)
	share := new(big.Rat).Quo(new(big.Rat).Sub(conf, half), step)
	from, to := likely, high
	if share.Sign() < 0 {
		share.Add(share, big.NewRat(1, 1))
		from, to = low, likely
	}
	switch {
	case share.Cmp(big.NewRat(1, 1)) > 0:
		share.SetInt64(1)
	case share.Sign() < 0:
		share.SetInt64(0)
	}
	v := new(big.Rat).Mul(share, big.NewRat(int64(to-from), 1))
	v.Add(v, big.NewRat(int64(from), 1))
	up := new(big.Int).Add(v.Num(), new(big.Int).Sub(v.Denom(), big.NewInt(1)))
	return int(up.Div(up, v.Denom()).Int64())
}

// three reads one value or three.
func three[T any](raw json.RawMessage) ([]T, error) {
	var list []T
	if err := json.Unmarshal(raw, &list); err == nil {
		if len(list) != 1 && len(list) != 3 {
			return nil, fmt.Errorf("%d values", len(list))
		}
		if len(list) == 1 {
			return []T{list[0], list[0], list[0]}, nil
		}
		return list, nil
	}
	var one T
	if err := json.Unmarshal(raw, &one); err != nil {
		return nil, err
	}
	return []T{one, one, one}, nil
}

func absent(raw json.RawMessage) bool { return len(raw) == 0 || string(raw) == "null" }

// arrival is when something dated is there, at the asked confidence and never before now.
func (c *checker) arrival(raw json.RawMessage) int {
	list, err := three[string](raw)
	if err != nil {
		c.fail("time", "cannot read %s: %v", raw, err)
		return 0
	}
	if bareDate(list[0]) && bareDate(list[1]) && bareDate(list[2]) {
		n := make([]int, 3)
		for i, s := range list {
			d, _ := time.Parse(time.DateOnly, s)
			n[i] = int(d.Unix() / 86400)
		}
		day := time.Unix(int64(c.quantile(n[0], n[1], n[2]))*86400, 0).UTC().Format(time.DateOnly)
		return max(c.now, c.endOf(day))
	}
	return max(c.now, c.quantile(c.endOf(list[0]), c.endOf(list[1]), c.endOf(list[2])))
}

// lead is how many days an order made today takes, at the asked confidence.
func (c *checker) lead(part *givenPart) int {
	list, err := three[int](part.OrderLeadDays)
	if err != nil {
		c.fail("time", "cannot read %s: %v", part.OrderLeadDays, err)
		return 0
	}
	return c.quantile(list[0], list[1], list[2])
}

// ordered is when a part ordered now can be used.
func (c *checker) ordered(part *givenPart) int {
	return c.startOf(addDays(c.dateOf(c.now), c.lead(part)+1))
}

// outsideEnd is when outside work of n days ends: n whole working days of the vendor after it began.
func (c *checker) outsideEnd(from, n int, workingDays []string) int {
	if len(workingDays) == 0 {
		workingDays = []string{"mon", "tue", "wed", "thu", "fri"}
	}
	end, date := from, c.dateOf(from)
	for counted, tries := 0, 0; counted < n && tries < 5000; tries++ {
		day, _ := time.Parse(time.DateOnly, date)
		name := strings.ToLower(day.Weekday().String()[:3])
		if c.startOf(date) >= from && strings.Contains(strings.Join(workingDays, " "), name) {
			counted++
			end = c.startOf(addDays(date, 1))
		}
		date = addDays(date, 1)
	}
	return end
}
