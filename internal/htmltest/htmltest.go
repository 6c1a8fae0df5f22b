// Package htmltest reads rendered pages in tests: find elements by selector, read their text, attributes and form values,
// and check what every page must satisfy.
//
// A selector is one or more steps with spaces between them, each step a tag, #id, .class, [attr] or [attr=value], or
// several of these in a row, such as: form[method=post] input.short[required].
package htmltest

import (
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// Node is an element of a parsed page. The zero Node has no text, no attributes and nothing inside.
type Node struct {
	t testing.TB
	n *html.Node
}

// Parse reads a whole page or a piece of one.
func Parse(t testing.TB, src string) Node {
	t.Helper()
	n, err := html.Parse(strings.NewReader(src))
	if err != nil {
		t.Fatalf("parse page: %v", err)
	}
	return Node{t, n}
}

// Find returns the first element that the selector matches, and ends the test when there is none.
func (n Node) Find(selector string) Node {
	n.t.Helper()
	all := n.FindAll(selector)
	if len(all) == 0 {
		n.t.Fatalf("no element matches %q", selector)
	}
	return all[0]
}

// FindAll returns the elements inside n that the selector matches, in the order of the page.
func (n Node) FindAll(selector string) []Node {
	steps := strings.Fields(selector)
	var out []Node
	for d := range n.descendants() {
		if matches(d, steps, n.n) {
			out = append(out, Node{n.t, d})
		}
	}
	return out
}

// Has tells whether anything inside n matches the selector.
func (n Node) Has(selector string) bool { return len(n.FindAll(selector)) > 0 }

// Text is everything readable inside n, with single spaces.
func (n Node) Text() string {
	var b strings.Builder
	for d := range n.descendants() {
		switch {
		case d.Type == html.TextNode && !within(d, n.n, "script", "style", "template"):
			b.WriteString(d.Data)
		case d.Type == html.ElementNode && !slices.Contains([]string{"b", "i", "em", "strong", "small"}, d.Data):
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// Attr is the value of an attribute, empty when there is none.
func (n Node) Attr(name string) string {
	v, _ := attr(n.n, name)
	return v
}

// Tag is the element's name in lower case.
func (n Node) Tag() string {
	if n.n == nil {
		return ""
	}
	return n.n.Data
}

// FormValues is what a browser would send for the form n when no button is pressed by name.
func (n Node) FormValues() url.Values {
	out := url.Values{}
	for d := range n.descendants() {
		name, ok := attr(d, "name")
		if _, disabled := attr(d, "disabled"); !ok || disabled || within(d, n.n, "template") {
			continue
		}
		for _, v := range (Node{n.t, d}).sent() {
			out.Add(name, v)
		}
	}
	return out
}

// sent is what one form control contributes.
func (n Node) sent() []string {
	value, hasValue := attr(n.n, "value")
	switch n.Tag() {
	case "textarea":
		var b strings.Builder
		for d := range n.descendants() {
			b.WriteString(d.Data)
		}
		return []string{b.String()}
	case "select":
		return n.chosen()
	case "input":
		switch n.Attr("type") {
		case "submit", "button", "reset", "image", "file":
			return nil
		case "checkbox", "radio":
			if _, checked := attr(n.n, "checked"); !checked {
				return nil
			}
			if !hasValue {
				value = "on"
			}
		}
		return []string{value}
	}
	return nil
}

// chosen are the values of a select: the selected ones, else the first of a list that drops down.
func (n Node) chosen() []string {
	var out, all []string
	for _, o := range n.FindAll("option") {
		v, ok := attr(o.n, "value")
		if !ok {
			v = o.Text()
		}
		all = append(all, v)
		if _, selected := attr(o.n, "selected"); selected {
			out = append(out, v)
		}
	}
	if _, multiple := attr(n.n, "multiple"); len(out) == 0 && len(all) > 0 && !multiple {
		return all[:1]
	}
	return out
}

func (n Node) descendants() func(func(*html.Node) bool) {
	if n.n == nil {
		return func(func(*html.Node) bool) {}
	}
	return n.n.Descendants()
}

func attr(n *html.Node, name string) (string, bool) {
	if n == nil {
		return "", false
	}
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val, true
		}
	}
	return "", false
}

// within tells whether n lies in an element of one of the tags, looking no higher than below root.
func within(n, root *html.Node, tags ...string) bool {
	for p := n.Parent; p != nil && p != root; p = p.Parent {
		if p.Type == html.ElementNode && slices.Contains(tags, p.Data) {
			return true
		}
	}
	return false
}

var simple = regexp.MustCompile(`^([a-z0-9]+|\*)|([#.])([^#.\[]+)|\[([^=\]]+)(?:=([^\]]*))?\]`)

// matches tells whether n fits the last step and ancestors below root fit those before it.
func matches(n *html.Node, steps []string, root *html.Node) bool {
	if len(steps) == 0 || n.Type != html.ElementNode || !fits(n, steps[len(steps)-1]) {
		return false
	}
	rest := steps[:len(steps)-1]
	if len(rest) == 0 {
		return true
	}
	for p := n.Parent; p != nil && p != root; p = p.Parent {
		if matches(p, rest, root) {
			return true
		}
	}
	return false
}

func fits(n *html.Node, step string) bool {
	for step != "" {
		m := simple.FindStringSubmatchIndex(step)
		if m == nil || m[0] != 0 {
			return false
		}
		part := func(i int) string {
			if m[2*i] < 0 {
				return ""
			}
			return step[m[2*i]:m[2*i+1]]
		}
		value, has := attr(n, part(4))
		id, _ := attr(n, "id")
		class, _ := attr(n, "class")
		switch {
		case part(1) != "" && part(1) != "*" && part(1) != n.Data,
			part(2) == "#" && id != part(3),
			part(2) == "." && !slices.Contains(strings.Fields(class), part(3)),
			part(4) != "" && !has,
			m[10] >= 0 && value != strings.Trim(part(5), `"'`):
			return false
		}
		step = step[m[1]:]
	}
	return true
}
