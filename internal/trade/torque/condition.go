package torque

import (
	"fmt"
	"strings"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// Condition is the state of the thread for which a torque is printed.
type Condition string

// Conditions of a thread; Unsaid when the page does not say.
const (
	Unsaid Condition = ""
	Dry    Condition = "dry"
	Oiled  Condition = "oiled"
	Locked Condition = "locked" // with threadlocker
)

// Conditions lists what can be chosen.
var Conditions = []Condition{Unsaid, Dry, Oiled, Locked}

var conditionWords = map[string]Condition{
	"": Unsaid, "dry": Dry, "clean and dry": Dry, "oiled": Oiled, "oil": Oiled, "lubricated": Oiled, "greased": Oiled, "locked": Locked,
	"locker": Locked, "threadlocker": Locked, "thread locker": Locked, "with threadlocker": Locked,
}

// ParseCondition reads a condition as printed. A refusal is an [*input.Error] for "condition".
func ParseCondition(typed string) (Condition, error) {
	c, ok := conditionWords[strings.ToLower(strings.TrimSpace(typed))]
	if !ok {
		return Unsaid, input.Wrong("condition", "Say dry, oiled or with threadlocker.")
	}
	return c, nil
}

// Words is the condition as read on a card; "" when it is not said.
func (c Condition) Words() string {
	if c == Locked {
		return "with threadlocker"
	}
	return string(c)
}

// AgainstCondition warns when a thread is made up otherwise than its torque was printed for.
func AgainstCondition(printed, made Condition) []Warning {
	switch {
	case printed == made || printed == Unsaid || made == Unsaid:
		return nil
	case printed == Dry:
		return []Warning{{"condition", fmt.Sprintf("The torque is for a dry thread and this one is %s: the same torque stretches the bolt further, by a third or more. Clean it, or find the maker's figure.", made.Words())}}
	case made == Dry:
		return []Warning{{"condition", fmt.Sprintf("The torque is for a thread %s and this one is dry: the same torque clamps less.", printed.Words())}}
	}
	return []Warning{{"condition", fmt.Sprintf("The torque is for a thread %s and this one is %s.", printed.Words(), made.Words())}}
}

// SingleUse lists fasteners and seals that are bought new each time; common practice, no source. The maker's word wins.
var SingleUse = []string{
	"torque-to-yield bolt", "micro-encapsulated bolt", "split pin", "crush or banjo washer", "stretch belt", "exhaust ring gasket",
	"staked nut", "locking nut, if the maker says so",
}

// RetorqueRule says after what distance a fastener is tightened once more.
type RetorqueRule struct {
	Due, Late, Latest unit.Distance
}

// WheelRetorque is the usual rule for wheels; common practice, no source, to be set by the owner.
var WheelRetorque = RetorqueRule{Due: unit.Km.Of(50), Late: unit.Km.Of(100), Latest: unit.Km.Of(200)}

// WheelRetorqueHow says how it is done; common practice, no source.
const WheelRetorqueHow = "Check with the wheels cold and on the ground, threads clean and dry unless the maker says oil. New or coated seats want it once more."

// Check refuses a rule whose distances do not follow each other. A refusal is an [*input.Error].
func (r RetorqueRule) Check() error {
	return input.First(
		input.Positive("due", r.Due.In(unit.Km), "Say after what distance it is due."),
		input.Within("late", r.Late.In(unit.Km), r.Due.In(unit.Km), 1e6, "Late comes after due."),
		input.Within("latest", r.Latest.In(unit.Km), r.Late.In(unit.Km), 1e6, "The latest comes after late."),
	)
}

// RetorqueState is where a car stands with a retorque.
type RetorqueState string

// States of a retorque, in their order.
const (
	RetorqueAhead  RetorqueState = "ahead"
	RetorqueDue    RetorqueState = "due"
	RetorqueLate   RetorqueState = "late"
	RetorqueMissed RetorqueState = "missed"
)

// State is where the rule stands after a distance driven since the fastener was tightened.
func (r RetorqueRule) State(driven unit.Distance) RetorqueState {
	switch km := driven.In(unit.Km); {
	case km >= r.Latest.In(unit.Km):
		return RetorqueMissed
	case km >= r.Late.In(unit.Km):
		return RetorqueLate
	case km >= r.Due.In(unit.Km):
		return RetorqueDue
	}
	return RetorqueAhead
}
