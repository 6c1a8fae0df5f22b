package htmltest

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// Check reports everything that is wrong with a page or a piece of one, whatever it is about: elements left open or
// nested where they must not be, ids used twice or missing, inputs without a label, inline styles and scripts, headings out of order.
func Check(t testing.TB, src string) {
	t.Helper()
	for _, p := range Problems(src) {
		t.Error(p)
	}
}

// Problems lists what Check would report.
func Problems(src string) []string {
	out := nesting(src)
	doc, err := html.Parse(strings.NewReader(src))
	if err != nil {
		return append(out, err.Error())
	}
	c := checker{page: Node{nil, doc}, ids: map[string]int{}, labelled: map[string]bool{}, whole: strings.Contains(src, "<html"), out: out}
	for n := range doc.Descendants() {
		if id, ok := attr(n, "id"); ok {
			c.ids[id]++
		}
		if target, ok := attr(n, "for"); ok && n.Data == "label" {
			c.labelled[target] = true
		}
	}
	for id, n := range c.ids {
		if n > 1 || id == "" {
			c.add("id %q stands on the page %d times", id, n)
		}
	}
	for n := range doc.Descendants() {
		if n.Type == html.ElementNode {
			c.element(n)
		}
	}
	c.document()
	slices.Sort(c.out)
	return c.out
}

type checker struct {
	page     Node
	ids      map[string]int
	labelled map[string]bool
	whole    bool
	level    int // of the last heading
	out      []string
}

func (c *checker) add(format string, args ...any) {
	c.out = append(c.out, fmt.Sprintf(format, args...))
}

// element checks one element and its attributes.
func (c *checker) element(n *html.Node) {
	for _, a := range n.Attr {
		switch {
		case a.Key == "style", strings.HasPrefix(a.Key, "on"), strings.HasPrefix(strings.ToLower(a.Val), "javascript:"):
			c.add("<%s> has an inline %s, which the content security policy blocks", n.Data, a.Key)
		case a.Key == "for", a.Key == "list", strings.HasPrefix(a.Key, "aria-") && strings.HasSuffix(a.Key, "by"), a.Key == "aria-controls":
			for _, id := range strings.Fields(a.Val) {
				c.target(n, a.Key, id)
			}
		case a.Key == "href" && n.Data == "a" && strings.HasPrefix(a.Val, "#"):
			c.target(n, a.Key, a.Val[1:])
		}
	}
	text := Node{nil, n}.Text()
	label, _ := attr(n, "aria-label")
	_, labelledBy := attr(n, "aria-labelledby")
	switch n.Data {
	case "style":
		c.add("<style> on the page, which the content security policy blocks")
	case "script":
		if _, ok := attr(n, "src"); !ok {
			c.add("inline <script>, which the content security policy blocks")
		}
	case "img":
		if _, ok := attr(n, "alt"); !ok {
			c.add("<img> without alt")
		}
	case "a", "button", "legend", "caption", "summary", "h1", "h2", "h3", "h4":
		if text == "" && label == "" && !labelledBy {
			c.add("<%s> without a text", n.Data)
		}
		c.heading(n, text)
	case "input", "select", "textarea":
		id, _ := attr(n, "id")
		kind, _ := attr(n, "type")
		if kind != "hidden" && kind != "submit" && label == "" && !labelledBy && !c.labelled[id] && !within(n, nil, "label") {
			name, _ := attr(n, "name")
			c.add("<%s name=%q> without a label", n.Data, name)
		}
	}
}

func (c *checker) target(n *html.Node, key, id string) {
	if c.ids[id] == 0 {
		c.add("<%s %s> points at #%s, which is not on the page", n.Data, key, id)
	}
}

// heading checks that no level is left out.
func (c *checker) heading(n *html.Node, text string) {
	if len(n.Data) != 2 || n.Data[0] != 'h' {
		return
	}
	level := int(n.Data[1] - '0')
	if level > c.level+1 && (c.level > 0 || c.whole) {
		c.add("<%s> %q follows a heading of level %d", n.Data, text, c.level)
	}
	c.level = level
}

// document checks what only a whole page has.
func (c *checker) document() {
	if !c.whole {
		return
	}
	for selector, want := range map[string]int{"html[lang]": 1, "title": 1, "h1": 1, "main": 1, "meta[name=viewport]": 1} {
		if got := len(c.page.FindAll(selector)); got != want {
			c.add("%d elements match %s, want %d", got, selector, want)
		}
	}
}

var void = strings.Fields("area base br col embed hr img input link meta source track wbr")

// nesting reads the source as written, since a parser mends what is wrong with it.
func nesting(src string) []string {
	var out, open []string
	z := html.NewTokenizer(strings.NewReader(src))
	for {
		kind := z.Next()
		if kind == html.ErrorToken {
			break
		}
		tag := z.Token().Data
		switch kind {
		case html.StartTagToken:
			for _, outer := range open {
				if outer == tag && (tag == "form" || tag == "a" || tag == "button" || tag == "p" || tag == "label") ||
					outer == "p" && slices.Contains([]string{"div", "form", "ul", "ol", "dl", "table", "h2", "h3", "section", "fieldset", "figure"}, tag) ||
					(outer == "a" || outer == "button") && slices.Contains([]string{"a", "button", "input", "select", "textarea", "form"}, tag) {
					out = append(out, fmt.Sprintf("<%s> inside <%s>", tag, outer))
				}
			}
			if !slices.Contains(void, tag) {
				open = append(open, tag)
			}
		case html.EndTagToken:
			if len(open) == 0 || open[len(open)-1] != tag {
				return append(out, fmt.Sprintf("</%s> closes %v", tag, open))
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		out = append(out, fmt.Sprintf("left open: %v", open))
	}
	return out
}
