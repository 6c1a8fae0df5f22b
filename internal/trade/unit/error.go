package unit

// Code says in one word why a text is no quantity.
type Code string

// Why a text was refused.
const (
	NotANumber  Code = "not a number"
	NoUnit      Code = "no unit"
	UnknownUnit Code = "unknown unit"
	WrongKind   Code = "wrong kind"
	Ambiguous   Code = "ambiguous"
	Negative    Code = "negative"
	TooLarge    Code = "too large"
)

// Error says why a text is no quantity of the kind asked for.
type Error struct {
	Code Code
	Text string // a plain sentence for whoever typed it
}

// Error is the sentence.
func (e *Error) Error() string { return e.Text }
