package browsertest

import (
	"archive/tar"
	"bytes"
	"cmp"
	"compress/gzip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"axlestand/internal/npm"
)

// axe-core (MPL 2.0, npm) reads a page as assistive technology does and reports where that fails. It is used by tests alone:
// nothing of it is kept here or shipped. npm fetches it into the user's cache once, and what does not have this checksum, which
// is the registry's, is not run.
var axe = npm.Package{
	Name: "axe-core", Version: "4.14.1", SHA512: "FHfa+lmNjQZfJz1q8wKqIDwC6DExcHt/pkjNQb09a3NPjCKg2rhu5qb2S4r76ASyFNNtuFooJpZe37OgudVGtQ==",
}

const axeFetch = 2 * time.Minute

var errNoAxe = errors.New("no axe-core found: install npm, which fetches it, or name its archive in AXLESTAND_TEST_AXE")

// axeScript is axe-core's own script.
var axeScript = sync.OnceValues(func() (string, error) {
	archive, err := axeArchive()
	if err != nil {
		return "", err
	}
	if err := axe.Check(archive); err != nil {
		return "", err
	}
	zipped, err := gzip.NewReader(bytes.NewReader(archive))
	if err != nil {
		return "", fmt.Errorf("axe-core: %w", err)
	}
	for files := tar.NewReader(zipped); ; {
		header, err := files.Next()
		if err != nil {
			return "", fmt.Errorf("axe-core: %w", err)
		}
		if header.Name == "package/axe.min.js" {
			text, err := io.ReadAll(files)
			return string(text), err
		}
	}
})

// axeArchive is the package as npm packs it, from the cache where it was fetched before.
func axeArchive() ([]byte, error) {
	if named := os.Getenv("AXLESTAND_TEST_AXE"); named != "" {
		return os.ReadFile(named)
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir() // the user that runs the tests may have no home
	}
	dir := filepath.Join(cache, "axlestand-tests")
	kept := filepath.Join(dir, "axe-core-"+axe.Version+".tgz")
	if archive, err := os.ReadFile(kept); err == nil {
		return archive, nil
	}
	client, err := exec.LookPath("npm")
	if err != nil {
		return nil, errNoAxe
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	work, err := os.MkdirTemp(dir, "fetch-") // several test binaries may fetch at a time
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(work)
	ctx, cancel := context.WithTimeout(context.Background(), axeFetch)
	defer cancel()
	archive, err := axe.Pack(ctx, client, work)
	if err != nil {
		return nil, err
	}
	return archive, os.Rename(filepath.Join(work, filepath.Base(kept)), kept)
}

// NeedAxe skips the test where there is no axe-core; with CI=true it fails.
func NeedAxe(t testing.TB) {
	t.Helper()
	need(t)
	switch _, err := axeScript(); {
	case errors.Is(err, errNoAxe) && os.Getenv("CI") != "true":
		t.Skipf("SKIPPED, NOT TESTED: %v", err)
	case err != nil:
		t.Fatal(err)
	}
}

// Rules are axe-core's rules that a page is held to.
type Rules int

// AllRules are all that axe-core has, also those it leaves out unless asked: WCAG 2.2 up to level AAA with contrast of 7:1, the
// size of targets, good practice and those on trial. UsualRules are those of WCAG 2.2 up to level AA, the size of targets, and
// good practice.
const (
	AllRules Rules = iota
	UsualRules
)

// axeRun leaves out what was withdrawn from the standard or from axe-core itself.
const axeRun = `async (all) => {
	const rules = {};
	for (const { ruleId, tags } of axe.getRules()) {
		if (tags.includes("deprecated") || tags.includes("wcag2a-obsolete")) continue;
		rules[ruleId] = { enabled: all || ruleId === "target-size" || !tags.includes("wcag2aaa") && !tags.includes("experimental") };
	}
	const found = await axe.run(document, { rules, resultTypes: ["violations"] });
	return JSON.stringify(found.violations.flatMap(({ id, nodes }) => nodes.map((n) => ({
		rule: id, where: n.target.flat().join(" "), html: n.html.slice(0, 200), why: [...n.any, ...n.all, ...n.none].map((c) => c.message).join("; "),
	}))));
}`

// Axe holds the page as it stands to axe-core's rules and says, a line each, where it breaks one; nothing is the aim.
func (p *Page) Axe(rules Rules) string {
	p.t.Helper()
	script, err := axeScript()
	if err != nil {
		p.t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(p.ctx, 6*p.patience) // it looks at each thing on the page, and a card is long
	defer cancel()
	if !Eval[bool](p, `"axe" in window`) {
		if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool](script+";true")); err != nil {
			p.t.Fatalf("browsertest: axe-core: %v", err)
		}
	}
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](fmt.Sprintf("(%s)(%t)", axeRun, rules == AllRules), chromedp.EvalAwaitPromise))
	if err != nil {
		p.t.Fatalf("browsertest: axe-core: %v", err)
	}
	var found []struct{ Rule, Where, HTML, Why string }
	if err := json.Unmarshal([]byte(text), &found); err != nil {
		p.t.Fatalf("browsertest: axe-core: %v", err)
	}
	var lines []string
	for _, f := range found {
		lines = append(lines, fmt.Sprintf("%s: %s: %s\n    %s", f.Rule, f.Where, cmp.Or(f.Why, "?"), f.HTML))
	}
	return strings.Join(lines, "\n")
}
