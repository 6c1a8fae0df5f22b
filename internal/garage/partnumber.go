package garage

import "strings"

// PartNumber is one of the numbers that a part goes by: whose it is, and what replaced it.
type PartNumber struct {
	Whose      string
	Number     string
	ReplacedBy string
}

// ParseNumbers reads further numbers as the owner writes them: behind commas, semicolons or on lines of their own, whose a
// number is before a colon, what replaced it behind >.
func ParseNumbers(text string) []PartNumber {
	var numbers []PartNumber
	for _, entry := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		whose := ""
		if before, after, said := strings.Cut(entry, ":"); said && before != "" && !strings.ContainsRune(before, '>') {
			whose, entry = strings.TrimSpace(before), after
		}
		chain := strings.FieldsFunc(entry, func(r rune) bool { return r == '>' || r == '→' })
		for i, number := range chain {
			n := PartNumber{Whose: whose, Number: strings.TrimSpace(number)}
			if i+1 < len(chain) {
				n.ReplacedBy = strings.TrimSpace(chain[i+1])
			}
			if n.Number != "" {
				numbers = append(numbers, n)
			}
		}
	}
	return numbers
}

// NewestNumber follows what replaced what from a number on. Numbers that replace each other in a circle end where they began.
func NewestNumber(number string, numbers []PartNumber) string {
	seen := map[string]bool{}
	for {
		key := NormalNumber(number)
		if seen[key] {
			return number
		}
		seen[key] = true
		next := find(numbers, func(n PartNumber) bool { return NormalNumber(n.Number) == key && n.ReplacedBy != "" })
		if next.ReplacedBy == "" {
			return number
		}
		number = next.ReplacedBy
	}
}

// PartFitID names what is known of a part on a car.
type PartFitID int64

// The ways in which it is known whether a part fits a car, surest first.
const (
	FitChecked = "checked on the car"
	FitNumber  = "by number"
	FitGuessed = "guessed"
	FitNot     = "does not fit"
)

// FitsKnown lists the ways in which it is known whether a part fits a car.
var FitsKnown = []string{FitChecked, FitNumber, FitGuessed, FitNot}

// PartFit says whether a part fits a car, and how that is known.
type PartFit struct {
	ID     PartFitID
	PartID PartID
	CarID  CarID
	Known  string
	Note   string
}

// PartFitRow is a fit as a list shows it.
type PartFitRow struct {
	PartFit
	PartName string
	CarName  string
}

// Validate says which fields do not hold.
func (f PartFit) Validate() error {
	var e FieldErrors
	if f.CarID == 0 {
		e.Add("car", "Choose the car.")
	}
	oneOf(&e, "known", f.Known, FitsKnown)
	e.text("note", f.Note)
	return e.Err()
}

// PartTwins are two parts that are each other's like for the other side.
type PartTwins struct{ Left, Right PartID }
