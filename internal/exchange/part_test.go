package exchange_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/exchange"
	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
)

// oddParts have in their fields what spreadsheets and CSV readers stumble over.
func oddParts() []garage.Part {
	texts := []string{
		"=1+1", "+49", "-5 mm", "@home", "'=x", "''@y", "'quoted'", "a,b;c\td", `say "ah"`, "two\nlines", "Ärger, naïve → ½", "  spaced", "\ttab", "'", "", "= ",
	}
	random := rand.New(rand.NewPCG(3, 4))
	var parts []garage.Part
	for i := range 200 {
		pick := func() string { return texts[random.IntN(len(texts))] }
		parts = append(parts, garagetest.Part(func(p *garage.Part) {
			p.ID, p.Name, p.Notes = garage.PartID(i+1), strings.TrimSpace(fmt.Sprint(pick(), " ", i)), pick()
			p.Number, p.Supplier, p.Variant = strings.TrimSpace(pick()), strings.TrimSpace(pick()), strings.TrimSpace(pick())
			p.Price = random.Int64N(100000)
			if i%3 == 0 {
				p.LeadLow, p.LeadLikely, p.LeadHigh = nil, nil, nil
			}
		}))
	}
	return parts
}

func TestWriteParts_readsBack(t *testing.T) {
	t.Parallel()
	parts := oddParts()
	var b bytes.Buffer
	if err := exchange.WriteParts(&b, parts); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
				t.Errorf("a spreadsheet would run %q", cell)
			}
		}
	}
	for name, content := range map[string][]byte{
		"as written": b.Bytes(), "with a mark": append([]byte("\ufeff"), b.Bytes()...), "with CRLF": bytes.ReplaceAll(b.Bytes(), []byte("\n"), []byte("\r\n")),
	} {
		file, err := exchange.ReadParts(content, "EUR")
		if err != nil || len(file.Lines) != len(parts) {
			t.Fatal(name, err, len(file.Lines))
		}
		for i, c := range file.Changes(parts) {
			if !c.Same() {
				t.Errorf("%s, line %d: wrong %q, changes %v (-was +is):\n%s", name, c.Line, c.Wrong, c.Fields, cmp.Diff(parts[i], c.Part))
			}
		}
	}
}

func TestReadParts(t *testing.T) {
	t.Parallel()
	there := []garage.Part{garagetest.Part(func(p *garage.Part) { p.ID = 7 })}
	tests := []struct {
		name, file string
		want       []string // "new NAME", "same", "changes FIELDS", or what is wrong
	}{
		{"semicolons and a decimal comma", "Name;Price;Unit\nBush;12,50;piece\n", []string{"new Bush 1250 piece"}},
		{"tabs", "name\tprice\nBush\t12.50\n", []string{"new Bush 1250 piece"}},
		{"thousands", "name;price\nBush;1.250,50\n", []string{"new Bush 125050 piece"}},
		{"found by its number however spaced", "name,number,side,supplier\ntrailing ARM,ql331042b,left,Reed\n", []string{"changes name number supplier"}},
		{"found by its id", "part,name,price\n7,Trailing arm,189.50\n", []string{"same"}},
		{"columns left out stay", "part,name\n7,Arm\n", []string{"changes name"}},
		{"one that is not there", "part,name\n8,Arm\n", []string{"there is no part 8: leave that cell empty for a new one"}},
		{"a word for an id", "part,name\nx,Arm\n", []string{"part: not the number of a part: x"}},
		{"no name", "name,number\n,5\n", []string{"name: Give it a name."}},
		{"a price that is none", "name,price\nBush,cheap\n", []string{"price: Write an amount like 12.50."}},
		{"days that run backwards", "name,days least,days likely,days most\nBush,3,2,1\n", []string{"lead: The days must not run backwards: least, likely, most."}},
		{"half a day", "name,days least,days likely,days most\nBush,0.5,2,3\n", []string{"days least: a whole number of days, not 0.5"}},
		{"twice", "name\nBush\nBush\n", []string{"new Bush 0 piece", "it is the part of line 2 again"}},
		{"the same id twice", "part,name\n7,A\n7,B\n", []string{"changes name", "it is the part of line 2 again"}},
		{"too many cells", "name,number\nBush,5,6\n", []string{"it has 3 cells, the head has 2"}},
		{"too few cells", "name,number,notes\nBush,5\n", []string{"new Bush 0 piece"}},
		{"a stray mark", "name,number\nBush 3\" wide,5\nNut,6\n", []string{"a quotation mark stands where none may, or is never closed", "new Nut 0 piece"}},
		{"a mark never closed", "name,number\nNut,6\n\"Bush,5\nBolt,7\n", []string{"new Nut 0 piece", "a quotation mark stands where none may, or is never closed"}},
		{"no mark of unicode", "name\nB\xfcgel\n", []string{"new Bügel 0 piece"}},
		{"an own currency", "name,currency,price\nBush,JPY,1250\n", []string{"new Bush 1250 piece"}},
		{"a formula", "name,notes\n'=HYPERLINK(1),x\n", []string{"new =HYPERLINK(1) 0 piece"}},
	}
	for _, tt := range tests {
		file, err := exchange.ReadParts([]byte(tt.file), "EUR")
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		var got []string
		for _, c := range file.Changes(there) {
			switch {
			case c.Wrong != "":
				got = append(got, c.Wrong)
			case c.New():
				got = append(got, fmt.Sprint("new ", c.Part.Name, " ", c.Part.Price, " ", c.Part.Unit))
			case c.Same():
				got = append(got, "same")
			default:
				got = append(got, "changes "+strings.Join(c.Fields, " "))
			}
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, diff)
		}
	}
	for name, file := range map[string]string{"empty": "", "no name": "number,notes\n5,x\n", "zero bytes": "name\nBush\x00\n"} {
		if _, err := exchange.ReadParts([]byte(file), "EUR"); err == nil {
			t.Errorf("%s: read", name)
		}
	}
}

// TestPartFile_WriteLines: what is wrong comes back as it was, to be mended and sent again.
func TestPartFile_WriteLines(t *testing.T) {
	t.Parallel()
	file, err := exchange.ReadParts([]byte("name;price;notes\nBush;cheap;'=a\nNut;1,50;\n;;=b\n"), "EUR")
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	var wrong []exchange.PartChange
	for _, c := range file.Changes(nil) {
		if c.Wrong != "" {
			wrong = append(wrong, c)
		}
	}
	if err := file.WriteLines(&b, wrong); err != nil {
		t.Fatal(err)
	}
	want := "name;price;notes;what is wrong\nBush;cheap;'=a;price: Write an amount like 12.50.\n;;'=b;name: Give it a name.\n"
	if diff := cmp.Diff(want, b.String()); diff != "" {
		t.Error(diff)
	}
}
