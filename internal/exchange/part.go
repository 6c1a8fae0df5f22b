package exchange

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"axlestand/internal/garage"
)

// partColumn is a column of the list of parts as a CSV file.
type partColumn struct {
	head  string
	also  []string // other heads by which it is known
	write func(garage.Part) string
	read  func(p *garage.Part, cell string) (wrong string)
}

// ColumnPart is the head of the column that says which part a line is about; it is empty for a new one.
const ColumnPart = "part"

func text(of func(*garage.Part) *string) (func(garage.Part) string, func(*garage.Part, string) string) {
	return func(p garage.Part) string { return *of(&p) }, func(p *garage.Part, cell string) string {
		*of(p) = cell
		return ""
	}
}

func words(head string, of func(*garage.Part) *string, also ...string) partColumn {
	write, read := text(of)
	return partColumn{head: head, also: also, write: write, read: func(p *garage.Part, cell string) string { return read(p, strings.TrimSpace(cell)) }}
}

func days(head string, of func(*garage.Part) **int) partColumn {
	return partColumn{
		head: head,
		write: func(p garage.Part) string {
			if d := *of(&p); d != nil {
				return strconv.Itoa(*d)
			}
			return ""
		},
		read: func(p *garage.Part, cell string) string {
			*of(p) = nil
			if cell = strings.TrimSpace(cell); cell == "" {
				return ""
			}
			n, err := strconv.Atoi(cell)
			if err != nil {
				return head + ": a whole number of days, not " + cell
			}
			*of(p) = &n
			return ""
		},
	}
}

// partColumns are the columns of the file, in their order. The currency is read before the price that is in it.
var partColumns = func() []partColumn {
	_, readNotes := text(func(p *garage.Part) *string { return &p.Notes })
	return []partColumn{
		words("name", func(p *garage.Part) *string { return &p.Name }),
		words("number", func(p *garage.Part) *string { return &p.Number }),
		words("other numbers", func(p *garage.Part) *string { return &p.OtherNumbers }),
		words("side", func(p *garage.Part) *string { return &p.Side }),
		words("must match", func(p *garage.Part) *string { return &p.Variant }),
		words("grade", func(p *garage.Part) *string { return &p.Grade }),
		words("counted in", func(p *garage.Part) *string { return &p.Unit }, "unit"),
		words("supplier", func(p *garage.Part) *string { return &p.Supplier }),
		words("currency", func(p *garage.Part) *string { return &p.Currency }),
		{
			head: "price",
			write: func(p garage.Part) string {
				if p.Price == 0 {
					return ""
				}
				return garage.MoneyFigure(p.Price, p.Currency)
			},
			read: func(p *garage.Part, cell string) (wrong string) {
				p.Price, wrong = garage.ParseMoney(cell, p.Currency)
				if wrong != "" {
					wrong = "price: " + wrong
				}
				return wrong
			},
		},
		days("days least", func(p *garage.Part) **int { return &p.LeadLow }),
		days("days likely", func(p *garage.Part) **int { return &p.LeadLikely }),
		days("days most", func(p *garage.Part) **int { return &p.LeadHigh }),
		{head: "notes", write: func(p garage.Part) string { return p.Notes }, read: readNotes},
	}
}()

// WriteParts writes a list of parts as CSV: what a spreadsheet would take for a formula is written so that it does not.
func WriteParts(w io.Writer, parts []garage.Part) error {
	out := csv.NewWriter(w)
	head := []string{ColumnPart}
	for _, c := range partColumns {
		head = append(head, c.head)
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for _, p := range parts {
		row := []string{strconv.FormatInt(int64(p.ID), 10)}
		for _, c := range partColumns {
			row = append(row, neutral(c.write(p)))
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// neutral puts an apostrophe before what a spreadsheet would run; restored takes it away again. Cells that begin so themselves
// get a further one, so that nothing is lost to and fro.
func neutral(cell string) string {
	if runs(cell) {
		return "'" + cell
	}
	return cell
}

func restored(cell string) string {
	if strings.HasPrefix(cell, "'") && runs(cell) {
		return cell[1:]
	}
	return cell
}

func runs(cell string) bool {
	bare := strings.TrimLeft(cell, "'")
	return bare != "" && strings.ContainsRune("=+-@\t\r", rune(bare[0]))
}

// PartLine is a line of a CSV file of parts.
type PartLine struct {
	Line   int           // as a text editor counts them
	Cells  []string      // as they stand in the file
	ID     garage.PartID // of one that is there; 0 when the line does not say
	Broken string        // why the line cannot be read; empty when it can
	change func(*garage.Part) (wrong string)
}

// PartFile is a CSV file of parts as read.
type PartFile struct {
	Head    []string
	Ignored []string // heads of columns that mean nothing here
	Lines   []PartLine
	comma   rune
}

// Errors of a file as a whole.
var (
	ErrNoHead  = errors.New("the first line must name the columns, one of them name")
	ErrTooLong = errors.New("the file has more than 20,000 lines")
	ErrNotText = errors.New("the file is no text")
)

// ReadParts reads a CSV file of parts: commas, semicolons or tabs, a decimal point or a decimal comma, with or without the mark
// that some spreadsheets put first. A line that cannot be read says why; the error is about the file as a whole.
func ReadParts(data []byte, currency string) (PartFile, error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if bytes.IndexByte(data, 0) >= 0 {
		return PartFile{}, ErrNotText
	}
	if !utf8.Valid(data) { // an old spreadsheet's: each byte is its character
		runes := make([]rune, len(data))
		for i, b := range data {
			runes[i] = rune(b)
		}
		data = []byte(string(runes))
	}
	f := PartFile{comma: separator(data)}
	in := csv.NewReader(bytes.NewReader(data))
	in.Comma, in.FieldsPerRecord, in.LazyQuotes = f.comma, -1, false
	head, err := in.Read()
	if err != nil {
		return f, ErrNoHead
	}
	f.Head = head
	columns, ids := f.columns()
	if !slices.ContainsFunc(columns, func(c *partColumn) bool { return c != nil && c.head == "name" }) {
		return f, ErrNoHead
	}
	const most = 20_000
	for {
		cells, err := in.Read()
		if err == io.EOF {
			return f, nil
		}
		if len(f.Lines) == most {
			return f, ErrTooLong
		}
		if wrong, ok := errors.AsType[*csv.ParseError](err); ok {
			f.Lines = append(f.Lines, brokenLine(data, wrong, f.comma))
			continue
		}
		at, _ := in.FieldPos(0)
		f.Lines = append(f.Lines, partLine(at, cells, columns, ids, currency))
	}
}

// brokenLine is a line whose quotation marks do not fit; its cells are what stands between the separators.
func brokenLine(data []byte, wrong *csv.ParseError, comma rune) PartLine {
	lines := strings.Split(string(data), "\n")
	raw := strings.Join(lines[wrong.StartLine-1:min(wrong.Line, len(lines))], "\n")
	return PartLine{
		Line: wrong.StartLine, Cells: strings.Split(strings.TrimRight(raw, "\r\n"), string(comma)),
		Broken: "a quotation mark stands where none may, or is never closed",
	}
}

// separator is the one of the usual ones that the head has most of.
func separator(data []byte) rune {
	head, _, _ := bytes.Cut(data, []byte("\n"))
	best := ','
	for _, c := range ";\t" {
		if bytes.Count(head, []byte(string(c))) > bytes.Count(head, []byte(string(best))) {
			best = c
		}
	}
	return best
}

// columns finds the column of each head, in the order of the file, and where the parts' ids stand, -1 for nowhere.
func (f *PartFile) columns() (found []*partColumn, ids int) {
	ids = -1
	found = make([]*partColumn, len(f.Head))
	for i, head := range f.Head {
		head = strings.ToLower(strings.TrimSpace(restored(head)))
		if head == ColumnPart {
			ids = i
			continue
		}
		for k := range partColumns {
			c := &partColumns[k]
			if c.head == head || slices.Contains(c.also, head) {
				found[i] = c
			}
		}
		if found[i] == nil {
			f.Ignored = append(f.Ignored, f.Head[i])
		}
	}
	return found, ids
}

func partLine(at int, cells []string, columns []*partColumn, ids int, currency string) PartLine {
	line := PartLine{Line: at, Cells: cells}
	if len(cells) > len(columns) {
		line.Broken = fmt.Sprintf("it has %d cells, the head has %d", len(cells), len(columns))
		return line
	}
	if ids >= 0 && ids < len(cells) && strings.TrimSpace(cells[ids]) != "" {
		n, err := strconv.ParseInt(strings.TrimSpace(cells[ids]), 10, 64)
		if err != nil || n < 1 {
			line.Broken = ColumnPart + ": not the number of a part: " + cells[ids]
			return line
		}
		line.ID = garage.PartID(n)
	}
	line.change = func(p *garage.Part) string { return changeBy(p, cells, columns, currency) }
	return line
}

// changeBy sets of a part what a line says, the columns in their own order. A new part is counted in pieces and priced in the
// garage's currency where the line does not say.
func changeBy(p *garage.Part, cells []string, columns []*partColumn, currency string) string {
	for k := range partColumns {
		for i, c := range columns {
			if c == &partColumns[k] && i < len(cells) {
				if wrong := c.read(p, restored(cells[i])); wrong != "" {
					return wrong
				}
			}
		}
		if p.Currency == "" {
			p.Currency = currency
		}
		if p.Unit == "" {
			p.Unit = "piece"
		}
	}
	return ""
}

// PartChange is what a line of a file does to the parts.
type PartChange struct {
	PartLine
	Part   garage.Part // as it will be; an id for one that is there
	Was    garage.Part // one that is there
	Fields []string    // heads of the columns that change
	Wrong  string      // why nothing is done
}

// New says that the line adds a part.
func (c PartChange) New() bool { return c.Wrong == "" && c.Part.ID == 0 }

// Same says that the line changes nothing.
func (c PartChange) Same() bool { return c.Wrong == "" && c.Part.ID != 0 && len(c.Fields) == 0 }

// Changes holds a file against the parts that are there. A line that names no part is about the one of its name, number and
// side, if there is one.
func (f PartFile) Changes(parts []garage.Part) []PartChange {
	byID := map[garage.PartID]garage.Part{}
	byName := map[string]garage.PartID{}
	for _, p := range parts {
		byID[p.ID] = p
		byName[partKey(p)] = p.ID
	}
	seen := map[garage.PartID]int{}
	added := map[string]int{}
	var changes []PartChange
	for _, line := range f.Lines {
		c := PartChange{PartLine: line, Wrong: line.Broken}
		if c.Wrong == "" {
			c.hold(byID, byName)
		}
		if c.Wrong == "" {
			first, key := added[partKey(c.Part)], partKey(c.Part)
			if c.Part.ID != 0 {
				first = seen[c.Part.ID]
				seen[c.Part.ID] = line.Line
			} else {
				added[key] = line.Line
			}
			if first != 0 {
				c.Wrong = fmt.Sprintf("it is the part of line %d again", first)
			}
		}
		changes = append(changes, c)
	}
	return changes
}

func partKey(p garage.Part) string {
	return strings.ToLower(p.Name) + "\x00" + p.Side + "\x00" + garage.NormalNumber(p.Number)
}

// hold finds the part that a line is about and says what becomes of it.
func (c *PartChange) hold(byID map[garage.PartID]garage.Part, byName map[string]garage.PartID) {
	var fresh garage.Part
	if c.Wrong = c.change(&fresh); c.ID == 0 && c.Wrong == "" {
		c.ID = byName[partKey(fresh)]
	}
	if c.ID == 0 {
		c.Part = fresh
	} else {
		was, known := byID[c.ID]
		if !known {
			c.Wrong = fmt.Sprintf("there is no part %d: leave that cell empty for a new one", c.ID)
			return
		}
		c.Was, c.Part = was, was
		c.Wrong = c.change(&c.Part)
	}
	if c.Wrong == "" {
		if invalid, ok := errors.AsType[*garage.InvalidError](c.Part.Validate()); ok {
			c.Wrong = wrongFields(invalid.Fields)
		}
	}
	for _, column := range partColumns {
		if c.ID != 0 && column.write(c.Part) != column.write(c.Was) {
			c.Fields = append(c.Fields, column.head)
		}
	}
}

func wrongFields(fields garage.FieldErrors) string {
	var all []string
	for name, message := range fields {
		all = append(all, strings.ReplaceAll(name, "_", " ")+": "+message)
	}
	slices.Sort(all)
	return strings.Join(all, " ")
}

// WriteLines writes lines of a file as they came, with what is wrong in a further column that reading passes over.
func (f PartFile) WriteLines(w io.Writer, changes []PartChange) error {
	out := csv.NewWriter(w)
	out.Comma = f.comma
	if err := out.Write(append(slices.Clone(f.Head), "what is wrong")); err != nil {
		return err
	}
	for _, c := range changes {
		var cells []string
		for _, cell := range c.Cells {
			cells = append(cells, neutral(restored(cell)))
		}
		for len(cells) < len(f.Head) {
			cells = append(cells, "")
		}
		if err := out.Write(append(cells, neutral(c.Wrong))); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
