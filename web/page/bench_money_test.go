package page

import (
	"net/url"
	"testing"
)

// Check values computed: basis + n with the last day included, seen from 5 March 2027.
func TestBench_coreDeposit(t *testing.T) {
	t.Parallel()
	for _, c := range []benchCase{
		{"core-deposit", url.Values{"day": {"2026-03-06"}}, []string{"Sun 5 Apr 2026", "The window has closed."}, nil},
		{"core-deposit", url.Values{"count": {"business days"}, "from": {"purchase"}, "day": {"2026-03-02"}}, []string{"Mon 13 Apr 2026"}, nil},
		{"core-deposit", url.Values{"window": {"6"}, "count": {"months"}, "from": {"ship"}, "day": {"2026-08-31"}}, []string{"Sun 28 Feb 2027"}, nil},
		{"core-deposit", url.Values{"day": {"2027-02-06"}, "freed": {"2027-03-09"}}, []string{"Mon 8 Mar 2027", "look 3 days left.", "too late The old unit comes off after the last day"}, nil},
		{"core-deposit", url.Values{"window": {"3654"}}, nil, map[string]string{"window": "at most ten years"}},
		{calculator: "core-deposit", says: []string{"Wed 31 Mar 2027", "26 days left"}}, // 1 March + 30 days
		{calculator: "core-deposit", typed: typed("count", "business days", "window", "5"), says: []string{"Mon 8 Mar 2027", "3 days left", "too late"}},
		{calculator: "core-deposit", typed: typed("window", "many"), wrong: map[string]string{"window": "whole number"}},
		{"core-deposit", url.Values{"from": {"order"}}, nil, map[string]string{"from": "Choose one of the list."}},
	} {
		c.run(t)
	}
}

// Check values computed: goods 120.00, 45.50 and 30.00, shipping 18.00, duty 4.5 %, value added tax 21 %.
func TestBench_landedCost(t *testing.T) {
	t.Parallel()
	none := func(typed url.Values) url.Values {
		for _, name := range []string{"shipping", "duty", "vat", "handling"} {
			if !typed.Has(name) {
				typed.Set(name, "")
			}
		}
		return typed
	}
	for _, c := range []benchCase{
		{
			"landed-cost", nil,
			[]string{"Landed cost 269.96 EUR", "213.50 EUR", "9.61 EUR", "46.85 EUR", "74.46 EUR", "brake disc 120.00 45.70 165.70", "pads 45.50 17.33 62.83", "hose 30.00 11.43 41.43"},
			nil,
		},
		{
			"landed-cost",
			none(url.Values{"lines": {"1.00 3 kg pump\n0 EUR 1000g"}, "by": {"weight"}, "shipping": {"10"}, "handling": {"2,00"}}),
			[]string{"Landed cost 13.00 EUR", "pump 1.00 9.00 10.00", "Line 2 0.00 3.00 3.00"},
			nil,
		},
		{
			"landed-cost", none(url.Values{"lines": {"3.33 left\n6.67 right"}, "paid": {"9.00"}}),
			[]string{"Landed cost 9.00 EUR", "left 3.33 -0.33 3.00", "right 6.67 -0.67 6.00", "Beside the goods -1.00 EUR"},
			nil,
		},
		{"landed-cost", url.Values{"lines": {"120.00 disc\n1 200.00 shaft"}}, nil, map[string]string{"lines": "Line 2: after the price comes a weight"}},
		{"landed-cost", url.Values{"lines": {"disc 120.00"}}, nil, map[string]string{"lines": "Line 1: begin with the price."}},
		{"landed-cost", url.Values{"by": {"weight"}}, nil, map[string]string{"lines": "Line 1: give its weight"}},
		{"landed-cost", url.Values{"lines": {"0 gift"}}, nil, map[string]string{"lines": "no value or no weight"}},
		{"landed-cost", url.Values{"paid": {"200"}}, nil, map[string]string{"paid": "not both"}},
		{"landed-cost", url.Values{"vat": {"much"}, "shipping": {"1.234"}}, nil, map[string]string{"vat": "Write a percentage", "shipping": "EUR has 2 decimals"}},
	} {
		c.run(t)
	}
}

// Directives 2011/83/EU and (EU) 2019/771, from memory.
func TestBench_returnRights(t *testing.T) {
	t.Parallel()
	leap := func(more url.Values) url.Values {
		more.Set("bought", "2024-02-26")
		more.Set("received", "2024-02-29")
		return more
	}
	for _, c := range []benchCase{
		{"return-rights", leap(url.Values{}), []string{"liable until Sat 28 Feb 2026", "Thu 14 Mar 2024", "Fri 28 Feb 2025"}, nil},
		{"return-rights", leap(url.Values{"way": {"counter"}, "state": {"used"}, "used_months": {"18"}}), []string{"liable until Fri 29 Aug 2025", "no such right"}, nil},
		{"return-rights", leap(url.Values{"seller": {"private"}}), []string{"usually there is no right to give it back"}, nil},
		{"return-rights", url.Values{"received": {"2026-02-25"}}, nil, map[string]string{"received": "not before the day it was bought"}},
		{"return-rights", url.Values{"state": {"used"}, "used_months": {"0"}}, nil, map[string]string{"used_months": "from 12 to 24 months"}},
	} {
		c.run(t)
	}
}
