package browsertest

import (
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// patient is how long a verb waits for the page to get there. It matters only when a test fails.
const patient = 10 * time.Second

//go:embed page.js
var script string

// Option says how a page is looked at.
type Option int

// Phone is the default look: 390 by 844 with touch. Desktop is 1440 by 900 with a mouse. NoScript switches the page's own
// scripts off; Dark asks for the dark colours. With BadLine a request that fails or is refused is no fault of the page.
const (
	Phone Option = iota
	Desktop
	NoScript
	Dark
	BadLine
)

// Page is a tab. Its verbs end the test with a readable message when they cannot do what they say; none returns an
// error. A target that starts with # . or [ is a CSS selector; anything else is what the owner reads: the label of a
// field, the words on a button or link, the heading of a part of the page.
type Page struct {
	*tab
	scope []string
}

type tab struct {
	t    testing.TB
	ctx  context.Context
	opts []Option

	patience time.Duration
	close    func()

	mu       sync.Mutex
	frame    string
	starts   int
	loading  bool
	status   int
	document string
	problems []string
}

// Open opens an empty tab with no cookies, and closes it at the end of the test. A script error, a refusal by the
// content security policy or a missing asset on any of its pages fails the test.
func Open(t testing.TB, opts ...Option) *Page {
	t.Helper()
	return open(t, need(t), opts, chromedp.WithNewBrowserContext())
}

// Tab opens one more tab that shares this one's cookies: the same owner, in another window.
func (p *Page) Tab(opts ...Option) *Page {
	p.t.Helper()
	return open(p.t, p.ctx, opts)
}

func open(t testing.TB, parent context.Context, opts []Option, with ...chromedp.ContextOption) *Page {
	t.Helper()
	b := &tab{t: t, opts: opts, patience: patient}
	ctx, cancel := chromedp.NewContext(parent, append(with, chromedp.WithListener(b.listen))...)
	b.ctx, b.close = ctx, cancel
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx, b.looks()); err != nil {
		t.Fatalf("browsertest: open a tab: %v", err)
	}
	b.mu.Lock()
	b.frame = string(chromedp.FromContext(ctx).Target.TargetID)
	b.mu.Unlock()
	p := &Page{tab: b}
	t.Cleanup(func() {
		if t.Failed() {
			p.Shot("failed-" + t.Name())
		}
		b.mu.Lock()
		defer b.mu.Unlock()
		for _, problem := range b.problems {
			t.Errorf("browsertest: %s: %s", p.look(), problem)
		}
	})
	return p
}

// Before runs a script ahead of those of every page that is opened in this tab from now on.
func (p *Page) Before(script string) {
	p.t.Helper()
	_, err := chromedp.Call(p.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
	if err != nil {
		p.t.Fatalf("browsertest: %v", err)
	}
}

// Close closes the tab without asking the page.
func (p *Page) Close() { p.close() }

// Kill ends the process that shows the page, as a phone does that runs out of memory, and closes the tab.
func (p *Page) Kill() {
	ctx, cancel := context.WithTimeout(p.ctx, time.Second)
	defer cancel()
	_, _ = chromedp.Call(ctx, page.Crash, cdp.Empty{}) // nobody is left to answer
	p.close()
}

func (b *tab) has(o Option) bool { return slices.Contains(b.opts, o) }

// looks applies the options to a new tab.
func (b *tab) looks() chromedp.Action[chromedp.Void] {
	view := chromedp.EmulateViewport(390, 844, chromedp.EmulatePortrait, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulateScale(2))
	if b.has(Desktop) {
		view = chromedp.EmulateViewport(1440, 900)
	}
	return chromedp.Steps(view, chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: media(b.has(Dark))})
		if err != nil {
			return err
		}
		_, err = chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: b.has(NoScript)})
		return err
	}))
}

// listen follows the tab. It runs on the goroutine that reads the browser's messages, so it only takes notes.
func (b *tab) listen(ev any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch ev := ev.(type) {
	case *page.EventFrameRequestedNavigation:
		b.begin(string(ev.FrameID))
	case *page.EventFrameStartedNavigating:
		if ev.NavigationType != page.FrameStartedNavigatingNavigationTypeSameDocument {
			b.begin(string(ev.FrameID))
		}
	case *page.EventFrameStoppedLoading:
		if string(ev.FrameID) == b.frame {
			b.loading = false
		}
	case *network.EventResponseReceived:
		if ev.Type == network.ResourceTypeDocument && string(ev.FrameID) == b.frame {
			b.status, b.document = int(ev.Response.Status), ev.Response.URL
		}
	case *runtime.EventExceptionThrown:
		b.problems = append(b.problems, "script error: "+describe(ev.ExceptionDetails))
	case *log.EventEntryAdded:
		if e := ev.Entry; b.has(BadLine) && e.Source == log.EntrySourceNetwork {
			return
		} else if e.Level == log.EntryLevelError && e.URL != b.document && !strings.HasSuffix(e.URL, "/favicon.ico") {
			b.problems = append(b.problems, fmt.Sprintf("%s: %s %s", e.Source, e.Text, e.URL))
		}
	}
}

func (b *tab) begin(frame string) {
	if frame == b.frame {
		b.starts++
		b.loading = true
	}
}

func describe(d *runtime.ExceptionDetails) string {
	text := d.Text
	if d.Exception != nil {
		text += " " + d.Exception.Description
	}
	return fmt.Sprintf("%s (%s:%d)", text, d.URL, d.LineNumber+1)
}

func (b *tab) state() (starts int, loading bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.starts, b.loading
}

// answer is what page.js returns.
type answer struct {
	Error    string  `json:"error"`
	Done     bool    `json:"done"`
	Typing   bool    `json:"typing"`
	Leaves   bool    `json:"leaves"`
	Ready    bool    `json:"ready"`
	X        float64 `json:"x"`
	Y        float64 `json:"y"`
	Origin   float64 `json:"origin"`
	Count    int     `json:"count"`
	Text     string  `json:"text"`
	URL      string  `json:"url"`
	Disabled bool    `json:"disabled"`
}

// once asks page.js a single time.
func (p *Page) once(verb string, args ...any) (answer, error) {
	if args == nil {
		args = []any{}
	}
	scope := p.scope
	if scope == nil {
		scope = []string{}
	}
	call, err := json.Marshal([]any{verb, args, scope})
	if err != nil {
		return answer{}, err
	}
	body := strings.TrimSuffix(strings.TrimSpace(script), ";")
	ctx, cancel := context.WithTimeout(p.ctx, patient) // a busy machine is not the page's answer
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[answer]("("+body+")(..."+string(call)+")"))
}

// ask repeats a question until the page has the answer, and fails the test when it never does.
func (p *Page) ask(verb string, args ...any) answer {
	p.t.Helper()
	var a answer
	var err error
	for end := time.Now().Add(p.patience); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		if a, err = p.once(verb, args...); err == nil && a.Error == "" {
			return a
		}
	}
	if err != nil {
		p.fail(verb, args, err.Error())
	}
	p.fail(verb, args, a.Error)
	return a
}

func (p *Page) fail(verb string, args []any, why string) {
	p.t.Helper()
	where := ""
	if len(p.scope) > 0 {
		where = " in " + strings.Join(p.scope, " > ")
	}
	now, _ := (&Page{tab: p.tab}).once("page")
	p.t.Fatalf("browsertest: %s: %s %q%s: %s\n  at %s\n  the page: %s", p.look(), verb, args, where, why, now.URL, now.Text)
}

// look names the tab's options, for messages and file names.
func (b *tab) look() string {
	name := "phone"
	if b.has(Desktop) {
		name = "desktop"
	}
	if b.has(Dark) {
		name += "-dark"
	}
	if b.has(NoScript) {
		name += "-noscript"
	}
	return name
}

// In narrows the verbs to one part of the page: a CSS selector, or the heading, legend or label of a section, form, list
// item or table row, or for items and rows a text that only one of them holds.
func (p *Page) In(part string) *Page {
	return &Page{tab: p.tab, scope: append(slices.Clone(p.scope), part)}
}

// Goto opens an address and waits until it is loaded. An address that starts with / stays on the same server.
func (p *Page) Goto(address string) {
	p.t.Helper()
	if strings.HasPrefix(address, "/") {
		now, err := url.Parse(p.now().URL)
		if err != nil || now.Host == "" {
			p.t.Fatalf("browsertest: Goto %q before any full address", address)
		}
		address = now.Scheme + "://" + now.Host + address
	}
	ctx, cancel := context.WithTimeout(p.ctx, 3*p.patience)
	defer cancel()
	if err := chromedp.Do(ctx, chromedp.Navigate(address)); err != nil {
		p.fail("goto", []any{address}, err.Error())
	}
	p.settle()
}

func (p *Page) now() answer {
	a, _ := (&Page{tab: p.tab}).once("page")
	return a
}

// settle waits until a navigation that has begun is over.
func (p *Page) settle() {
	p.t.Helper()
	for end := time.Now().Add(3 * p.patience); time.Now().Before(end); time.Sleep(15 * time.Millisecond) {
		if _, loading := p.state(); !loading && p.now().Ready {
			return
		}
	}
	p.fail("wait", nil, "the page is still loading")
}

// Fill puts a value into the field with this label: types text over what is there, picks a select's choice by its
// words, and sets a date, time or number as written in HTML (2027-03-06, 09:00, 12.5).
func (p *Page) Fill(label, value string) {
	p.t.Helper()
	if !p.ask("fill", label, value).Typing {
		return
	}
	ctx, cancel := context.WithTimeout(p.ctx, p.patience)
	defer cancel()
	var err error
	if value == "" {
		err = chromedp.Do(ctx, chromedp.KeyEvent("\b"))
	} else {
		_, err = chromedp.Call(ctx, input.InsertText, input.InsertTextParams{Text: value})
	}
	if err != nil {
		p.fail("fill", []any{label, value}, err.Error())
	}
}

// Choose puts files into the file field that matches the selector, as the phone's camera or a folder does.
func (p *Page) Choose(selector string, files ...string) {
	p.t.Helper()
	p.ask("text", selector) // there and seen
	ctx, cancel := context.WithTimeout(p.ctx, p.patience)
	defer cancel()
	if err := chromedp.Do(ctx, chromedp.SetUploadFiles(chromedp.CSS(selector), files)); err != nil {
		p.fail("choose", []any{selector, files}, err.Error())
	}
}

// Press presses a key where the keyboard leads to now.
func (p *Page) Press(key string) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, p.patience)
	defer cancel()
	if err := chromedp.Do(ctx, chromedp.KeyEvent(key)); err != nil {
		p.fail("press", []any{key}, err.Error())
	}
}

// Tick presses a checkbox or radio button unless it is on already.
func (p *Page) Tick(label string) {
	p.t.Helper()
	p.tick(label, true)
}

// Untick presses a checkbox that is on.
func (p *Page) Untick(label string) {
	p.t.Helper()
	p.tick(label, false)
}

func (p *Page) tick(label string, on bool) {
	p.t.Helper()
	if a := p.ask("tick", label, on); !a.Done {
		p.press(a)
	}
	want := ""
	if on {
		want = "on"
	}
	for end := time.Now().Add(p.patience); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		if p.Value(label) == want {
			return
		}
	}
	p.fail("tick", []any{label, on}, "pressing it changed nothing")
}

// Value is what the field with this label holds: a select's words, "on" or "" for a checkbox.
func (p *Page) Value(label string) string {
	p.t.Helper()
	return p.ask("value", label).Text
}

// Click presses a link, a button or any element, with a finger on the phone and a mouse on the desktop. When that
// leads to another page, it waits for it.
func (p *Page) Click(what string) {
	p.t.Helper()
	a := p.ask("press", what)
	before, _ := p.state()
	p.press(a)
	grace := 100 * time.Millisecond
	if a.Leaves {
		grace = time.Second
	}
	for end := time.Now().Add(grace); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if starts, _ := p.state(); starts > before {
			break
		}
	}
	p.settle()
}

func (p *Page) press(a answer) {
	p.t.Helper()
	act := chromedp.TapXY(a.X, a.Y)
	if p.has(Desktop) {
		act = chromedp.MouseClickXY(a.X, a.Y)
	}
	ctx, cancel := context.WithTimeout(p.ctx, p.patience)
	defer cancel()
	if err := chromedp.Do(ctx, act); err != nil {
		p.t.Fatalf("browsertest: press: %v", err)
	}
}

// Submit presses a form's button and waits for the page that answers it. It fails when none comes, and says which
// fields the browser would not send.
func (p *Page) Submit(button string) {
	p.t.Helper()
	a := p.ask("press", button)
	before := p.now().Origin
	p.press(a)
	for end := time.Now().Add(p.patience); time.Now().Before(end); time.Sleep(15 * time.Millisecond) {
		if now := p.now(); now.Origin != 0 && now.Origin != before {
			p.settle()
			return
		}
		if time.Until(end) < p.patience-time.Second {
			p.unsent(button)
		}
	}
	p.unsent(button)
	p.fail("submit", []any{button}, "no new page came")
}

// unsent ends the test when the browser holds a form back for what is in its fields.
func (p *Page) unsent(button string) {
	p.t.Helper()
	if c, err := p.once("complaints"); err == nil && c.Text != "" {
		p.fail("submit", []any{button}, "the browser does not send the form: "+c.Text)
	}
}

// Text is what the owner reads in one part of the page (see In), on one line.
func (p *Page) Text(part string) string {
	p.t.Helper()
	return p.ask("text", part).Text
}

// Has waits until the page (or the part) says every one of these texts, in any case of letters.
func (p *Page) Has(texts ...string) {
	p.t.Helper()
	p.ask("has", anys(texts)...)
}

// Lacks waits until the page (or the part) says none of these texts.
func (p *Page) Lacks(texts ...string) {
	p.t.Helper()
	p.ask("lacks", anys(texts)...)
}

// Count is how many visible elements match the selector now.
func (p *Page) Count(selector string) int {
	p.t.Helper()
	return p.ask("count", selector).Count
}

// Fits fails when the page is wider than its window.
func (p *Page) Fits() {
	p.t.Helper()
	if a, err := p.once("fits"); err != nil {
		p.fail("fits", nil, err.Error())
	} else if a.Error != "" {
		p.fail("fits", nil, a.Error)
	}
}

// URL is the path and query of the page, such as /cars/3?tab=jobs.
func (p *Page) URL() string {
	p.t.Helper()
	u, err := url.Parse(p.now().URL)
	if err != nil {
		p.t.Fatalf("browsertest: %v", err)
	}
	return u.RequestURI()
}

// Status is the HTTP status of the page.
func (p *Page) Status() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.status
}

// Offline cuts the tab off from the network, or gives it back.
func (p *Page) Offline(off bool) {
	p.t.Helper()
	cond := &network.Conditions{Offline: off, DownloadThroughput: -1, UploadThroughput: -1}
	_, err := chromedp.Call(p.ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{cond}})
	if err == nil {
		_, err = chromedp.Call(p.ctx, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: off, DownloadThroughput: -1, UploadThroughput: -1})
	}
	if err != nil {
		p.t.Fatalf("browsertest: offline: %v", err)
	}
}

// Eval runs an expression in the page and decodes its value, for what no verb covers.
func Eval[T any](p *Page, expression string) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, p.patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		p.fail("eval", []any{expression}, err.Error())
	}
	return v
}

func anys(texts []string) []any {
	out := make([]any, len(texts))
	for i, s := range texts {
		out[i] = s
	}
	return out
}
