package torque

import (
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Factor is the range of K in T = K·d·F for a surface, with its source.
type Factor struct {
	Surface   string
	Low, High float64
	Source    string
}

const (
	practice = "common practice, no source"
	bickford = "Bickford & Nassar, Handbook of Bolts and Bolted Joints, chapter 2 (from memory)"
	shigley  = "Shigley, table 8-15 (from memory)"
)

// Factors are values of K in circulation. They differ by more than any bolt would forgive, which is why they only explain.
var Factors = []Factor{
	{"dry steel", 0.18, 0.27, practice},
	{"machine oil", 0.10, 0.26, practice},
	{"cadmium", 0.15, 0.19, practice},
	{"phosphate and oil", 0.15, 0.22, practice},
	{"zinc", 0.17, 0.35, practice},
	{"stainless", 0.30, 0.50, practice},
	{"bare", 0.20, 0.20, bickford},
	{"cadmium, dry", 0.20, 0.20, bickford},
	{"zinc, dry", 0.295, 0.295, bickford},
	{"black", 0.30, 0.30, shigley},
	{"zinc", 0.20, 0.20, shigley},
	{"lubricated", 0.18, 0.18, shigley},
	{"cadmium", 0.16, 0.16, shigley},
	{"anti-seize", 0.12, 0.12, shigley},
}

// Scatter says how far the preload reached by torque strays: α_A 1.4 to 1.8 in VDI 2230 table A8 (from memory).
const Scatter = "The preload reached by torque strays by 25 to 30 % either way."

func checkFactor(field string, k float64) error {
	return input.Within(field, k, 0.05, 0.6, "K lies between 0.05 and 0.6, mostly near 0.2.")
}

// TensionTorque is T = K·d·F: the torque that gives a preload. Generic.
func TensionTorque(k float64, d unit.Length, preload unit.Force) (unit.Torque, error) {
	if err := input.First(
		checkFactor("factor", k),
		input.Positive("diameter", d.In(unit.Mm), "Give the thread's diameter."),
		input.Positive("preload", preload.In(unit.Newton), "Give the preload."),
	); err != nil {
		return unit.Torque{}, err
	}
	return unit.Nm.Of(k * d.In(unit.Metre) * preload.In(unit.Newton)), nil
}

// TensionPreload is F = T/(K·d): the preload that a torque gives. Generic.
func TensionPreload(k float64, d unit.Length, t unit.Torque) (unit.Force, error) {
	if err := input.First(
		checkFactor("factor", k),
		input.Positive("diameter", d.In(unit.Mm), "Give the thread's diameter."),
		input.Positive("torque", t.In(unit.Nm), "Give the torque."),
	); err != nil {
		return unit.Force{}, err
	}
	return unit.Newton.Of(t.In(unit.Nm) / (k * d.In(unit.Metre))), nil
}

// SamePreload is the torque that gives on a lubricated thread the preload that t gives on a dry one: T·K_lub/K_dry. Generic:
// it shows how wrong the dry figure would be, and is no figure to use.
func SamePreload(t unit.Torque, dry, lubricated float64) (unit.Torque, error) {
	if err := input.First(
		checkFactor("dry", dry), checkFactor("lubricated", lubricated),
		input.Positive("torque", t.In(unit.Nm), "Give the torque."),
	); err != nil {
		return unit.Torque{}, err
	}
	return t.Unit().Of(t.Value() * lubricated / dry), nil
}
