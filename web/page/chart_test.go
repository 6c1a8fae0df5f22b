package page

import (
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/planner"
)

// TestChartTicks: no date on the rule runs into the next one or over the edge.
func TestChartTicks(t *testing.T) {
	t.Parallel()
	for first, want := range map[garage.Date]string{
		garage.NewDate(2026, 11, 26): "Mon 30 Nov, Mon 7 Dec, Mon 14 Dec, Mon 21 Dec", // a Thursday; the last Monday has two days behind it
		garage.NewDate(2026, 11, 25): "Wed 25 Nov, Mon 30 Nov, Mon 7 Dec, Mon 14 Dec, Mon 21 Dec",
		garage.NewDate(2026, 11, 23): "Mon 23 Nov, Mon 30 Nov, Mon 7 Dec, Mon 14 Dec, Mon 21 Dec",
		garage.NewDate(2026, 11, 29): "Mon 30 Nov, Mon 7 Dec, Mon 14 Dec, Mon 21 Dec, Mon 28 Dec",
	} {
		p := samplePlanned(t, planner.Answer{})
		zone := p.Now.Location()
		var dates []string
		for _, tick := range chartTicks(p, chartScale{start: first.In(zone), end: first.AddDays(planDays).In(zone)}) {
			if tick.Text != "" {
				dates = append(dates, tick.Text)
			}
		}
		if got := strings.Join(dates, ", "); got != want {
			t.Errorf("from %s the rule shows %s, want %s", first, got, want)
		}
	}
}
