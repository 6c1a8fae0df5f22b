package caution

import (
	"errors"
	"strings"
	"testing"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

func refused(t *testing.T, what string, err error, field, says string) {
	t.Helper()
	e, ok := errors.AsType[*input.Error](err)
	if !ok || e.Field != field || !strings.Contains(e.Sentence, says) {
		t.Errorf("%s: got %v, want %s: …%s…", what, err, field, says)
	}
}

// What each caution must not lose. Sources are those that stand with them.
func TestFor_says_what_matters(t *testing.T) {
	t.Parallel()
	for topic, words := range map[Topic][]string{
		Jacks:       {"level", "chocked", "in pairs", "never a jack alone", "Push", "sill"},
		Lift:        {"lifting points", "locks", "Nobody in the car", "balance", "once a year"},
		Airbags:     {"Battery off", "as long as the maker says", "Never measure an igniter", "face up"},
		HighVoltage: {"60 V DC", "30 V AC", "qualified", "prove it dead"},
		Chassis:     {"second time", "low speed", "paint and eyes"},
		Asbestos:    {"no compressed air", "five brake jobs a week", "29 CFR 1910.1001"},
		Fuel:        {"cold", "no sparks", "extinguisher", "never in a pit"},
		Cooling:     {"hot system", "pets"},
		Refrigerant: {"must not", "certified", "608 and 609", "2024/573", "2025/1893"},
		UsedOil:     {"million gallons", "collection point", "530-F-94-008"},
		Other:       {"Springs", "starter", "carbon monoxide", "skin"},
		Road:        {"approval", "unsafe modification", "2014/45/EU"},
	} {
		c, ok := For(topic)
		if !ok || c.Source == "" {
			t.Errorf("%s: %v, %t", topic, c, ok)
		}
		for _, w := range words {
			if !strings.Contains(c.String(), w) {
				t.Errorf("%s lost %q: %s", topic, w, c)
			}
		}
	}
	if _, ok := For("weather"); ok || len(All()) != 12 {
		t.Errorf("%d cautions", len(All()))
	}
	if !strings.Contains(Standing, "manufacturer's service information") || !strings.Contains(Standing, "not for safety-critical joints") {
		t.Error("the standing text lost its words")
	}
}

// 1, 10 and 30 minutes are all printed as the one wait before work on airbags; there is no default, and none is named.
func TestAirbags_have_no_default_wait(t *testing.T) {
	t.Parallel()
	c, _ := For(Airbags)
	if strings.ContainsAny(c.Text, "0123456789") || c.Before == "" {
		t.Errorf("the caution names a wait, or asks for none: %+v", c)
	}
	refused(t, "nothing written", CheckAirbagWait(0, ""), "wait", "no usual value")
	refused(t, "no source", CheckAirbagWait(10, ""), "source", "where")
	refused(t, "a slip", CheckAirbagWait(100_000, "handbook p. 12"), "wait", "minutes")
	if err := CheckAirbagWait(10, "handbook p. 12"); err != nil {
		t.Error(err)
	}
}

func TestCheckStands(t *testing.T) {
	t.Parallel()
	if err := CheckStands(unit.Kilogram.Of(900), unit.Kilogram.Of(900)); err != nil {
		t.Error(err)
	}
	refused(t, "too weak", CheckStands(unit.Kilogram.Of(899), unit.Kilogram.Of(900)), "rating", "stronger")
	refused(t, "in other units", CheckStands(unit.Pound.Of(1900), unit.Kilogram.Of(900)), "rating", "1984 lb")
	refused(t, "not known", CheckStands(unit.Mass{}, unit.Kilogram.Of(900)), "rating", "Give")
	refused(t, "axle not known", CheckStands(unit.Kilogram.Of(900), unit.Mass{}), "axle", "Give")
}

func TestOnLift(t *testing.T) {
	t.Parallel()
	good := OnLift{Rating: unit.Kilogram.Of(3000), Arms: unit.Kilogram.Of(1500), Kerb: unit.Kilogram.Of(1400), Load: unit.Kilogram.Of(100), Front: 0.6}
	if err := good.Check(); err != nil {
		t.Error(err)
	}
	for field, spoil := range map[string]func(*OnLift){
		"rating":      func(l *OnLift) { l.Load = unit.Kilogram.Of(1601) },
		"arms":        func(l *OnLift) { l.Arms = unit.Kilogram.Of(899) },
		"kerb mass":   func(l *OnLift) { l.Kerb = unit.Mass{} },
		"load":        func(l *OnLift) { l.Load = unit.Kilogram.Of(-1) },
		"front share": func(l *OnLift) { l.Front = 0 },
	} {
		l := good
		spoil(&l)
		refused(t, field, l.Check(), field, "")
	}
	rear := good
	rear.Front, rear.Arms = 0.4, unit.Kilogram.Of(899)
	refused(t, "a heavy rear axle", rear.Check(), "arms", "900 kg")
}
