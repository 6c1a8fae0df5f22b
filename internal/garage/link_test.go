package garage_test

import (
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
)

func TestLink_Validate(t *testing.T) {
	t.Parallel()
	made := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	good := garage.Link{Name: "Neighbour", Rights: garage.Look, CreatedAt: made, ExpiresAt: made.AddDate(0, 0, 14), Jobs: []garage.JobID{1}}
	for name, c := range map[string]struct {
		change func(*garage.Link)
		field  string
	}{
		"good":           {func(*garage.Link) {}, ""},
		"no name":        {func(l *garage.Link) { l.Name = " " }, "name"},
		"long name":      {func(l *garage.Link) { l.Name = strings.Repeat("n", 201) }, "name"},
		"unknown rights": {func(l *garage.Link) { l.Rights = "drive" }, "rights"},
		"over":           {func(l *garage.Link) { l.ExpiresAt = made }, "until"},
		"90 days":        {func(l *garage.Link) { l.ExpiresAt = made.AddDate(0, 0, 90) }, ""},
		"too long":       {func(l *garage.Link) { l.ExpiresAt = made.AddDate(0, 0, 92) }, "until"},
		"no job":         {func(l *garage.Link) { l.Jobs = nil }, "jobs"},
	} {
		l := good
		c.change(&l)
		if got := fieldsOf(l.Validate()); got != c.field {
			t.Errorf("%s: wrong %q, want %q", name, got, c.field)
		}
	}
}

func TestLink_Live(t *testing.T) {
	t.Parallel()
	now := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	l := garage.Link{ExpiresAt: now.Add(time.Hour)}
	if !l.Live(now) || l.Live(now.Add(time.Hour)) {
		t.Error("it holds until it runs out, and not at that moment")
	}
	l.RevokedAt = &now
	if l.Live(now) {
		t.Error("it holds although it was revoked")
	}
}
