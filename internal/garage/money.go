package garage

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// minorDigits lists the currencies whose minor unit is not a hundredth: ISO 4217, table A.1, from memory.
var minorDigits = map[string]int{
	"BIF": 0, "CLP": 0, "DJF": 0, "GNF": 0, "ISK": 0, "JPY": 0, "KMF": 0, "KRW": 0, "PYG": 0, "RWF": 0, "UGX": 0,
	"UYI": 0, "VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
	"BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3,
	"CLF": 4, "UYW": 4,
}

// MinorDigits is the number of decimals of a currency; two where it is not known otherwise.
func MinorDigits(currency string) int {
	if digits, known := minorDigits[currency]; known {
		return digits
	}
	return 2
}

// maxMoney in minor units leaves room to add up a garage's life without an overflow.
const maxMoney = 1_000_000_000_000

var (
	plainMoney   = regexp.MustCompile(`^[0-9]+([.,][0-9]+)?$`)
	groupedMoney = regexp.MustCompile(`^[0-9]{1,3}(?:[ '][0-9]{3})+([.,][0-9]+)?$`)
	pointMoney   = regexp.MustCompile(`^[0-9]{1,3}(?:,[0-9]{3})+(\.[0-9]+)$`)
	commaMoney   = regexp.MustCompile(`^[0-9]{1,3}(?:\.[0-9]{3})+(,[0-9]+)$`)
)

// ParseMoney reads an amount as typed into minor units: with a point or a comma before the decimals, thousands set apart by
// spaces, apostrophes or the other of the two. What could be read in two ways is refused; an empty text is nothing. What is
// wrong is a plain sentence for the field, or empty.
func ParseMoney(typed, currency string) (minor int64, wrong string) {
	s := strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\u2019", "'").Replace(strings.TrimSpace(typed))
	s = strings.TrimSpace(strings.TrimSuffix(s, currency))
	if s == "" {
		return 0, ""
	}
	digits := MinorDigits(currency)
	fraction, ok := "", false
	for _, form := range []*regexp.Regexp{plainMoney, groupedMoney, pointMoney, commaMoney} {
		if m := form.FindStringSubmatch(s); m != nil {
			fraction, ok = m[1], true
			break
		}
	}
	if !ok {
		return 0, "Write an amount like " + MoneyFigure(1250*pow10(digits)/100, currency) + "."
	}
	whole := strings.NewReplacer(" ", "", "'", "", ".", "", ",", "").Replace(strings.TrimSuffix(s, fraction))
	decimals := strings.TrimLeft(fraction, ".,")
	if len(decimals) > digits {
		return 0, tooManyDecimals(currency, digits)
	}
	minor, err := strconv.ParseInt(whole+decimals+strings.Repeat("0", digits-len(decimals)), 10, 64)
	if err != nil || minor > maxMoney {
		return 0, "That is more than can be kept."
	}
	return minor, ""
}

func tooManyDecimals(currency string, digits int) string {
	if digits == 0 {
		return currency + " has no decimals: write the amount without a point or comma."
	}
	return fmt.Sprintf("%s has %d decimals. Set thousands apart by a space.", currency, digits)
}

func pow10(n int) int64 {
	p := int64(1)
	for range n {
		p *= 10
	}
	return p
}

// MoneyFigure is an amount of minor units as typed into a form: the usual decimals, no grouping, no currency.
func MoneyFigure(minor int64, currency string) string {
	digits := MinorDigits(currency)
	sign := ""
	if minor < 0 {
		sign, minor = "-", -minor
	}
	if digits == 0 {
		return sign + strconv.FormatInt(minor, 10)
	}
	unit := pow10(digits)
	return fmt.Sprintf("%s%d.%0*d", sign, minor/unit, digits, minor%unit)
}

// MoneyText is an amount of minor units as shown: thousands set apart by a narrow space, the currency behind it.
func MoneyText(minor int64, currency string) string {
	figure := MoneyFigure(minor, currency)
	whole, fraction, _ := strings.Cut(figure, ".")
	if fraction != "" {
		fraction = "." + fraction
	}
	sign := ""
	if rest, negative := strings.CutPrefix(whole, "-"); negative {
		sign, whole = "\u2212", rest
	}
	return sign + Grouped(whole) + fraction + "\u00a0" + currency
}

// Grouped sets a run of digits apart in threes by narrow no-break spaces, from 10 000 on (ISO 80000-1, from memory).
func Grouped(digits string) string {
	if len(digits) < 5 {
		return digits
	}
	var b strings.Builder
	for i, d := range digits {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteRune('\u202f')
		}
		b.WriteRune(d)
	}
	return b.String()
}
