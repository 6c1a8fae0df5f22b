package fluid

import (
	"math"
	"strings"

	"axlestand/internal/trade/input"
)

// FreezingLabel belongs beside every freezing point from here: a product's own sheet goes before it.
const FreezingLabel = "Glycol base only: the product's own sheet goes before it."

// The fits' coefficients: CoolProp's AEG (ASHRAE data, by volume) and MEG2 (Melinder 2010, by mass).
var (
	ethyleneVolume = [6]float64{5.534468, -0.3574293, -0.6535113, -0.9039166, 1.048048, 4.622116}
	ethyleneMass   = [6]float64{5.561002, -0.2845158, -0.5327994, -0.3669494, 0.1827083, -1.110697}
)

// The ranges in which the freezing points are known.
const (
	EthyleneVolumeFrom, EthyleneVolumeTo   = Share(.10), Share(.60)
	EthyleneMassFrom, EthyleneMassTo       = Share(0), Share(.56)
	PropyleneVolumeFrom, PropyleneVolumeTo = Share(.10), Share(.50)
)

// The shares by volume at which engine coolant is meant to be used (ASTM D3306).
const (
	CoolantUseFrom = Share(.40)
	CoolantUseTo   = Share(.60)
)

func fit(a [6]float64, x float64) Celsius {
	sum := 0.0
	for i := len(a) - 1; i >= 0; i-- {
		sum = sum*x + a[i]
	}
	return Celsius(math.Exp(sum) - 273.15)
}

// inRange refuses a share for "share". It does not extrapolate: pure ethylene glycol freezes near −13 °C, so that the curve turns back.
func inRange(x, from, to Share) error {
	return input.Within("share", x, from, to, "The freezing point is known from %.0f to %.0f %% only; beyond that it rises again and nothing is said.", from.Percent(), to.Percent())
}

// FreezeEthyleneVolume is the freezing point of ethylene glycol and water by volume of glycol, from 10 to 60 %. Other shares
// are refused for "share".
func FreezeEthyleneVolume(x Share) (Celsius, error) {
	if err := inRange(x, EthyleneVolumeFrom, EthyleneVolumeTo); err != nil {
		return 0, err
	}
	return fit(ethyleneVolume, float64(x)-.35), nil
}

// FreezeEthyleneMass is the freezing point of ethylene glycol and water by mass of glycol, up to 56 %. Other shares are
// refused for "share".
func FreezeEthyleneMass(x Share) (Celsius, error) {
	if err := inRange(x, EthyleneMassFrom, EthyleneMassTo); err != nil {
		return 0, err
	}
	return fit(ethyleneMass, float64(x)-.28), nil
}

// propylene is the table of Lange's Handbook, 15th edition, 5.13: percent by volume and °C.
var propylene = [][2]float64{{10, -2.2}, {20, -6.7}, {25, -8.9}, {30, -12.8}, {35, -16.1}, {40, -20.6}, {45, -26.7}, {50, -33.3}}

// FreezePropyleneVolume is the freezing point of propylene glycol and water by volume of glycol, from 10 to 50 %, on a
// straight line between the table's values. Other shares are refused for "share".
func FreezePropyleneVolume(x Share) (Celsius, error) {
	if err := inRange(x, PropyleneVolumeFrom, PropyleneVolumeTo); err != nil {
		return 0, err
	}
	percent := x.Percent()
	i := 1
	for i < len(propylene)-1 && propylene[i][0] < percent {
		i++
	}
	low, high := propylene[i-1], propylene[i]
	t := (percent - low[0]) / (high[0] - low[0])
	return Celsius(low[1] + t*(high[1]-low[1])), nil
}

// ShareAgainst is the least share of ethylene glycol by volume that does not freeze above a temperature. One below the freezing
// point at 60 % is refused for "temperature".
func ShareAgainst(t Celsius) (Share, error) {
	low, high := EthyleneVolumeFrom, EthyleneVolumeTo
	coldest := fit(ethyleneVolume, float64(high)-.35)
	if !(t >= coldest) || t > 0 {
		return 0, input.Wrong("temperature", "Give a temperature from 0 down to %.0f °C; no share of glycol is known to reach further.", math.Ceil(float64(coldest)))
	}
	if fit(ethyleneVolume, float64(low)-.35) <= t {
		return low, nil
	}
	for range 60 { // halves the range to below what a float64 tells apart
		if mid := (low + high) / 2; fit(ethyleneVolume, float64(mid)-.35) <= t {
			high = mid
		} else {
			low = mid
		}
	}
	return high, nil
}

// Inhibitor is the kind of corrosion protection. Colour tells nothing of it: no standard gives colours.
type Inhibitor string

// The kinds.
const (
	UnknownInhibitor Inhibitor = ""
	IAT              Inhibitor = "IAT"    // inorganic
	OAT              Inhibitor = "OAT"    // organic acids
	HOAT             Inhibitor = "HOAT"   // organic acids with silicate or phosphate
	SiOAT            Inhibitor = "Si-OAT" // organic acids with silicate
)

// Coolant is what is known of a coolant: its kind and the specification printed on it.
type Coolant struct {
	Inhibitor     Inhibitor
	Specification string
}

// MixCoolant refuses, with a [*Refusal], to put two coolants together unless kind and specification are known to be the same.
// Common practice, no source.
func MixCoolant(a, b Coolant) error {
	switch {
	case a.Inhibitor == UnknownInhibitor || b.Inhibitor == UnknownInhibitor, squeeze(a.Specification) == "" || squeeze(b.Specification) == "":
		return &Refusal{Reason: "It is not known what one of them is, and the colour does not tell: do not mix, flush and fill anew."}
	case a.Inhibitor != b.Inhibitor:
		return &Refusal{Reason: "Do not mix " + string(a.Inhibitor) + " with " + string(b.Inhibitor) + ": flush and fill anew."}
	case !strings.EqualFold(squeeze(a.Specification), squeeze(b.Specification)):
		return &Refusal{Reason: "The specifications differ (" + a.Specification + ", " + b.Specification + "): do not mix, flush and fill anew."}
	}
	return nil
}

// CoolantWater is what coolant is thinned with. Common practice, no source.
const CoolantWater = "Demineralised water."

// RoundsError says that what has to be drained is more than can be: it then takes several rounds.
type RoundsError struct {
	Drain     Litres   // what would have to be drained at once
	Drainable Litres   // what can be
	Rounds    []Litres // what to drain and refill in each round instead, with a run to mix between them; empty if none reaches it
}

// Error is a plain sentence.
func (e *RoundsError) Error() string {
	if len(e.Rounds) == 0 {
		return "Draining what can be drained never gets there with this fill: use a stronger one, or flush."
	}
	return "More has to be drained than comes out at once: do it in several rounds and run the engine between them."
}

// mostRounds is more than anybody drains again and again.
const mostRounds = 50

// Correct is what to drain from a system of the total volume v and to refill with a fill of share fill, so that the share goes
// from now to wanted. Refused are a volume of none for "volume", shares outside 0 to 100 % for "now", "wanted" and
// "fill", a fill like what is there for "fill" and a share that is not between the two for "wanted". If more has to come
// out than drainable, it is a [*RoundsError] that has the rounds.
func Correct(v, drainable Litres, now, wanted, fill Share) (Litres, error) {
	if err := checkCorrect(v, drainable, now, wanted, fill); err != nil {
		return 0, err
	}
	left := float64((wanted - fill) / (now - fill)) // of the old
	x := v * Litres(1-left)
	if x <= drainable {
		return x, nil
	}
	return 0, &RoundsError{Drain: x, Drainable: drainable, Rounds: correctRounds(v, drainable, left)}
}

func checkCorrect(v, drainable Litres, now, wanted, fill Share) error {
	err := input.First(
		input.Positive("volume", v, "Give the volume of the whole system, more than zero."),
		input.Positive("drainable", drainable, "Give what comes out when it is drained, more than zero."),
		input.Within("now", now, 0, 1, "Give the share now, from 0 to 100 %."),
		input.Within("wanted", wanted, 0, 1, "Give the share wanted, from 0 to 100 %."),
		input.Within("fill", fill, 0, 1, "Give the share of what is filled in, from 0 to 100 %."),
	)
	switch {
	case err != nil:
		return err
	case drainable > v:
		return input.Wrong("drainable", "No more can come out than the system holds.")
	case fill == now:
		return input.Wrong("fill", "A fill of the same share changes nothing.")
	case wanted < min(now, fill) || wanted > max(now, fill):
		return input.Wrong("wanted", "The share wanted must lie between what is in it now and what is filled in.")
	}
	return nil
}

// correctRounds drains all that can be drained until the last round, which needs less.
func correctRounds(v, drainable Litres, left float64) []Litres {
	keeps := float64(1 - drainable/v)
	var rounds []Litres
	for keeps > left {
		if len(rounds) == mostRounds {
			return nil
		}
		rounds = append(rounds, drainable)
		left /= keeps
	}
	return append(rounds, v*Litres(1-left))
}
