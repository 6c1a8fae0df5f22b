package garage

import (
	"errors"
	"maps"
	"slices"
	"strings"

	"axlestand/internal/trade/input"
	"axlestand/internal/trade/unit"
)

// ErrNotFound says that there is no such record, or that it was deleted.
var ErrNotFound = errors.New("not found")

// ErrConflict says that the record was changed since it was read.
var ErrConflict = errors.New("changed by someone else meanwhile")

// FieldErrors maps a form field's name to what is wrong with it, as a plain sentence.
type FieldErrors map[string]string

// Add notes what is wrong with a field; the first note on a field stays.
func (e *FieldErrors) Add(field, message string) {
	if *e == nil {
		*e = FieldErrors{}
	}
	if _, taken := (*e)[field]; !taken {
		(*e)[field] = message
	}
}

// Merge adds all of other; notes that stand already stay.
func (e *FieldErrors) Merge(other FieldErrors) {
	for field, message := range other {
		e.Add(field, message)
	}
}

// Err is nil when nothing is wrong, otherwise an [*InvalidError].
func (e FieldErrors) Err() error {
	if len(e) == 0 {
		return nil
	}
	return &InvalidError{Fields: e}
}

// Sentences are the messages one after the other, by the names of their fields.
func (e FieldErrors) Sentences() string {
	var all []string
	for _, field := range slices.Sorted(maps.Keys(e)) {
		all = append(all, e[field])
	}
	return strings.Join(all, " ")
}

// InvalidError says which fields of a record do not hold, and why.
type InvalidError struct {
	Fields FieldErrors
}

// Error lists the fields in alphabetical order.
func (e *InvalidError) Error() string {
	var b strings.Builder
	b.WriteString("invalid:")
	for _, field := range slices.Sorted(maps.Keys(e.Fields)) {
		b.WriteString(" " + field + ": " + e.Fields[field] + ";")
	}
	return strings.TrimSuffix(b.String(), ";")
}

// Lengths that fit any honest entry and keep a page readable.
const (
	maxName = 200
	maxText = 10000
)

func (e *FieldErrors) name(field, value string) {
	switch {
	case strings.TrimSpace(value) == "":
		e.Add(field, "Give it a name.")
	case len([]rune(value)) > maxName:
		e.Add(field, "Keep it to 200 characters.")
	}
}

func (e *FieldErrors) text(field, value string) {
	if len([]rune(value)) > maxText {
		e.Add(field, "Keep it to 10,000 characters.")
	}
}

func oneOf[T comparable](e *FieldErrors, field string, value T, allowed []T) {
	if !slices.Contains(allowed, value) {
		e.Add(field, "Choose one of the list.")
	}
}

func (e *FieldErrors) line(field, value string) {
	if len([]rune(value)) > maxName {
		e.Add(field, "Keep it to 200 characters.")
	}
}

// trade notes under a field what a trade package refuses; nil is nothing.
func (e *FieldErrors) trade(field string, err error) {
	if err != nil {
		e.Add(field, TradeSentence(err))
	}
}

// TradeSentence is what a trade package says to the owner of a value that it refuses.
func TradeSentence(err error) string {
	if wrong, ok := errors.AsType[*input.Error](err); ok {
		return wrong.Sentence
	}
	if wrong, ok := errors.AsType[*unit.Error](err); ok {
		return wrong.Text
	}
	return err.Error()
}
