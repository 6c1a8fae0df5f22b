package exchange

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"axlestand/internal/garage"
)

// OrderLine is a line of an order that was pasted.
type OrderLine struct {
	Line     int // as a text editor counts them
	Text     string
	Name     string
	Number   string
	Quantity int
	Price    int64
	Deposit  int64
	Note     string
	Part     garage.Part // one that is there; with ID 0 a new one
	Wrong    string      // why it is left out
}

// ErrNoLines says that nothing in a text is a line of an order.
var ErrNoLines = errors.New("there is no line in it")

// orderHeads are the heads by which the columns of an order are known.
var orderHeads = map[string][]string{
	"number": {"number", "part number", "no.", "no", "article", "item number"}, "name": {"name", "part", "description", "item"},
	"quantity": {"quantity", "qty", "how many", "pieces", "pcs"}, "price": {"price", "unit price", "price each", "each"},
	"total": {"total", "amount", "line total"}, "deposit": {"deposit", "core deposit", "core"}, "note": {"note", "notes"},
}

// mostOrderLines is more than any order of a garage has.
const mostOrderLines = 1000

// ReadOrder reads the lines of an order: a file with heads, or text with a line for each part, such as "2 x TR-4410-L Trailing arm 45.50".
// A line that cannot be read says why; the error is about the text as a whole.
func ReadOrder(data []byte, currency string) ([]OrderLine, error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if bytes.IndexByte(data, 0) >= 0 || !utf8.Valid(data) {
		return nil, ErrNotText
	}
	lines := orderText(data, currency)
	if columns := orderColumns(data); columns != nil {
		lines = orderFile(data, columns, currency)
	}
	switch {
	case len(lines) == 0:
		return nil, ErrNoLines
	case len(lines) > mostOrderLines:
		return nil, errors.New("it has more than 1,000 lines")
	}
	return lines, nil
}

// orderColumns finds which column stands where, when the first line names columns: at least a part, by name or number.
func orderColumns(data []byte) map[string]int {
	in := csv.NewReader(bytes.NewReader(data))
	in.Comma, in.FieldsPerRecord, in.LazyQuotes = separator(data), -1, true
	head, err := in.Read()
	if err != nil {
		return nil
	}
	columns := map[string]int{}
	for i, cell := range head {
		cell = strings.ToLower(strings.TrimSpace(restored(cell)))
		for name, known := range orderHeads {
			if _, taken := columns[name]; !taken && slices.Contains(known, cell) {
				columns[name] = i
			}
		}
	}
	_, byName := columns["name"]
	_, byNumber := columns["number"]
	if !byName && !byNumber {
		return nil
	}
	return columns
}

func orderFile(data []byte, columns map[string]int, currency string) (lines []OrderLine) {
	in := csv.NewReader(bytes.NewReader(data))
	comma := separator(data)
	in.Comma, in.FieldsPerRecord, in.LazyQuotes = comma, -1, false
	_, _ = in.Read() // the heads, which were read before
	for len(lines) <= mostOrderLines {
		cells, err := in.Read()
		if err == io.EOF {
			break
		}
		if wrong, ok := errors.AsType[*csv.ParseError](err); ok {
			broken := brokenLine(data, wrong, comma)
			lines = append(lines, OrderLine{Line: broken.Line, Text: strings.Join(broken.Cells, " · "), Wrong: broken.Broken})
			continue
		}
		at, _ := in.FieldPos(0)
		cell := func(name string) string {
			if i, ok := columns[name]; ok && i < len(cells) {
				return strings.TrimSpace(restored(cells[i]))
			}
			return ""
		}
		if strings.TrimSpace(strings.Join(cells, "")) != "" {
			lines = append(lines, orderCells(at, strings.Join(cells, " · "), cell, currency))
		}
	}
	return lines
}

func orderCells(at int, text string, cell func(string) string, currency string) OrderLine {
	l := OrderLine{Line: at, Text: text, Name: cell("name"), Number: cell("number"), Note: cell("note"), Quantity: 1}
	if typed := cell("quantity"); typed != "" {
		n, err := strconv.Atoi(strings.NewReplacer(" ", "", "'", "", "\u00a0", "").Replace(typed))
		if err != nil || n < 1 || n > 1_000_000 {
			l.Wrong = "quantity: a whole number from 1, not " + typed
			return l
		}
		l.Quantity = n
	}
	l.Price = l.money("price", cell("price"), currency)
	l.Deposit = l.money("deposit", cell("deposit"), currency)
	if typed := cell("total"); typed != "" && cell("price") == "" {
		total := l.money("total", typed, currency)
		if l.Price = total / int64(l.Quantity); l.Wrong == "" && l.Price*int64(l.Quantity) != total {
			l.Wrong = "total: " + typed + " is no whole price for " + strconv.Itoa(l.Quantity)
		}
	}
	return l
}

func (l *OrderLine) money(what, typed, currency string) int64 {
	minor, wrong := garage.ParseMoney(typed, currency)
	if wrong != "" && l.Wrong == "" {
		l.Wrong = what + ": " + wrong
	}
	return minor
}

// orderForm is how many, an optional x, what, and an optional price that has decimals or a currency behind it.
var orderForm = regexp.MustCompile(`^(?:([0-9]{1,7})(?:\s*(?:x|×|\*)\s*|\s+(?:pcs?\.?|pieces?)\s+|\s+))?(.*?)(?:(?:\s+[:;–-])?\s+(?:at\s+|à\s*|@\s*)?([0-9][0-9'.,]*[.,][0-9]+|[0-9]+(?:\s*[A-Z]{3}|\s*€))\s*(?:[A-Z]{3}|€)?(?:\s+each)?)?$`)

func orderText(data []byte, currency string) (lines []OrderLine) {
	for i, text := range strings.Split(string(data), "\n") {
		text = strings.Join(strings.Fields(text), " ")
		if text == "" {
			continue
		}
		l := OrderLine{Line: i + 1, Text: text, Quantity: 1}
		m := orderForm.FindStringSubmatch(text)
		if m == nil || strings.TrimSpace(m[2]) == "" {
			l.Wrong = "no part is named"
			lines = append(lines, l)
			continue
		}
		if l.Name = strings.TrimSpace(m[2]); m[1] != "" {
			l.Quantity, _ = strconv.Atoi(m[1])
			if l.Quantity < 1 || l.Quantity > 1_000_000 {
				l.Wrong = "quantity: a whole number from 1, not " + m[1]
			}
		}
		if m[3] != "" {
			l.Price = l.money("price", strings.TrimRight(m[3], "€ "), currency)
		}
		lines = append(lines, l)
	}
	return lines
}

// OrderParts finds the parts that the lines are about: by number, by name, or by a number that stands in the text. One that is not
// there is added; where several fit, the line says so.
func OrderParts(lines []OrderLine, parts []garage.Part) []OrderLine {
	known := newPartFinder(parts)
	lines = slices.Clone(lines)
	for i := range lines {
		l := &lines[i]
		if l.Wrong != "" {
			continue
		}
		found := known.find(l)
		switch {
		case len(found) > 1:
			l.Wrong = "several parts fit: " + partLabels(found)
		case len(found) == 1:
			l.Part = found[0]
		default:
			l.addPart()
		}
		if l.Wrong == "" && l.Part.ID != 0 {
			line := garage.OrderLine{Quantity: l.Quantity, Price: l.Price, Deposit: l.Deposit, Note: l.Note, Per: garage.PricedBy(l.Part)}
			if invalid, ok := errors.AsType[*garage.InvalidError](line.Validate()); ok {
				l.Wrong = wrongFields(invalid.Fields)
			}
		}
	}
	return lines
}

// addPart makes the line's part a new one.
func (l *OrderLine) addPart() {
	if l.Name == "" {
		l.Name = l.Number
	}
	l.Part = garage.Part{Name: l.Name, Number: l.Number, Unit: "piece", Currency: "EUR"}
	if invalid, ok := errors.AsType[*garage.InvalidError](l.Part.Validate()); ok {
		l.Wrong = wrongFields(invalid.Fields)
	}
	line := garage.OrderLine{Quantity: l.Quantity, Price: l.Price, Deposit: l.Deposit, Note: l.Note, Per: 1}
	if invalid, ok := errors.AsType[*garage.InvalidError](line.Validate()); ok && l.Wrong == "" {
		l.Wrong = wrongFields(invalid.Fields)
	}
}

func partLabels(parts []garage.Part) string {
	var labels []string
	for _, p := range parts[:min(len(parts), 5)] {
		labels = append(labels, p.Label())
	}
	return strings.Join(labels, "; ")
}

// partFinder finds parts by what is written of them.
type partFinder struct {
	byNumber, byName map[string][]garage.Part
}

func newPartFinder(parts []garage.Part) partFinder {
	f := partFinder{byNumber: map[string][]garage.Part{}, byName: map[string][]garage.Part{}}
	put := func(in map[string][]garage.Part, key string, p garage.Part) {
		if key != "" && !slices.ContainsFunc(in[key], func(q garage.Part) bool { return q.ID == p.ID }) {
			in[key] = append(in[key], p)
		}
	}
	for _, p := range parts {
		put(f.byName, strings.ToLower(p.Name), p)
		put(f.byName, strings.ToLower(p.Label()), p)
		put(f.byNumber, garage.NormalNumber(p.Number), p)
		for _, n := range garage.ParseNumbers(p.OtherNumbers) {
			put(f.byNumber, garage.NormalNumber(n.Number), p)
		}
	}
	return f
}

func (f partFinder) find(l *OrderLine) []garage.Part {
	if found := f.byNumber[garage.NormalNumber(l.Number)]; l.Number != "" && len(found) > 0 {
		return found
	}
	if found := f.byName[strings.ToLower(l.Name)]; l.Name != "" && l.Number == "" && len(found) > 0 {
		return found
	}
	if l.Number != "" {
		return nil
	}
	if found := f.byNumber[garage.NormalNumber(l.Name)]; len(found) > 0 {
		return found
	}
	// A number may be written with blanks: the longest run of words that is one is it.
	words := strings.Fields(l.Name)
	for n := min(4, len(words)); n > 0; n-- {
		for i := range len(words) - n + 1 {
			run := strings.Trim(strings.Join(words[i:i+n], " "), ",;:()")
			if found := f.byNumber[garage.NormalNumber(run)]; len(found) > 0 && strings.ContainsAny(run, "0123456789") {
				return found
			}
		}
	}
	return nil
}
