// Package input holds the one error that the trade packages give for a value that they cannot work with. It carries the
// name of the value, so that a form can show the sentence under its field, and the sentence itself, in plain words.
//
// It holds no formula. What is out of range, and why, is said by the package that refuses it.
package input

import (
	"fmt"
	"math"
)

// Error says which value is wrong and why.
type Error struct {
	Field    string // the value's name as the function's comment gives it
	Sentence string // what is wrong and what to do, for the owner to read
}

// Error is the sentence, headed by the value's name.
func (e *Error) Error() string { return e.Field + ": " + e.Sentence }

// Wrong makes an [*Error] for a value; the sentence may have verbs as in fmt.Sprintf.
func Wrong(field, sentence string, args ...any) error {
	if len(args) > 0 {
		sentence = fmt.Sprintf(sentence, args...)
	}
	return &Error{Field: field, Sentence: sentence}
}

// First is the first error of a list of checks, or nil.
func First(checks ...error) error {
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	return nil
}

// Within refuses a value that is not a number or lies outside low to high, both included.
func Within[T ~float64](field string, value, low, high T, sentence string, args ...any) error {
	if math.IsNaN(float64(value)) || value < low || value > high {
		return Wrong(field, sentence, args...)
	}
	return nil
}

// Positive refuses a value that is not a number, not finite or not more than zero.
func Positive[T ~float64](field string, value T, sentence string, args ...any) error {
	if !(value > 0) || math.IsInf(float64(value), 1) {
		return Wrong(field, sentence, args...)
	}
	return nil
}
