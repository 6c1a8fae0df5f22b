package browsertest

import (
	"context"
	"os"
	"path/filepath"
	"strings"

	"github.com/chromedp/chromedp"
)

// Shot writes a picture of the whole page to NAME-LOOK.png in the folder that AXLESTAND_SHOTS names, and does nothing
// when that is unset.
func (p *Page) Shot(name string) {
	p.t.Helper()
	p.shot(name, chromedp.FullScreenshot(100))
}

// ShotWindow is Shot of what fits the window now, without scrolling.
func (p *Page) ShotWindow(name string) {
	p.t.Helper()
	p.shot(name, chromedp.CaptureScreenshot())
}

func (p *Page) shot(name string, take chromedp.Action[[]byte]) {
	p.t.Helper()
	dir := os.Getenv("AXLESTAND_SHOTS")
	if dir == "" {
		return
	}
	ctx, cancel := context.WithTimeout(p.ctx, p.patience)
	defer cancel()
	png, err := chromedp.Run(ctx, take)
	if err != nil {
		p.t.Errorf("browsertest: screenshot %s: %v", name, err)
		return
	}
	file := strings.NewReplacer("/", "-", " ", "-", ":", "-").Replace(name) + "-" + p.look() + ".png"
	if err := os.MkdirAll(dir, 0o755); err != nil {
		p.t.Errorf("browsertest: %v", err)
	} else if err := os.WriteFile(filepath.Join(dir, file), png, 0o644); err != nil {
		p.t.Errorf("browsertest: %v", err)
	}
}
