package cost

import (
	"cmp"
	"maps"
	"math/bits"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/interval"
)

// Money is an amount in minor units of a currency (ISO 4217).
type Money struct {
	Minor    int64
	Currency string
}

// maxMinor leaves room to add up a garage's life without an overflow.
const maxMinor = 1_000_000_000_000

// Plus adds an amount of the same currency. Another currency is refused for "currency", a sum out of range for "amount".
func (m Money) Plus(other Money) (Money, error) {
	if m.Currency != other.Currency {
		return Money{}, input.Wrong("currency", "%s and %s cannot be added: convert one first.", m.Currency, other.Currency)
	}
	sum := Money{Minor: m.Minor + other.Minor, Currency: m.Currency}
	if over(m.Minor) || over(other.Minor) || over(sum.Minor) {
		return Money{}, tooMuch()
	}
	return sum, nil
}

func over(minor int64) bool { return minor > maxMinor || minor < -maxMinor }

func tooMuch() error { return input.Wrong("amount", "That is more than can be kept.") }

// amounts checks that all are of one currency, in range and not below zero.
func amounts(currency string, all map[string]Money) error {
	if currency == "" {
		return input.Wrong("currency", "Give the currency.")
	}
	for _, field := range slices.Sorted(maps.Keys(all)) {
		switch m := all[field]; {
		case m.Minor == 0 && m.Currency == "":
		case m.Currency != currency:
			return input.Wrong("currency", "All amounts must be in %s.", currency)
		case m.Minor < 0:
			return input.Wrong(field, "An amount cannot be less than zero.")
		case over(m.Minor):
			return input.Wrong(field, "That is more than can be kept.")
		}
	}
	return nil
}

// Millionths is a rate: 4.5 % is 45,000.
type Millionths int64

// Whole is a rate of 100 %.
const Whole Millionths = 1_000_000

// maxRate is 1000 %.
const maxRate = 10 * Whole

var percentForm = regexp.MustCompile(`^([0-9]{1,4})(?:[.,]([0-9]{1,4}))?%?$`)

// ParsePercent reads a rate in percent as typed: "4.5", "4,5 %". What cannot be read, or is more than 1000 %, is refused for "percent".
func ParsePercent(typed string) (Millionths, error) {
	m := percentForm.FindStringSubmatch(strings.Join(strings.Fields(typed), ""))
	if m == nil {
		return 0, input.Wrong("percent", "Write a percentage like 4.5, with at most four decimals.")
	}
	n, err := strconv.ParseInt(m[1]+(m[2] + "0000")[:4], 10, 64)
	if err != nil || Millionths(n) > maxRate {
		return 0, input.Wrong("percent", "At most 1000 %.")
	}
	return Millionths(n), nil
}

// String is the rate in percent.
func (r Millionths) String() string {
	sign := ""
	if r < 0 {
		sign, r = "-", -r
	}
	whole, decimals := strconv.FormatInt(int64(r/10_000), 10), strconv.FormatInt(int64(10_000+r%10_000), 10)[1:]
	return sign + strings.TrimRight(strings.TrimRight(whole+"."+decimals, "0"), ".") + "\u00a0%"
}

// Part is that rate of the amount, rounded to the nearest minor unit. A rate outside 0 to 1000 % is refused for "rate", a result out of
// range for "amount".
func (m Money) Part(rate Millionths) (Money, error) {
	if rate < 0 || rate > maxRate {
		return Money{}, input.Wrong("rate", "Give a rate from 0 to 1000 %.")
	}
	minor, ok := scale(m.Minor, int64(rate), int64(Whole))
	if !ok {
		return Money{}, tooMuch()
	}
	return Money{Minor: minor, Currency: m.Currency}, nil
}

// scale is a·num/den to the nearest, halves away from zero; num is not below and den above zero.
func scale(a, num, den int64) (int64, bool) {
	if a < 0 {
		n, ok := scale(-a, num, den)
		return -n, ok
	}
	high, low := bits.Mul64(uint64(a), uint64(num))
	if high >= uint64(den) {
		return 0, false
	}
	whole, rest := bits.Div64(high, low, uint64(den))
	if rest >= uint64(den)-rest {
		whole++
	}
	return int64(whole), whole <= maxMinor
}

// Billionths is a rate of exchange: how many units of one currency a unit of the other is, in thousandths of a millionth.
type Billionths int64

// Exchange is an amount paid in another currency, with the rate and the day, all of which are kept.
type Exchange struct {
	Paid Money
	Rate Billionths
	On   interval.Date
}

// In is the amount in the currency whose unit the rate counts. The digits are those of the two minor units: 2 for most, 0 for some. A rate of
// none is refused for "rate", digits outside 0 to 4 for "digits", a result out of range for "amount".
func (e Exchange) In(currency string, paidDigits, digits int) (Money, error) {
	switch {
	case e.Rate <= 0:
		return Money{}, input.Wrong("rate", "Give the rate of exchange, more than zero.")
	case currency == "":
		return Money{}, input.Wrong("currency", "Give the currency.")
	case min(paidDigits, digits) < 0 || max(paidDigits, digits) > 4:
		return Money{}, input.Wrong("digits", "A minor unit has from 0 to 4 digits.")
	}
	num, den := int64(e.Rate), int64(1_000_000_000)
	for range max(0, digits-paidDigits) {
		if num > maxMinor {
			return Money{}, tooMuch()
		}
		num *= 10
	}
	for range max(0, paidDigits-digits) {
		den *= 10
	}
	minor, ok := scale(e.Paid.Minor, num, den)
	if !ok {
		return Money{}, tooMuch()
	}
	return Money{Minor: minor, Currency: currency}, nil
}

// Allocate shares a total by weights so that the shares add up to it: each gets the whole part of its share, and what is left goes one by one
// to the largest remainders, the earlier first. No weight at all is refused for "weights", as is one below zero; a total out
// of range for "amount".
func Allocate(total int64, weights []int64) ([]int64, error) {
	sum := int64(0)
	for _, w := range weights {
		if w < 0 || w > maxMinor {
			return nil, input.Wrong("weights", "What an amount is shared by cannot be less than zero.")
		}
		sum += w
	}
	switch {
	case sum == 0 || len(weights) > 1_000_000:
		return nil, input.Wrong("weights", "There is nothing to share by: all are zero.")
	case over(total):
		return nil, tooMuch()
	case total < 0:
		shares, err := Allocate(-total, weights)
		for i := range shares {
			shares[i] = -shares[i]
		}
		return shares, err
	}
	return largestRemainder(total, sum, weights), nil
}

func largestRemainder(total, sum int64, weights []int64) []int64 {
	shares := make([]int64, len(weights))
	remainders := make([]uint64, len(weights))
	order := make([]int, len(weights))
	left := total
	for i, w := range weights {
		high, low := bits.Mul64(uint64(total), uint64(w))
		whole, rest := bits.Div64(high, low, uint64(sum))
		shares[i], remainders[i], order[i] = int64(whole), rest, i
		left -= int64(whole)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(remainders[b], remainders[a]) })
	for _, i := range order[:left] {
		shares[i]++
	}
	return shares
}
