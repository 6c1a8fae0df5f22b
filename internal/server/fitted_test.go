package server

import (
	"net/http"
	"net/url"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// TestFitted: a part that failed twice is remembered when the same need comes again.
func TestFitted(t *testing.T) {
	t.Parallel()
	s := setup(t)
	part, first, second, _ := kitYard(s)
	s.get(route.Part(part)).says("None is noted as fitted.")
	fill := func(change url.Values) answer { return s.fill(route.FittedNew(part), "form.form", change) }
	fill(url.Values{"ended_as": {"failed"}, "ended_on": {"2027-03-01"}}).is(http.StatusUnprocessableEntity).says("Not before it was fitted.")
	fill(url.Values{"grade": {"aftermarket"}, "fitted_on": {"2025-01-10"}, "ended_as": {"failed"}, "ended_on": {"2025-09-12"}, "supplier": {"Reed"}}).to(route.Part(part))
	fill(url.Values{"grade": {"aftermarket"}, "fitted_on": {"2025-09-12"}, "ended_as": {"failed"}, "ended_on": {"2026-04-20"}, "supplier": {"Reed"}}).to(route.Part(part))
	fill(url.Values{"grade": {"maker"}, "fitted_on": {"2026-04-20"}}).to(route.Part(part))
	s.get(route.Part(part)).says("aftermarket, Reed: gave out twice, after 7 and 8 months", "maker, Quill & Lathe: none gave out yet", "on the car")
	s.get(route.Job(first)).says("aftermarket, Reed: gave out twice")
	stages, err := s.store.Stages(t.Context(), second)
	if err != nil {
		t.Fatal(err)
	}
	s.fill(route.NeedNew(stages[0].ID), "form.form", url.Values{"part": {"Trailing arm"}}).to(route.Job(second))
	s.get(route.Job(second)).says("Of those before: aftermarket, Reed: gave out twice")

	rows, err := s.store.FittedAlike(t.Context(), part)
	if err != nil || len(rows) != 3 {
		t.Fatal(rows, err)
	}
	s.fill(route.FittedEdit(rows[0].ID), "form.form", url.Values{"ended_as": {garage.EndedWorn}}).to(route.Part(part))
	s.get(route.Part(part)).says("maker, Quill & Lathe: gave out once, after 10 months")
	s.stale(route.FittedEdit(rows[0].ID), "note", "pitted", "scored").to(route.Part(part))
	s.post(route.FittedDelete(rows[0].ID), nil).to(route.Part(part))
	s.undo(route.Part(part)).to(route.Part(part))
	s.get(route.FittedNew(garage.PartID(4711))).is(http.StatusNotFound)
}
