package planner

import (
	"slices"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/trade/deposit"
)

// A job that frees old units is due whenever a deposit is lost, at the price of all that are lost on that day, beside a date of
// its own.
func TestNewProblem_dueForCore(t *testing.T) {
	t.Parallel()
	bought, later := garage.NewDate(2027, 3, 2), garage.NewDate(2027, 3, 12)
	core := func(from *garage.Date, outstanding int64, state deposit.State) garage.Core {
		return garage.Core{
			JobID: new(garage.JobID(1)), FreedBy: new(garage.JobID(1)), Currency: "EUR", Deposit: outstanding, Outstanding: outstanding, WindowN: 30, WindowCount: deposit.CalendarDays,
			Basis: deposit.FromPurchase, BasisOn: from, State: state,
		}
	}
	all := []garage.Core{
		core(&later, 10_000, deposit.Owed), core(&bought, 4500, deposit.Owed), core(&bought, 4500, deposit.Owed),
		core(nil, 700, deposit.Owed), core(&bought, 900, deposit.Boxed),
	}
	first, second := garage.NewDate(2027, 4, 1), garage.NewDate(2027, 4, 11)
	for name, c := range map[string]struct {
		cores []garage.Core
		due   *garage.Date
		want  Moment
		cost  float64
		more  []Due
	}{
		"two days": {all, nil, day(first), 9000, []Due{{day(second), dueForCore, 0, 10_000}}},
		"beside its own": {
			all, &later, day(later), 0,
			[]Due{{day(first), dueForCore, 0, 9000}, {day(second), dueForCore, 0, 10_000}},
		},
		"none":     {nil, nil, Moment{}, 0, nil},
		"too late": {[]garage.Core{core(new(garage.NewDate(2027, 1, 1)), 4500, deposit.Owed)}, nil, Moment{}, 0, nil},
	} {
		shot := shelf(nil, garage.Need{Quantity: 1}, garage.Need{Quantity: 1})
		shot.Settings.Currency, shot.Cores, shot.Jobs[0].Due = "EUR", c.cores, c.due
		problem, _, err := PlanGarage(shot, shelfNow)
		if err != nil {
			t.Fatal(err)
		}
		if got := problem.Jobs[0]; got.Due != c.want || got.LateCost != c.cost || !slices.Equal(got.Dues, c.more) {
			t.Errorf("%s: due %v at %v and %v, want %v at %v and %v", name, got.Due, got.LateCost, got.Dues, c.want, c.cost, c.more)
		}
		if other := problem.Jobs[1]; other.LateCost != 0 || other.Due != (Moment{}) {
			t.Errorf("%s: another job is due %v at %v", name, other.Due, other.LateCost)
		}
	}
}
