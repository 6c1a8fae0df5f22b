package page

import (
	"cmp"
	"errors"
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
	"axlestand/internal/trade/unit"
	"axlestand/web/ui"
)

// benchTyped is what was typed into a calculator. Its readers note under a field's name what is wrong with it and read on, so
// that all messages are shown at once.
type benchTyped struct {
	fields []benchField
	values map[string]string // as typed, by field; that of a unit under its own name
	sent   bool              // the form was sent at all
	at     BenchPlace
	Errors garage.FieldErrors
}

// read takes out of a query what the calculator asks.
func (c calculator) read(sent url.Values, at BenchPlace) *benchTyped {
	in := &benchTyped{fields: c.Fields, values: map[string]string{}, at: at}
	for _, f := range c.Fields {
		in.sent = in.sent || sent.Has(f.Name)
		in.values[f.Name] = sent.Get(f.Name)
		if len(f.Units) > 0 {
			in.values[f.unitName()] = sent.Get(f.unitName())
		}
	}
	return in
}

func (in *benchTyped) field(name string) benchField {
	i := slices.IndexFunc(in.fields, func(f benchField) bool { return f.Name == name })
	if i < 0 {
		panic("no field " + name) // a slip in the table, which the first test of it shows
	}
	return in.fields[i]
}

func (in *benchTyped) wrong(name, sentence string) { in.Errors.Add(name, sentence) }

// ok says that nothing is wrong so far.
func (in *benchTyped) ok() bool { return len(in.Errors) == 0 }

// checkLengths keeps what can only be a cat on the keys from the readers.
func (in *benchTyped) checkLengths() {
	for _, f := range in.fields {
		if len([]rune(in.values[f.Name])) > f.longest() {
			in.wrong(f.Name, fmt.Sprintf("Keep it to %d characters.", f.longest()))
		}
	}
}

// text is a field that must be filled in.
func (in *benchTyped) text(name string) string {
	typed := strings.TrimSpace(in.values[name])
	if f := in.field(name); typed == "" && !f.Optional {
		like := "."
		if f.Example != "" {
			like = ", like " + strings.TrimSpace(f.Example+" "+cmp.Or(f.Unit, first(f.Units))) + "."
		}
		in.wrong(name, "It takes this figure too"+like)
		if f.Kind != aNumber {
			in.Errors[name] = "It takes this too" + like
		}
	}
	return typed
}

func first(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

// choice is the chosen value, or the first when nothing was.
func (in *benchTyped) choice(name string) string {
	f, typed := in.field(name), in.values[name]
	if typed == "" {
		return f.Options[0].Value
	}
	if !slices.ContainsFunc(f.Options, func(o ui.Option) bool { return o.Value == typed }) {
		in.wrong(name, "Choose one of the list.")
	}
	return typed
}

// unitOf is the unit chosen beside a field, or the owner's when none was.
func (in *benchTyped) unitOf(f benchField) string {
	if len(f.Units) == 0 {
		return ""
	}
	if typed := in.values[f.unitName()]; typed != "" {
		return typed
	}
	return in.at.preferred(f.Units)
}

// quantity reads a figure in the unit chosen beside it, or in the one typed with it. An empty optional field is none.
func quantity[K unit.Kind](in *benchTyped, name string) unit.Quantity[K] {
	typed := in.text(name)
	if typed == "" {
		return unit.Quantity[K]{}
	}
	bare, err := unit.ParseUnit[K](cmp.Or(in.unitOf(in.field(name)), in.field(name).Unit))
	if err != nil {
		in.wrong(name, "Choose a unit of the list.")
		return unit.Quantity[K]{}
	}
	q, err := unit.ParseIn(typed, bare)
	if err != nil {
		in.wrong(name, err.Error())
	}
	return q
}

var plainNumber = regexp.MustCompile(`^[+-]?(?:[0-9]{1,7}(?:[.,][0-9]{0,6})?|[.,][0-9]{1,6})$`)

// number reads a figure without a unit, or with the one that is said behind it.
func (in *benchTyped) number(name string) float64 {
	typed := in.text(name)
	if typed == "" {
		return 0
	}
	n, ok := parseNumber(strings.TrimSuffix(typed, in.field(name).Unit))
	if !ok {
		in.wrong(name, "A number, please"+like(in.field(name))+".")
	}
	return n
}

func like(f benchField) string {
	if f.Example == "" {
		return ""
	}
	return ", like " + f.Example
}

func parseNumber(typed string) (float64, bool) {
	typed = strings.ReplaceAll(strings.TrimSpace(typed), "\u2212", "-")
	if !plainNumber.MatchString(typed) {
		return 0, false
	}
	n, err := strconv.ParseFloat(strings.ReplaceAll(typed, ",", "."), 64)
	return n + 0, err == nil // minus zero is zero
}

// numbers reads figures set apart by blanks, slashes or semicolons.
func (in *benchTyped) numbers(name string) (all []float64) {
	for _, piece := range in.pieces(name) {
		n, ok := parseNumber(piece)
		if !ok {
			in.wrong(name, fmt.Sprintf("%.20q is no number. Set them apart by blanks%s.", piece, like(in.field(name))))
			return nil
		}
		all = append(all, n)
	}
	return all
}

// pieces takes a list apart; a comma stands before decimals, or ends a piece.
func (in *benchTyped) pieces(name string) (pieces []string) {
	for _, piece := range strings.FieldsFunc(in.text(name), func(r rune) bool { return strings.ContainsRune(" \t\n\r;/\u00a0", r) }) {
		if piece = strings.Trim(piece, ","); piece != "" {
			pieces = append(pieces, piece)
		}
	}
	return pieces
}

// whole reads a whole number.
func (in *benchTyped) whole(name string) int {
	typed := in.text(name)
	if typed == "" {
		return 0
	}
	n, err := strconv.ParseInt(strings.TrimSpace(strings.TrimSuffix(typed, in.field(name).Unit)), 10, 32)
	if err != nil {
		in.wrong(name, "A whole number, please"+like(in.field(name))+".")
	}
	return int(n)
}

// date reads a day; an empty optional field is none.
func (in *benchTyped) date(name string) interval.Date {
	typed := in.text(name)
	if typed == "" {
		return interval.Date{}
	}
	d, err := garage.ParseDate(typed)
	switch {
	case err != nil:
		in.wrong(name, "A date like 2027-03-06, please.")
	case d.Year < 1900 || d.Year > 2199:
		in.wrong(name, "A year from 1900 to 2199, please.")
	}
	return interval.NewDate(d.Year, d.Month, d.Day)
}

// today is the garage's day.
func (in *benchTyped) today() time.Time { return in.at.Today.In(time.UTC) }

// refused notes what a trade package does not work with, at the field that stands for its value; names are pairs of its name and
// ours. It says whether there was something to note.
func (in *benchTyped) refused(err error, names ...string) bool {
	if err == nil {
		return false
	}
	field, sentence := "", err.Error()
	if e, ok := errors.AsType[*input.Error](err); ok {
		field, sentence = e.Field, e.Sentence
	}
	for i := 0; i+1 < len(names); i += 2 {
		if names[i] == field {
			field = names[i+1]
			break
		}
	}
	if !slices.ContainsFunc(in.fields, func(f benchField) bool { return f.Name == field }) {
		field = "" // it concerns the form as a whole
	}
	in.wrong(field, sentence)
	return true
}

// shown is a quantity in its own unit, rounded to what a tool can show, and in others beside it.
func shown[K unit.Kind](label string, q unit.Quantity[K], others ...unit.Unit[K]) BenchFigure {
	f := BenchFigure{Label: label, Value: q.Readable().Number(), Unit: q.Unit().String()}
	var also []string
	for _, u := range others {
		if u != q.Unit() {
			also = append(also, q.To(u).Readable().String())
		}
	}
	f.Also = strings.Join(also, ", ")
	return f
}

// both is a quantity in words: in its own unit, and in the other of two.
func both[K unit.Kind](q unit.Quantity[K], one, other unit.Unit[K]) string {
	if q.Unit() == one {
		one = other
	}
	return q.Readable().String() + " (" + q.To(one).Readable().String() + ")"
}

func bothTorques(q unit.Torque) string { return both(q, unit.Nm, unit.LbfFt) }

func bothLengths(q unit.Length) string { return both(q, unit.Mm, unit.Inch) }

// fixed is a figure with so many decimals; what rounds to zero has no sign.
func fixed(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "\u2212", 1)
}

// signed is fixed with a plus before what is more than zero.
func signed(v float64, places int) string {
	s := fixed(v, places)
	if v > 0 && strings.Trim(s, "0.") != "" {
		return "+" + s
	}
	return s
}

// dayTime is the midnight of a day.
func dayTime(d interval.Date) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC)
}

// dateWords is a day in words.
func dateWords(year int, month time.Month, day int) string {
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Format("Mon 2\u00a0Jan 2006")
}
