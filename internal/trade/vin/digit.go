package vin

import "fmt"

// weights by place; the check digit's own is 0 (49 CFR 565.15(c)).
var weights = [Length]int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}

// values of the letters from A to Z (49 CFR 565.15(c)); I, O and Q have none.
var values = [26]int{1, 2, 3, 4, 5, 6, 7, 8, 0, 1, 2, 3, 4, 5, 0, 7, 0, 9, 2, 3, 4, 5, 6, 7, 8, 9}

// digitPlace is the place of the check digit, from 0.
const digitPlace = 8

// Sum is the weighted sum of the number's values.
func (v VIN) Sum() int {
	sum := 0
	for i := range Length {
		c := v[i]
		if c <= '9' {
			sum += weights[i] * int(c-'0')
		} else {
			sum += weights[i] * values[c-'A']
		}
	}
	return sum
}

// CheckDigit is what place 9 must show where a check digit is used.
func (v VIN) CheckDigit() byte { return "0123456789X"[v.Sum()%11] }

// Market is where the car was made to be sold, as far as it matters for the number.
type Market string

// The markets. An unknown one is judged by the number's first character.
const (
	UnknownMarket Market = ""
	UnitedStates  Market = "United States"
	Canada        Market = "Canada"
	China         Market = "China"
	OtherMarket   Market = "another"
)

// Verdict is what the check digit says.
type Verdict string

// The verdicts. None of them says that the car exists.
const (
	Fits        Verdict = "fits"         // the digit is right
	DoesNotFit  Verdict = "does not fit" // one is expected and it is wrong: a character is mistyped
	NotExpected Verdict = "not expected" // it is wrong, and this market asks for none
)

// Check is the check digit's verdict with a sentence for the owner.
type Check struct {
	Verdict  Verdict
	Shown    byte // what place 9 shows
	Computed byte // what it would have to show
	Sentence string
}

// Check compares place 9 with the computed digit. Where no check digit is expected the number is never called wrong.
func (v VIN) Check(market Market) Check {
	c := Check{Shown: v[digitPlace], Computed: v.CheckDigit()}
	switch {
	case c.Shown == c.Computed:
		c.Verdict = Fits
		c.Sentence = "The check digit fits. Characters of one value, such as B and 2, could still be swapped."
	case v.expects(market):
		c.Verdict = DoesNotFit
		c.Sentence = fmt.Sprintf("The check digit in place 9 is %c and should be %c: compare the number with the car.", c.Shown, c.Computed)
	default:
		c.Verdict = NotExpected
		c.Sentence = "No check digit expected."
	}
	return c
}

// expects says whether the car's market uses the check digit: mandatory in the United States, practice in Canada and
// China. Of an unknown market the number itself tells only the country of its maker: 1 to 5 North America, L China
// (ISO 3780, from memory). A number that begins with 0 is an example and has to hold too.
func (v VIN) expects(market Market) bool {
	if market == UnknownMarket {
		return v.Region() == NorthAmerica || v.Region() == Unassigned || v[0] == 'L'
	}
	return market != OtherMarket
}
