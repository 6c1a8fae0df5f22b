package htmltest

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const page = `<!doctype html><html lang="en"><head><title>t</title><meta name="viewport" content="x"></head><body><main><h1>Rear <b>arms</b></h1>
<form id="f" method="post"><label for="n">Name</label><input id="n" name="name" value="Arm" class="wide short">
<label><input type="checkbox" name="ok" checked>ok</label><label><input type="checkbox" name="no" value="1">no</label>
<label>pick<select name="pick"><option value="1">one</option><option value="2" selected>two</option></select></label>
<label>first<select name="first"><option>one</option><option>two</option></select></label>
<label>text<textarea name="text">a
b</textarea></label><label>off<input name="off" value="x" disabled></label><input type="hidden" name="version" value="3">
<template><label>spare<input name="spare"></label><button>Add</button></template><button name="b" value="c">Save</button></form></main></body></html>`

func TestFind(t *testing.T) {
	t.Parallel()
	doc := Parse(t, page)
	for selector, want := range map[string]int{
		"input": 6, "form input": 6, "#f input.short": 1, "input.wide.short[name=name]": 1, "input[checked]": 1, "main form[method=post] select option[selected]": 1,
		"h1 input": 0, ".wid": 0, "input[name=nam]": 0, "form form": 0,
	} {
		if got := len(doc.FindAll(selector)); got != want {
			t.Errorf("FindAll(%q) found %d, want %d", selector, got, want)
		}
	}
	if got, want := doc.Find("h1").Text(), "Rear arms"; got != want {
		t.Errorf("text %q, want %q", got, want)
	}
	if got, want := doc.Find("#n").Attr("value"), "Arm"; got != want {
		t.Errorf("attr %q, want %q", got, want)
	}
}

func TestFormValues(t *testing.T) {
	t.Parallel()
	want := url.Values{"name": {"Arm"}, "ok": {"on"}, "pick": {"2"}, "first": {"one"}, "text": {"a\nb"}, "version": {"3"}}
	if diff := cmp.Diff(want, Parse(t, page).Find("form").FormValues()); diff != "" {
		t.Errorf("what the form sends (-want +got):\n%s", diff)
	}
}

func TestProblems(t *testing.T) {
	t.Parallel()
	if got := Problems(page); len(got) > 0 {
		t.Errorf("a good page has problems: %q", got)
	}
	for src, want := range map[string]string{
		`<p id="a"></p><b id="a"></b>`:                "2 times",
		`<input name="x">`:                            "without a label",
		`<label for="y">y</label>`:                    "#y, which is not",
		`<p style="color:red">x</p>`:                  "inline style",
		`<p onclick="x()">x</p>`:                      "inline onclick",
		`<script>x()</script>`:                        "inline <script>",
		`<style>p{}</style>`:                          "<style>",
		`<h2>a</h2><h4>b</h4>`:                        "follows a heading of level 2",
		`<input aria-label="x" aria-describedby="e">`: "#e, which is not",
		`<a href="#z">z</a>`:                          "#z, which is not",
		`<form><form></form></form>`:                  "<form> inside <form>",
		`<p><div></div></p>`:                          "<div> inside <p>",
		`<a href="/"><button>x</button></a>`:          "<button> inside <a>",
		`<div><span></div></span>`:                    "closes",
		`<div>`:                                       "left open",
		`<button></button>`:                           "without a text",
		`<img src="x">`:                               "without alt",
		strings.Replace(page, "<h1>Rear <b>arms</b></h1>", "", 1):           "0 elements match h1",
		strings.Replace(page, ` lang="en"`, "", 1):                          "0 elements match html[lang]",
		strings.Replace(page, "<h1>Rear <b>arms</b></h1>", "<h2>x</h2>", 1): "follows a heading of level 0",
	} {
		if got := fmt.Sprint(Problems(src)); !strings.Contains(got, want) {
			t.Errorf("Problems(%.60q) = %s, want one with %q", src, got, want)
		}
	}
}
