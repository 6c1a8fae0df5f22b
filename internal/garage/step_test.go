package garage_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/trade/caution"
)

func TestParseWait(t *testing.T) {
	t.Parallel()
	for printed, want := range map[string]int{
		"15 min": 15, "15min": 15, "2 h": 120, "1 h 30 min": 90, "1h30min": 90, "0.5 h": 30, "0,5 h": 30, "1 day": 1440, "2 hours": 120,
		"": 0, "15": 0, "min": 0, "-3 min": 0, "1e3 min": 0, "30 min 1 h": 0, "0 min": 0, "a while": 0, "Inf min": 0,
	} {
		got, ok := garage.ParseWait(printed)
		if ok != (want > 0) || ok && got != want {
			t.Errorf("%q: got %d %t, want %d", printed, got, ok, want)
		}
	}
}

func TestStep_Validate(t *testing.T) {
	t.Parallel()
	low, high := 22.0, 20.0
	part := garage.PartID(1)
	for name, c := range map[string]struct {
		step garage.Step
		want string
	}{
		"plain":                        {garage.Step{Kind: "do", Text: "Wheels off"}, ""},
		"empty":                        {garage.Step{Kind: "do", Text: " "}, "text"},
		"too long":                     {garage.Step{Kind: "do", Text: strings.Repeat("ä", 1001)}, "text"},
		"no such kind":                 {garage.Step{Kind: "hope", Text: "A"}, "kind"},
		"torque":                       {garage.Step{Kind: "torque", Text: "A", Figure: "30 Nm + 90°"}, ""},
		"torque without a figure":      {garage.Step{Kind: "torque", Text: "A"}, "figure"},
		"fluid":                        {garage.Step{Kind: "fluid", Text: "A", Figure: "0.9 l"}, ""},
		"fluid without its volume":     {garage.Step{Kind: "fluid", Text: "Fill up to the mark"}, ""},
		"fluid in kg":                  {garage.Step{Kind: "fluid", Text: "A", Figure: "1 kg"}, "figure"},
		"wait":                         {garage.Step{Kind: "wait", Text: "A", Figure: "15 min"}, ""},
		"wait for how long":            {garage.Step{Kind: "wait", Text: "A"}, "figure"},
		"wait a month":                 {garage.Step{Kind: "wait", Text: "A", Figure: "30 days"}, "figure"},
		"airbags: for the owner later": {garage.Step{Kind: "wait", Text: "A", Cautions: []caution.Topic{caution.Airbags}}, ""},
		"no such caution":              {garage.Step{Kind: "do", Text: "A", Cautions: []caution.Topic{"weather"}}, "cautions"},
		"measure":                      {garage.Step{Kind: "measure", Text: "A", LimitLow: &low, LimitUnit: "mm"}, ""},
		"measure without limits":       {garage.Step{Kind: "measure", Text: "A"}, "limit_low limit_unit"},
		"limits that run backwards":    {garage.Step{Kind: "measure", Text: "A", LimitLow: &low, LimitHigh: &high, LimitUnit: "mm"}, "limit_high"},
		"limits of what is not":        {garage.Step{Kind: "do", Text: "A", LimitLow: &low}, "limit_low"},
		"a figure that is none":        {garage.Step{Kind: "do", Text: "A", Figure: "45 Nm"}, "figure"},
		"a page of no document":        {garage.Step{Kind: "do", Text: "A", Page: "12"}, "source"},
		"remove":                       {garage.Step{Kind: "remove", Text: "A", PartID: &part, Quantity: 2}, ""},
		"remove none":                  {garage.Step{Kind: "remove", Text: "A", PartID: &part}, "quantity"},
		"two of nothing":               {garage.Step{Kind: "remove", Text: "A", Quantity: 2}, "part"},
		"a part to wait for":           {garage.Step{Kind: "wait", Text: "A", Figure: "1 h", PartID: &part, Quantity: 2}, "part"},
	} {
		if got := fieldsOf(c.step.Validate()); got != c.want {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
	}
}

func TestStep_CheckValue(t *testing.T) {
	t.Parallel()
	low, high := 1.2, 1.6
	pads := garage.Step{Kind: "measure", Text: "Pads", LimitLow: &low, LimitHigh: &high, LimitUnit: "mm"}
	bolt := garage.Step{Kind: "torque", Text: "Bolt", Figure: "70 Nm"}
	road := garage.Step{Kind: "do", Text: "Drive off", Cautions: []caution.Topic{caution.Road}}
	for name, c := range map[string]struct {
		step    garage.Step
		value   string
		finding string
		field   string
	}{
		"within":               {pads, "1.4", "", ""},
		"on the limit":         {pads, "1,2 mm", "", ""},
		"under":                {pads, "1.19", "under the limit", ""},
		"over":                 {pads, "1.7 mm", "over the limit", ""},
		"no number":            {pads, "thin", "", "value"},
		"nothing":              {pads, "", "", "value"},
		"infinity":             {pads, "Inf", "", "value"},
		"as printed":           {bolt, "70 Nm", "", ""},
		"nothing said":         {bolt, "", "", ""},
		"near enough":          {bolt, "68", "", ""},
		"too little":           {bolt, "60", "less than", ""},
		"too much":             {bolt, "90 Nm", "more than", ""},
		"in another unit":      {bolt, "52 lbf ft", "", ""},
		"too much in another":  {bolt, "70 lbf ft", "more than", ""},
		"words":                {bolt, "clicked twice", "", ""},
		"with an angle":        {garage.Step{Kind: "torque", Figure: "30 Nm + 90°"}, "30 Nm + 90°", "", ""},
		"the last one counts":  {garage.Step{Kind: "torque", Figure: "40 Nm, wait 10 min, loosen, 30 Nm"}, "40 Nm", "more than", ""},
		"a check":              {garage.Step{Kind: "check"}, "", "", ""},
		"a check that found":   {garage.Step{Kind: "check"}, garage.NotRight, "not right", ""},
		"nothing written down": {road, " ", "", "value"},
		"written down":         {road, "approval 12/27, 3 March 2027", "", ""},
		"needs nothing":        {garage.Step{Kind: "do"}, "", "", ""},
	} {
		finding, err := c.step.CheckValue(c.value)
		if fieldsOf(err) != c.field || (finding == "") != (c.finding == "") || !strings.Contains(finding, c.finding) {
			t.Errorf("%s: got %q %v, want %q %q", name, finding, err, c.finding, c.field)
		}
	}
}

func TestStep_Locked(t *testing.T) {
	t.Parallel()
	wait := garage.Step{Kind: "wait", Cautions: []caution.Topic{caution.Airbags}}
	if wait.Locked() == "" {
		t.Error("a wait before airbags that nobody looked up is not locked")
	}
	if wait.Figure = "7 min"; wait.Locked() == "" {
		t.Error("a figure without its source unlocks it")
	}
	if wait.Source = "Kite manual"; wait.Locked() != "" || wait.Wait() != 7*time.Minute {
		t.Errorf("locked: %q, waits %v", wait.Locked(), wait.Wait())
	}
}

func TestLimitText(t *testing.T) {
	t.Parallel()
	low, high := 1.2, 1.6
	for want, s := range map[string]garage.Step{
		"1.2 to 1.6\u00a0mm":   {LimitLow: &low, LimitHigh: &high, LimitUnit: "mm"},
		"at least 1.2\u00a0mm": {LimitLow: &low, LimitUnit: "mm"},
		"at most 1.6\u00a0mm":  {LimitHigh: &high, LimitUnit: "mm"},
		"1.2\u00a0mm":          {LimitLow: &low, LimitHigh: &low, LimitUnit: "mm"},
		"":                     {},
	} {
		if got := s.LimitText(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// fieldsOf are the names of the fields that an error is about.
func fieldsOf(err error) string {
	invalid, ok := errors.AsType[*garage.InvalidError](err)
	if !ok {
		return ""
	}
	var names []string
	for name := range invalid.Fields {
		names = append(names, name)
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}
