package unit

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Parse reads a quantity as typed, unit included: "45 Nm", "0,9 l", "33 lbf ft", "3/8 in". A refusal is an [*Error].
func Parse[K Kind](typed string) (Quantity[K], error) { return ParseIn(typed, Unit[K]{}) }

// ParseIn is [Parse], but a number alone is taken to be in the unit bare, for a field that says its unit beside it.
func ParseIn[K Kind](typed string, bare Unit[K]) (Quantity[K], error) {
	var k K
	t := k.table()
	n, rest, err := readNumber(clean(typed), t)
	if err != nil {
		return Quantity[K]{}, err
	}
	u := bare
	if rest != "" {
		if u, err = ParseUnit[K](rest); err != nil {
			return Quantity[K]{}, err
		}
	}
	switch {
	case u.def == nil:
		return Quantity[K]{}, &Error{NoUnit, "Write the unit too, like " + t.example + "."}
	case n.value < 0 && !t.signed:
		return Quantity[K]{}, &Error{Negative, capital(t.name) + " is not below zero."}
	case math.Abs(n.value) > maxNumber:
		return Quantity[K]{}, &Error{TooLarge, "That is more than can be kept."}
	}
	return Quantity[K]{value: n.value, places: safe[K](n.value, n.places), unit: u}, nil
}

// ParseUnit reads a unit as typed. A refusal is an [*Error].
func ParseUnit[K Kind](typed string) (Unit[K], error) {
	var k K
	t := k.table()
	typed = clean(typed)
	key := keyOf(typed)
	if d := t.find(key); d != nil {
		return Unit[K]{d}, nil
	}
	if question, ok := t.unclear[key]; ok {
		return Unit[K]{}, &Error{Ambiguous, fmt.Sprintf("%q is not clear. %s", typed, question)}
	}
	for _, other := range kinds {
		if other.find(key) != nil {
			return Unit[K]{}, &Error{WrongKind, fmt.Sprintf("%q is the unit of %s, not of %s. Write it like %s.", typed, other.name, t.name, t.example)}
		}
	}
	return Unit[K]{}, &Error{UnknownUnit, fmt.Sprintf("%.20q is no unit of %s. Write it like %s.", typed, t.name, t.example)}
}

// maxNumber leaves out what can only be a slip of the finger.
const maxNumber = 1e9

// maxTyped is the longest text that is looked at.
const maxTyped = 80

func (t *table) find(key string) *def {
	for _, d := range t.units {
		if key == keyOf(d.symbol) || slices.Contains(d.spellings, key) {
			return d
		}
	}
	return nil
}

// keyOf leaves of a unit what tells it from others: "N·m", "N m" and "Nm" are the same, and so are "ft-lb" and "ft.lb".
func keyOf(unit string) string {
	return strings.ToLower(strings.Map(func(r rune) rune {
		switch r {
		case ' ', '.', '-', '·', '⋅', '∙', '*', '×', '(', ')':
			return -1
		case 'μ':
			return 'µ'
		case '″', '”':
			return '"'
		case '′', '’':
			return '\''
		}
		return r
	}, unit))
}

var cleaner = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\u2009", " ", "\t", " ", "\u2212", "-", "½", " 1/2", "¼", " 1/4", "¾", " 3/4")

// clean replaces look-alikes: special spaces, the minus sign, fractions of one character.
func clean(typed string) string { return strings.TrimSpace(cleaner.Replace(typed)) }

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// number is a number with the decimals that it was written with.
type number struct {
	value  float64
	places int
}

var (
	fraction = regexp.MustCompile(`^(-?)(?:([0-9]{1,4})[ -]+)?([0-9]{1,3})/([0-9]{1,2})(?:[^0-9].*|)$`)
	decimal  = regexp.MustCompile(`^[+-]? ?((?:[0-9]{1,3}(?:[ '][0-9]{3})+|[0-9]+)?)([.,]?)([0-9]*)`)
)

// readNumber takes the number off the front of a text and returns what follows it.
func readNumber(s string, t *table) (n number, rest string, err error) {
	if len(s) > maxTyped {
		return n, "", &Error{NotANumber, "That is too long. Write it like " + t.example + "."}
	}
	if n, rest, ok := readFraction(s); ok {
		return n, rest, nil
	}
	m := decimal.FindStringSubmatch(s)
	if m == nil || m[1] == "" && m[3] == "" || m[2] != "" && m[3] == "" {
		return n, "", &Error{NotANumber, "Write a number and a unit, like " + t.example + "."}
	}
	rest = strings.TrimSpace(s[len(m[0]):])
	if strings.ContainsAny(firstOf(rest), ".,0123456789") {
		return n, "", &Error{NotANumber, "Write the number without points or commas between thousands, like " + t.example + "."}
	}
	if thousands(m[1], m[2], m[3], t) {
		return n, "", twoReadings(m[1], m[2], m[3], t)
	}
	whole := strings.NewReplacer(" ", "", "'", "").Replace(m[1])
	value, err := strconv.ParseFloat("0"+whole+"."+m[3]+"0", 64)
	if err != nil {
		return n, "", &Error{TooLarge, "That is more than can be kept."}
	}
	if strings.HasPrefix(s, "-") {
		value = -value
	}
	n = number{value: value + 0, places: len(m[3])}
	if len(strings.TrimLeft(whole+m[3], "0")) > 15 {
		n.places = shortest(n.value) // more digits than a number keeps
	}
	return n, rest, nil
}

func firstOf(s string) string {
	if s == "" {
		return ""
	}
	return s[:1]
}

// thousands says that three digits after a separator may well be thousands: always after a comma, and after a point where
// such large numbers are usual.
func thousands(whole, separator, decimals string, t *table) bool {
	if len(decimals) != 3 || len(whole) == 0 || len(whole) > 3 || whole[0] == '0' {
		return false
	}
	return separator == "," || separator == "." && t.grouped
}

func twoReadings(whole, separator, decimals string, t *table) error {
	small := whole + "." + decimals
	if t.grouped {
		small += "0"
	}
	return &Error{Ambiguous, fmt.Sprintf("%s%s%s can be read in two ways: write %s%s or %s.", whole, separator, decimals, whole, decimals, small)}
}

// readFraction reads "3/8 in", "1 1/2 in" or "1/4 turn".
func readFraction(s string) (n number, rest string, ok bool) {
	m := fraction.FindStringSubmatch(s)
	if m == nil || m[4] == "0" || m[4] == "00" {
		return n, "", false
	}
	whole, _ := strconv.Atoi("0" + m[2])
	over, _ := strconv.Atoi(m[3])
	under, _ := strconv.Atoi(m[4])
	value := float64(whole) + float64(over)/float64(under)
	if m[1] != "" {
		value = -value
	}
	_, after, _ := strings.Cut(s, "/")
	return number{value: value + 0, places: shortest(value)}, strings.TrimSpace(after[len(m[4]):]), true
}
