package wheel

import (
	"testing"
	"time"
)

// Computed with week 1 as the first full one from Sunday to Saturday, 49 CFR 574.5 (from memory).
func TestParseDateCode(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]time.Time{
		"0101":               day(2001, 1, 7),
		"2319":               day(2019, 6, 9),
		"3024":               day(2024, 7, 28),
		"DOT A1B2 C3D4 2319": day(2019, 6, 9),
	} {
		c, err := ParseDateCode(typed, today)
		if err != nil || !c.Sunday.Equal(want) || c.Note != "" {
			t.Errorf("%s is %v, %v, want %v", typed, c.Sunday, err, want)
		}
	}
	for typed, says := range map[string]string{"": "last four", "23": "last four", "A2319": "last four", "0019": "01 to 53", "5419": "01 to 53", "1127": "yet to come", "0199": "yet to come"} {
		_, err := ParseDateCode(typed, today)
		refused(t, typed, err, "date code", says)
	}
}

// Computed: a full week 53 falls in 2000, 2006, 2012, 2017 and 2023 only, up to 2026. Elsewhere the maker may count ISO
// weeks, so that it is remarked on and not refused.
func TestParseDateCode_week_53(t *testing.T) {
	t.Parallel()
	full := map[int]bool{2000: true, 2006: true, 2012: true, 2017: true, 2023: true}
	for year := 2000; year <= 2026; year++ {
		c, err := ParseDateCode(DateCode{Week: 53, Year: year}.String(), today)
		if err != nil || (c.Note == "") != full[year] {
			t.Errorf("week 53 of %d: %+v, %v", year, c, err)
		}
	}
}

func TestDateCode_age(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		code   string
		today  time.Time
		months int
		want   string
	}{
		{"2319", day(2019, 6, 9), 0, ""},
		{"2319", day(2024, 6, 8), 59, ""},
		{"2319", day(2024, 6, 9), 60, "age"},
		{"2319", day(2029, 6, 8), 119, "age"},
		{"2319", day(2029, 6, 9), 120, "age!"},
	} {
		code, err := ParseDateCode(c.code, c.today)
		if err != nil {
			t.Fatal(err)
		}
		months, known := code.Months(c.today)
		if got := codes(code.CheckAge(c.today)); !known || months != c.months || got != c.want {
			t.Errorf("%s on %v: %d months, %q, want %d, %q", c.code, c.today, months, got, c.months, c.want)
		}
	}
	// Three digits: before 2000, the decade unknown.
	code, err := ParseDateCode("239", today)
	if err != nil || code.Note == "" || code.String() != "239" {
		t.Errorf("239 is %+v, %v", code, err)
	}
	if _, known := code.Months(today); known || codes(code.CheckAge(today)) != "age!" {
		t.Errorf("the age of 239 is known: %v", code.CheckAge(today))
	}
}
