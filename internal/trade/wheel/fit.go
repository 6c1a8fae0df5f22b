package wheel

import (
	"fmt"
	"math"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Required is what a car's papers ask of its tyres.
type Required struct {
	Load  int    // load index
	Speed string // speed symbol
}

// FitTyre holds a size against what the car requires and against the size that it has now, which may be none. A tyre that
// does not say its load index or speed symbol does not pass. Winter tyres may be allowed a lower symbol; that is the
// country's to say.
func FitTyre(z Size, need Required, now Size) ([]Finding, error) {
	needLoad, err := LoadOf(need.Load)
	if err != nil {
		return nil, err
	}
	needSpeed, err := SpeedOf(need.Speed)
	if err != nil {
		return nil, err
	}
	var found []Finding
	add := func(bad bool, code, text string, args ...any) {
		found = append(found, Finding{code, fmt.Sprintf(text, args...), bad})
	}
	if load, err := LoadOf(z.Load); err != nil {
		add(true, "load", "%s does not say its load index; the car needs %d.", z, need.Load)
	} else if z.Load < need.Load {
		add(true, "load", "Load index %d carries %s; the car needs %d, %s.", z.Load, load, need.Load, needLoad)
	}
	if top, _, err := z.Top(); err != nil {
		add(true, "speed", "%s does not say its speed symbol; the car needs %s.", z, need.Speed)
	} else if top.Compare(needSpeed) < 0 {
		add(true, "speed", "Speed symbol %s is for %s; the car needs %s, %s. For winter tyres some countries allow less.", z.Speed, top, need.Speed, needSpeed)
	}
	if now == (Size{}) {
		return found, nil
	}
	percent, err := z.Larger(now)
	if err != nil {
		return found, err
	}
	switch {
	case percent > 0.05:
		add(false, "diameter", "Its diameter is %.1f %% larger: speedometer and odometer read less than is true.", percent)
	case percent < -0.05:
		add(false, "diameter", "Its diameter is %.1f %% smaller: speedometer and odometer read more than is true.", -percent)
	}
	return found, nil
}

// Seat is how a bolt or nut sits in the wheel.
type Seat string

// Seats; SeatUnknown when nobody has looked.
const (
	SeatUnknown Seat = ""
	SeatCone    Seat = "60° cone"
	SeatBall    Seat = "ball"
	SeatFlat    Seat = "flat"
)

// Hub is what a wheel is bolted to.
type Hub struct {
	Bolts  int
	Circle unit.Length // diameter of the circle on which the bolts stand
	Bore   unit.Length // diameter of the hub's spigot
	Seat   Seat
}

// leastTurns of thread in the hub; common practice, no source.
const leastTurns = 6.5

// FitRim holds a wheel against the hub; engaged is how many turns its bolts go in. Common practice, no source. What is not
// known on either side is something to look at. It knows nothing of clearance, and says so.
func FitRim(r Rim, seat Seat, hub Hub, engaged float64) []Finding {
	var found []Finding
	add := func(bad bool, code, text string, args ...any) {
		found = append(found, Finding{code, fmt.Sprintf(text, args...), bad})
	}
	circle, bore := hub.Circle.In(unit.Mm), hub.Bore.In(unit.Mm)
	switch {
	case r.Bolts == 0 || hub.Bolts == 0 || circle == 0:
		add(false, "bolts", "Compare number and circle of the bolts.")
	case r.Bolts != hub.Bolts || math.Abs(r.Circle-circle) > 0.05: // 4.5 in are 114.3 mm
		add(true, "bolts", "The wheel has %d×%s, the hub %d×%s. They must be the same: even 112 and 114.3 do not fit each other.", r.Bolts, plain(r.Circle), hub.Bolts, plain(circle))
	}
	switch {
	case r.Bore == 0 || bore == 0:
		add(false, "bore", "Compare the wheel's bore with the hub.")
	case r.Bore < bore:
		add(true, "bore", "The wheel's bore of %s mm is smaller than the hub of %s mm.", plain(r.Bore), plain(bore))
	case r.Bore > bore:
		add(false, "bore", "The wheel's bore of %s mm is larger than the hub of %s mm: it needs a ring to be centred.", plain(r.Bore), plain(bore))
	}
	switch {
	case seat == SeatUnknown || hub.Seat == SeatUnknown:
		add(false, "seat", "Compare the seat: 60° cone, ball or flat.")
	case seat != hub.Seat:
		add(true, "seat", "The wheel has a seat for %s, the bolts are for %s.", seat, hub.Seat)
	}
	switch {
	case engaged == 0:
		add(false, "engagement", "Count the turns that a bolt goes in: at least 6.5.")
	case !(engaged >= leastTurns):
		add(true, "engagement", "A bolt that goes in %s turns holds too little: at least 6.5.", plain(engaged))
	}
	add(false, "clearance", "Turn the wheel by hand and at full lock, and look at brake, strut and body.")
	return found
}

// TreadLeast is the least depth of tread on the road in the EU, Directive 89/459/EEC (from memory).
var TreadLeast = unit.Mm.Of(1.6)

// CheckTread compares a measured depth with [TreadLeast].
func CheckTread(depth unit.Length) ([]Finding, error) {
	if depth.IsZero() || depth.Value() < 0 {
		return nil, input.Wrong("tread", "Give the depth that was measured, like 4 mm.")
	}
	if depth.Compare(TreadLeast) < 0 {
		return []Finding{{"tread", fmt.Sprintf("%s is less than the %s that the road asks for.", depth, TreadLeast), true}}, nil
	}
	return nil, nil
}
