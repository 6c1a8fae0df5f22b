package page

import (
	"net/url"
	"testing"
)

// Check values computed: 10,000 km or 12 months from 10 January 2026 at 120,000 km, with a reading after 92 days.
func TestBench_intervals(t *testing.T) {
	t.Parallel()
	for _, c := range []benchCase{
		{"next-due", nil, []string{"Next due Sun 10 Jan 2027 by the months", "Thu 20 May 2027", "8140 km (5058 miles) left", "20.2 km", "overdue", "54 days ago"}, nil},
		{
			"next-due",
			url.Values{"readings": {"2026-04-12 125520"}},
			[]string{"Next due Fri 26 Jun 2026 by the distance", "4480 km (2784 miles) left", "60.0 km"},
			nil,
		},
		{"next-due", url.Values{"distance": {""}, "done_at": {""}, "readings": {""}}, []string{"Next due Sun 10 Jan 2027 by the months"}, nil},
		{
			// the slope of the least-squares line through 0, 50 and 400 km after 0, 10 and 20 days is 20 km a day
			"next-due",
			url.Values{"months": {""}, "distance": {"500"}, "done": {"2026-01-01"}, "done_at": {"0"}, "readings": {"2026-01-21 400 km\n2026-01-11 50"}},
			[]string{"Next due Mon 26 Jan 2026 by the distance", "20.0 km"},
			nil,
		},
		{"next-due", url.Values{"readings": {"2026-04-12 131000"}}, []string{"The distance is passed by 1000 km"}, nil},
		{"next-due", url.Values{"months": {""}, "readings": {"2026-01-15 120100"}}, []string{"Next due not known", "No day for the distance: the readings cover less than 14 days"}, nil},
		{
			// a mile is 1.609344 km
			"next-due",
			url.Values{"done_at": {"75000"}, "done_at_unit": {"miles"}, "distance": {"6000"}, "distance_unit": {"miles"}, "readings": {"2026-04-12 76000"}},
			[]string{"5000 miles (8047 km) left", "10.9 miles"},
			nil,
		},
		{"next-due", url.Values{"readings": {"2026-04-12 119000"}}, nil, map[string]string{"readings": "The reading of 2026-04-12 is less than that of 2026-01-10"}},
		{"next-due", url.Values{"readings": {"2026-04-12 121860\nyesterday 121900"}}, nil, map[string]string{"readings": "Line 2: begin with a day"}},
		{"next-due", url.Values{"readings": {""}, "done_at": {""}}, nil, map[string]string{"readings": "a reading of now", "done_at": "the odometer when it was last done"}},
		{"next-due", url.Values{"months": {""}, "distance": {""}}, nil, map[string]string{"months": "Give months, a distance, or both."}},
		{"next-due", url.Values{"months": {"1201"}}, nil, map[string]string{"months": "At most 1200 months"}},

		{
			"component-age",
			url.Values{"before": {"50500"}, "off": {"2025-02-28"}}, // 12 months after a 29 February are over on the 28th
			[]string{"It has run 60 500 km 37 593 miles", "10 000 km", "12 months and 0 days"},
			nil,
		},
		{"component-age", url.Values{"before": {""}, "fitted": {""}}, []string{"It has run 10 000 km"}, nil},
		{"component-age", url.Values{"to": {"119999"}}, nil, map[string]string{"to": "cannot have run less"}},
		{"component-age", url.Values{"fitted": {"2027-03-06"}}, nil, map[string]string{"fitted": "after the one"}},
		{"component-age", url.Values{"fitted": {""}, "off": {"2027-03-01"}}, nil, map[string]string{"fitted": "the day it was fitted"}},
	} {
		c.run(t)
	}
}
