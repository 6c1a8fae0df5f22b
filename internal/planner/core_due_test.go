package planner

import (
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/trade/deposit"
)

// A job that frees old units is due when the first deposit is lost, at the price of all that are lost on that day.
func TestNewProblem_dueForCore(t *testing.T) {
	t.Parallel()
	bought, later := garage.NewDate(2027, 3, 2), garage.NewDate(2027, 3, 12)
	core := func(from *garage.Date, outstanding int64, state deposit.State) garage.Core {
		return garage.Core{
			JobID: new(garage.JobID(1)), Currency: "EUR", Deposit: outstanding, Outstanding: outstanding, WindowN: 30, WindowCount: deposit.CalendarDays,
			Basis: deposit.FromPurchase, BasisOn: from, State: state,
		}
	}
	all := []garage.Core{
		core(&later, 10_000, deposit.Owed), core(&bought, 4500, deposit.Owed), core(&bought, 4500, deposit.Owed),
		core(nil, 700, deposit.Owed), core(&bought, 900, deposit.Boxed),
	}
	for name, c := range map[string]struct {
		cores []garage.Core
		due   *garage.Date
		want  Moment
		cost  float64
	}{
		"first of three": {all, nil, day(garage.NewDate(2027, 4, 1)), 9000},
		"its own stays":  {all, &later, day(later), 0},
		"none":           {nil, nil, Moment{}, 0},
		"too late":       {[]garage.Core{core(new(garage.NewDate(2027, 1, 1)), 4500, deposit.Owed)}, nil, Moment{}, 0},
	} {
		shot := shelf(nil, garage.Need{Quantity: 1}, garage.Need{Quantity: 1})
		shot.Settings.Currency, shot.Cores, shot.Jobs[0].Due = "EUR", c.cores, c.due
		problem, _, err := PlanGarage(shot, shelfNow)
		if err != nil {
			t.Fatal(err)
		}
		if got := problem.Jobs[0]; got.Due != c.want || got.LateCost != c.cost {
			t.Errorf("%s: due %v at %v, want %v at %v", name, got.Due, got.LateCost, c.want, c.cost)
		}
		if other := problem.Jobs[1]; other.LateCost != 0 || other.Due != (Moment{}) {
			t.Errorf("%s: another job is due %v at %v", name, other.Due, other.LateCost)
		}
	}
}
