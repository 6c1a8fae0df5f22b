// Package browsertest drives one Chromium per test binary through the program's pages as an owner does: it finds a
// field by its label and a button by its words, and when it cannot, the failure says what the page offers instead.
//
// The pages are opened by a name that is not a loopback name (http://garage.test:PORT, resolved to 127.0.0.1 inside
// the browser alone), because browsers treat localhost as secure even on plain http: what works there (Secure cookies,
// service workers, the clipboard) does not work on a home network.
//
//	p := browsertest.Open(t, browsertest.Phone)
//	p.Goto(browsertest.Serve(t, handler) + "/cars/new")
//	p.Fill("Make", "Vantor")
//	p.Submit("Save car")
//	p.Has("Vantor")
//
// Without Chromium the test is skipped with a message; with CI=true it fails.
package browsertest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
)

// candidates are the names under which Chromium is installed.
var candidates = []string{
	"chromium", "chromium-browser", "google-chrome-stable", "google-chrome", "headless-shell",
	"/Applications/Chromium.app/Contents/MacOS/Chromium",
	"/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
}

// browser starts the binary's only Chromium on first use. It lives until the test process ends.
var browser = sync.OnceValues(start)

var errMissing = errors.New("no Chromium found: install the package chromium, or set AXLESTAND_TEST_BROWSER to its path")

func start() (context.Context, error) {
	path, err := find()
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp("", "axlestand-browser-")
	if err != nil {
		return nil, err
	}
	if err := removeAtExit(dir); err != nil {
		return nil, err
	}
	ctx, _ := chromedp.NewExecAllocator(context.Background(), append(
		chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path),
		chromedp.UserDataDir(dir),
		// The user that runs the tests may have no home that can be written.
		chromedp.Env("HOME="+dir, "XDG_CONFIG_HOME="+dir, "XDG_CACHE_HOME="+dir, "TMPDIR="+dir),
		// Chromium's sandbox refuses root and many containers; the browser sees no page but the ones under test.
		chromedp.NoSandbox,
		chromedp.DisableGPU,
		chromedp.Flag("no-proxy-server", true),
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-features", "Translate,HttpsUpgrades,HttpsFirstBalancedModeAutoEnable,MediaRouter,OptimizationHints"),
		chromedp.Flag("host-resolver-rules", "MAP *.test 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost"),
		chromedp.Flag("ignore-certificate-errors-spki-list", certificate().pin),
	)...)
	ctx, _ = chromedp.NewContext(ctx)
	if err := chromedp.Do(ctx); err != nil {
		return nil, fmt.Errorf("start %s: %w", path, err)
	}
	return ctx, nil
}

func find() (string, error) {
	if path := os.Getenv("AXLESTAND_TEST_BROWSER"); path != "" {
		if _, err := exec.LookPath(path); err != nil {
			return "", fmt.Errorf("AXLESTAND_TEST_BROWSER: %w", err)
		}
		return path, nil
	}
	for _, name := range candidates {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", errMissing
}

// removeAtExit removes dir once this process is gone, however it ends: a shell waits for the end of a pipe that only
// this process holds. A test binary that is killed or times out runs no deferred call.
func removeAtExit(dir string) error {
	// The browser dies with this process, but one of its own may write a last file a moment later.
	wait := `cat >/dev/null; for i in 1 2 3 4 5 6 7 8 9; do sleep 1; [ -e "$1" ] || exit; rm -rf "$1" 2>/dev/null; done`
	cmd := exec.Command("/bin/sh", "-c", wait, "sh", dir)
	cmd.Dir = filepath.Dir(dir)
	cmd.SysProcAttr = ownGroup()
	held, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	go func() { // also keeps our end of the pipe in reach: the garbage collector would close it
		_ = cmd.Wait()
		_ = held.Close()
	}()
	return nil
}

// need skips or fails the test when there is no browser.
func need(t testing.TB) context.Context {
	t.Helper()
	ctx, err := browser()
	switch {
	case errors.Is(err, errMissing) && os.Getenv("CI") != "true":
		t.Skipf("SKIPPED, NOT TESTED: %v", err)
	case err != nil:
		t.Fatal(err)
	}
	return ctx
}
