package torque

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/trade/input"
)

// Pattern is how the fasteners of a joint follow each other.
type Pattern string

// Patterns of tightening; AnyOrder when the page does not say.
const (
	AnyOrder Pattern = ""
	Star     Pattern = "star"     // across the circle
	Spiral   Pattern = "spiral"   // from the centre of rows outwards
	Numbered Pattern = "numbered" // as the maker's diagram numbers them
)

// Sequence is an order of tightening. Fasteners are numbered around the circle, or row by row.
type Sequence struct {
	Pattern Pattern
	Rows    int   // of a spiral
	Order   []int // every fastener once
}

const maxFasteners = 60

// NewStar is the order across a circle of n fasteners: 1-3-5-2-4 for five. Opposite pairs for even numbers, the longest step
// that reaches all for odd ones. Usual for wheels, in two or three passes (common practice, no source); the maker's diagram
// wins. A refusal is an [*input.Error] for "sequence".
func NewStar(n int) (Sequence, error) {
	if n < 3 || n > maxFasteners {
		return Sequence{}, input.Wrong("sequence", "A star has from 3 to %d bolts.", maxFasteners)
	}
	return Sequence{Pattern: Star, Order: star(n)}, nil
}

func star(n int) []int {
	order := make([]int, 0, n)
	switch {
	case n < 3:
		for i := range n {
			order = append(order, i+1)
		}
	case n%2 == 0:
		for _, first := range star(n / 2) { // pairs, themselves in the order of a star
			order = append(order, first, first+n/2)
		}
	default:
		at := 0
		for range n {
			order = append(order, at+1)
			at = (at + (n-1)/2) % n
		}
	}
	return order
}

// NewSpiral is the order from the centre outwards over rows of equally many fasteners, as for a cylinder head; it is loosened
// from the outside in (common practice, no source). A refusal is an [*input.Error] for "sequence".
func NewSpiral(rows, perRow int) (Sequence, error) {
	if rows < 1 || rows > 10 || perRow < 2 || perRow > maxFasteners || rows*perRow > maxFasteners {
		return Sequence{}, input.Wrong("sequence", "Say the rows and the bolts in each, like 2 rows of 5.")
	}
	return Sequence{Pattern: Spiral, Rows: rows, Order: spiral(rows, perRow)}, nil
}

// spiral takes the fasteners by their distance from the centre and, among equal ones, the one farthest from the last.
func spiral(rows, perRow int) []int {
	square := func(a, b int) int { return (a - b) * (a - b) }
	x := func(i int) int { return 2 * (i % perRow) }
	y := func(i int) int { return 2 * (i / perRow) }
	out := func(i int) int { return square(x(i), perRow-1) + square(y(i), rows-1) }
	left := make([]int, rows*perRow)
	for i := range left {
		left[i] = i
	}
	order, last := make([]int, 0, len(left)), 0
	for len(left) > 0 {
		best := slices.MinFunc(left, func(a, b int) int {
			far := func(i int) int { return square(x(i), x(last)) + square(y(i), y(last)) }
			if out(a) != out(b) {
				return out(a) - out(b)
			}
			if len(order) > 0 && far(a) != far(b) {
				return far(b) - far(a)
			}
			return a - b
		})
		order, last = append(order, best+1), best
		left = slices.DeleteFunc(left, func(i int) bool { return i == best })
	}
	return order
}

// Loosening is the order backwards: from the outside in.
func (s Sequence) Loosening() []int {
	order := slices.Clone(s.Order)
	slices.Reverse(order)
	return order
}

// String is the sequence as [ParseSequence] reads it: "star 5", "spiral 2×5", "numbered 1-4-2-3"; "" for any order.
func (s Sequence) String() string {
	switch s.Pattern {
	case Star:
		return fmt.Sprintf("star %d", len(s.Order))
	case Spiral:
		return fmt.Sprintf("spiral %d×%d", s.Rows, len(s.Order)/s.Rows)
	case Numbered:
		return "numbered " + s.OrderText()
	}
	return ""
}

// OrderText is the order as the trade writes it: 1-3-5-2-4.
func (s Sequence) OrderText() string {
	numbers := make([]string, len(s.Order))
	for i, n := range s.Order {
		numbers[i] = strconv.Itoa(n)
	}
	return strings.Join(numbers, "-")
}

var (
	starText   = regexp.MustCompile(`(?i)^star(?: of)? ([0-9]{1,3})$`)
	spiralText = regexp.MustCompile(`(?i)^spiral(?: of)? ([0-9]{1,2}) ?[x×*] ?([0-9]{1,2})$`)
	numberText = regexp.MustCompile(`(?i)^(?:numbered )?([0-9]{1,3}(?: ?[-,–] ?[0-9]{1,3}| [0-9]{1,3})+)$`)
	numberCuts = regexp.MustCompile(`[^0-9]+`)
)

// ParseSequence reads "star 5", "spiral 2×5", "numbered 1-4-2-3" or the numbers alone. A refusal is an [*input.Error] for
// "sequence".
func ParseSequence(typed string) (Sequence, error) {
	s := strings.TrimSpace(spaces.ReplaceAllString(typed, " "))
	if s == "" {
		return Sequence{}, nil
	}
	if m := starText.FindStringSubmatch(s); m != nil {
		n, _ := strconv.Atoi(m[1])
		return NewStar(n)
	}
	if m := spiralText.FindStringSubmatch(s); m != nil {
		rows, _ := strconv.Atoi(m[1])
		perRow, _ := strconv.Atoi(m[2])
		return NewSpiral(rows, perRow)
	}
	if m := numberText.FindStringSubmatch(s); m != nil {
		return numbered(numberCuts.Split(m[1], -1))
	}
	return Sequence{}, input.Wrong("sequence", "Write star 5, spiral 2×5, or the numbers of the diagram like 1-3-2-4.")
}

func numbered(numbers []string) (Sequence, error) {
	if len(numbers) > maxFasteners {
		return Sequence{}, input.Wrong("sequence", "At most %d bolts.", maxFasteners)
	}
	seen := make([]bool, len(numbers)+1)
	order := make([]int, 0, len(numbers))
	for _, number := range numbers {
		n, _ := strconv.Atoi(number)
		if n < 1 || n > len(numbers) || seen[n] {
			return Sequence{}, input.Wrong("sequence", "With %d bolts, each number from 1 to %d comes once; %d does not fit.", len(numbers), len(numbers), n)
		}
		seen[n] = true
		order = append(order, n)
	}
	return Sequence{Pattern: Numbered, Order: order}, nil
}
