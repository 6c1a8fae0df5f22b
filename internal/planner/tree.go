package planner

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
)

const (
	maxFileBytes = 16 << 20
	maxDepth     = 64 // a problem needs eight
)

// node is one JSON value. A tree of nodes is read first and given its meaning
// after, so that every complaint can name its place.
type node struct {
	kind   byte // o a s n b z: object, array, string, number, boolean, null
	text   string
	truth  bool
	keys   []string
	fields map[string]*node
	items  []*node
}

// fileError is a refusal: where, and what is wrong there.
func fileError(where, format string, args ...any) error {
	what := fmt.Sprintf(format, args...)
	if where == "" {
		return errors.New(oneLine(what))
	}
	return errors.New(oneLine(where + ": " + what))
}

// oneLine keeps ids with control characters from breaking the line.
func oneLine(s string) string {
	if !strings.ContainsFunc(s, func(r rune) bool { return !strconv.IsPrint(r) }) {
		return s
	}
	q := strconv.Quote(s)
	return strings.ReplaceAll(q[1:len(q)-1], `\"`, `"`)
}

// readTree reads exactly one JSON value.
func readTree(r io.Reader) (*node, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFileBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxFileBytes {
		return nil, fileError("", "the file is larger than %d MiB", maxFileBytes>>20)
	}
	p := &treeReader{dec: json.NewDecoder(strings.NewReader(string(data))), data: data}
	p.dec.UseNumber()
	root, err := p.value(0)
	if err != nil {
		return nil, err
	}
	if _, err := p.dec.Token(); err != io.EOF {
		return nil, fileError(p.line(), "something follows the end of the problem")
	}
	return root, nil
}

type treeReader struct {
	dec  *json.Decoder
	data []byte
}

// line says how far the reader has come.
func (p *treeReader) line() string {
	seen := p.data[:min(int(p.dec.InputOffset()), len(p.data))]
	return fmt.Sprintf("line %d", 1+strings.Count(string(seen), "\n"))
}

func (p *treeReader) token() (json.Token, error) {
	tok, err := p.dec.Token()
	if err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, fileError(p.line(), "the file ends too early")
	}
	if err != nil {
		return nil, fileError(p.line(), "not JSON: %v", err)
	}
	return tok, nil
}

func (p *treeReader) value(depth int) (*node, error) {
	if depth > maxDepth {
		return nil, fileError(p.line(), "nested deeper than %d", maxDepth)
	}
	tok, err := p.token()
	if err != nil {
		return nil, err
	}
	switch v := tok.(type) {
	case json.Delim:
		if v == '{' {
			return p.object(depth)
		}
		return p.array(depth)
	case string:
		return &node{kind: 's', text: v}, nil
	case json.Number:
		return &node{kind: 'n', text: v.String()}, nil
	case bool:
		return &node{kind: 'b', truth: v}, nil
	}
	return &node{kind: 'z'}, nil
}

func (p *treeReader) object(depth int) (*node, error) {
	n := &node{kind: 'o', fields: map[string]*node{}}
	for p.dec.More() {
		tok, err := p.token()
		if err != nil {
			return nil, err
		}
		key, _ := tok.(string)
		if n.fields[key] != nil {
			return nil, fileError(p.line(), "field %q is given twice", key)
		}
		val, err := p.value(depth + 1)
		if err != nil {
			return nil, err
		}
		n.keys = append(n.keys, key)
		n.fields[key] = val
	}
	_, err := p.token()
	return n, err
}

func (p *treeReader) array(depth int) (*node, error) {
	n := &node{kind: 'a'}
	for p.dec.More() {
		val, err := p.value(depth + 1)
		if err != nil {
			return nil, err
		}
		n.items = append(n.items, val)
	}
	_, err := p.token()
	return n, err
}
