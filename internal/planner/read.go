package planner

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"time"
)

// ReadProblem reads a problem file. What it refuses it refuses with one line
// that names the place, like "jobs[3].stages[0].minutes[1]: negative".
func ReadProblem(r io.Reader) (Problem, error) {
	root, err := readTree(r)
	if err != nil {
		return Problem{}, err
	}
	in := &fileReader{zone: time.UTC}
	p := in.problem(root)
	if in.err != nil {
		return Problem{}, in.err
	}
	return p, p.Validate()
}

// fileReader turns nodes into values. The first error stays; what is read
// after it is of no use to anyone.
type fileReader struct {
	zone *time.Location
	err  error
}

func (in *fileReader) fail(where, format string, args ...any) {
	if in.err == nil {
		in.err = fileError(where, format, args...)
	}
}

// object opens an object whose fields must be among the known ones.
func (in *fileReader) object(n *node, where string, known ...string) object {
	o := object{in: in, where: where}
	if n.kind != 'o' {
		in.fail(where, "not an object")
		return o
	}
	o.fields = n.fields
	for _, key := range n.keys {
		if !contains(known, key) {
			in.fail(o.at(key), "unknown field")
		}
	}
	return o
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

type object struct {
	in     *fileReader
	where  string
	fields map[string]*node
}

func (o object) at(key string) string {
	if o.where == "" {
		return key
	}
	return o.where + "." + key
}

// get is the field's node, or nil when it is absent or null.
func (o object) get(key string) *node {
	if n := o.fields[key]; n != nil && n.kind != 'z' {
		return n
	}
	return nil
}

func (o object) text(key string) string {
	n := o.get(key)
	if n == nil {
		return ""
	}
	if n.kind != 's' {
		o.in.fail(o.at(key), "not a string")
	}
	return n.text
}

func (o object) truth(key string) bool {
	n := o.get(key)
	if n == nil {
		return false
	}
	if n.kind != 'b' {
		o.in.fail(o.at(key), "not true or false")
	}
	return n.truth
}

// count reads a whole number of at least zero.
func (o object) count(key string) int {
	if n := o.get(key); n != nil {
		return o.in.number(n, o.at(key))
	}
	return 0
}

// amount reads a number of at least zero that may have decimals.
func (o object) amount(key string, absent float64) float64 {
	n := o.get(key)
	if n == nil {
		return absent
	}
	v, err := strconv.ParseFloat(n.text, 64)
	switch {
	case n.kind != 'n':
		o.in.fail(o.at(key), "not a number")
	case err != nil || v > maxAmount:
		o.in.fail(o.at(key), "too large")
	case v < 0:
		o.in.fail(o.at(key), "negative")
	}
	return v
}

// Limits that keep sums far from overflow and years at four digits.
const (
	maxCount  = 10_000_000        // of minutes and pieces
	maxDays   = 36_500            // of outside work and order leads
	maxWeight = 1_000_000         // of a job
	maxAmount = 1_000_000_000     // of a price
	maxTotal  = 500 * 366 * 1_440 // minutes of all that a plan can take
)

func (in *fileReader) number(n *node, where string) int {
	if n.kind != 'n' {
		in.fail(where, "not a number")
		return 0
	}
	v, err := strconv.ParseFloat(n.text, 64)
	switch {
	case err != nil || math.Abs(v) > maxCount:
		in.fail(where, "too large")
	case v < 0:
		in.fail(where, "negative")
	case v != math.Trunc(v):
		in.fail(where, "not a whole number")
	default:
		return int(v)
	}
	return 0
}

// list is the field's items, each with its place.
func list[T any](o object, key string, read func(n *node, where string) T) []T {
	n := o.get(key)
	if n == nil {
		return nil
	}
	if n.kind != 'a' {
		o.in.fail(o.at(key), "not a list")
		return nil
	}
	out := make([]T, 0, len(n.items))
	for i, item := range n.items {
		out = append(out, read(item, fmt.Sprintf("%s[%d]", o.at(key), i)))
	}
	return out
}

// text reads a string of a list.
func (in *fileReader) text(n *node, where string) string {
	if n.kind != 's' {
		in.fail(where, "not a string")
	}
	return n.text
}

// moment reads a time or a date; empty when absent.
func (o object) moment(key string) Moment {
	if n := o.get(key); n != nil {
		return o.in.moment(n, o.at(key))
	}
	return Moment{}
}

func (in *fileReader) moment(n *node, where string) Moment {
	if n.kind != 's' {
		in.fail(where, "not a time")
		return Moment{}
	}
	m, ok := parseMoment(n.text, in.zone)
	if !ok {
		in.fail(where, "%q is not a time", n.text)
	}
	return m
}

// instant reads a time that must be there and must not be a bare date.
func (o object) instant(key string) time.Time {
	m := o.moment(key)
	switch {
	case o.get(key) == nil:
		o.in.fail(o.at(key), "missing")
	case m.Day:
		o.in.fail(o.at(key), "a date without a time")
	}
	return m.Time
}

// times reads one moment or three.
func (o object) times(key string) *Times {
	n := o.get(key)
	if n == nil {
		return nil
	}
	if n.kind != 'a' {
		return Sure(o.in.moment(n, o.at(key)))
	}
	three := list(o, key, o.in.moment)
	if len(three) != 3 {
		o.in.fail(o.at(key), "not three values")
		return nil
	}
	return (*Times)(three)
}

// numbers reads three numbers, or one where one will do.
func (o object) numbers(key string, oneWillDo bool) *Range {
	n := o.get(key)
	if n == nil {
		return nil
	}
	if oneWillDo && n.kind == 'n' {
		r := Exactly(o.in.number(n, o.at(key)))
		return &r
	}
	three := list(o, key, o.in.number)
	if len(three) != 3 {
		o.in.fail(o.at(key), "not three values")
		return nil
	}
	return (*Range)(three)
}

// needs reads amounts by resource.
func (o object) needs(key string) map[string]int {
	n := o.get(key)
	if n == nil {
		return nil
	}
	inner := o.in.object(n, o.at(key), n.keys...)
	out := make(map[string]int, len(n.keys))
	for _, id := range n.keys {
		out[id] = inner.count(id)
	}
	return out
}
