package planner_test

import (
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
)

// A supplier who came five days late each of ten times is expected about five days late; one who never sold anything yet about as late as
// all; without any record the prior speaks. The day of the garage's zone counts, not that of UTC.
func TestEstimates(t *testing.T) {
	t.Parallel()
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		t.Fatal(err)
	}
	promised := garage.NewDate(2027, 3, 15)
	open := func(supplier garage.SupplierID) []garage.OpenPromise {
		return []garage.OpenPromise{{ArrivalID: 1, SupplierID: supplier, PromisedOn: promised, Low: promised, Likely: promised, High: promised}}
	}
	var records []garage.ArrivalRecord
	for i := range 10 {
		day := garage.NewDate(2027, 1, 1+i)
		records = append(records, garage.ArrivalRecord{SupplierID: 7, PromisedOn: day, ReceivedAt: day.AddDays(5).In(zone).Add(30 * time.Minute)})
	}
	delays := planner.DelaysOf(records, zone)
	late := planner.Estimates(open(7), delays)
	if len(late) != 1 || late[0].Likely.Before(promised.AddDays(3)) || promised.AddDays(5).Before(late[0].Likely) || !late[0].Low.Before(late[0].High) {
		t.Errorf("five days late ten times: %+v", late)
	}
	if again := planner.Estimates(late, delays); again != nil {
		t.Errorf("nothing to change, but %+v", again)
	}
	none := planner.Estimates(open(7), planner.DelaysOf(nil, zone))
	if len(none) != 1 || !none[0].Likely.Before(late[0].Likely) {
		t.Errorf("without a record: %+v", none)
	}
	if one := planner.Estimates(open(7), planner.DelaysOf(records[:1], zone)); !one[0].Likely.Before(late[0].Likely) || one[0].Likely.Before(none[0].Likely) {
		t.Errorf("a single record is pulled to the prior: %+v", one)
	}
}
