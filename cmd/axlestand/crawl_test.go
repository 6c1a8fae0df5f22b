package main

import (
	"net/http"
	"strings"
	"testing"

	"axlestand/internal/htmltest"
	"axlestand/internal/pgtest"
)

// TestRun_everyLinkOfTheDemo follows every link of the demo garage: each page is there, and sound.
func TestRun_everyLinkOfTheDemo(t *testing.T) {
	t.Parallel()
	p := start(t, "-demo", "-database-url", pgtest.Empty(t))
	_, body := p.get(p.find(linkLine))
	form := htmltest.Parse(t, body).Find("main form")
	p.post(strings.TrimPrefix(form.Attr("action"), "/"), form.FormValues())

	const most = 400 // a list that links to itself with ever new words would never end
	from := map[string]string{"/": "the start"}
	queue := []string{"/"}
	for seen := 0; len(queue) > 0 && seen < most; seen++ {
		path := queue[0]
		queue = queue[1:]
		status, body := p.get(strings.TrimPrefix(path, "/"))
		if status != http.StatusOK {
			t.Errorf("%s, linked from %s: %d", path, from[path], status)
			continue
		}
		for _, problem := range htmltest.Problems(body) {
			t.Errorf("%s: %s", path, problem)
		}
		for _, a := range htmltest.Parse(t, body).FindAll("a") {
			href, _, _ := strings.Cut(a.Attr("href"), "#")
			if strings.HasPrefix(href, "?") {
				href = strings.Split(path, "?")[0] + href
			}
			if _, known := from[href]; !known && strings.HasPrefix(href, "/") {
				from[href] = path
				queue = append(queue, href)
			}
		}
	}
	if len(from) < 60 {
		t.Errorf("only %d pages are linked", len(from))
	}
	t.Logf("%d pages", len(from))
}
