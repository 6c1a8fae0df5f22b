package browsertest

import (
	"context"
	"fmt"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// A View is how a page that is open already is looked at, in place of the options it was opened with.
type View struct {
	Name          string
	Width, Height int64
	Mouse         bool // no touch, and a desktop's layout
	Dark          bool
	Text          int64 // the size of text that the reader has set in the browser, in per cent; 0 is 100
}

// base is the size of the pages' text for each pixel of the browser's own.
const base = 1.0625

// See looks at the page in another way, and gives it a moment to lay itself out.
func (p *Page) See(v View) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, p.patience)
	defer cancel()
	var how []chromedp.EmulateViewportOption
	if !v.Mouse {
		how = append(how, chromedp.EmulatePortrait, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulateScale(2))
	}
	size := int64(16) // what browsers come with
	if v.Text != 0 {
		size = size * v.Text / 100
	}
	fonts := page.SetFontSizesParams{FontSizes: &page.FontSizes{Standard: size, Fixed: size * 13 / 16}}
	err := chromedp.Do(ctx, chromedp.Steps(chromedp.EmulateViewport(v.Width, v.Height, how...), chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		if _, err := chromedp.Call(ctx, page.SetFontSizes, fonts); err != nil {
			return err
		}
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: media(v.Dark)})
		return err
	})))
	if err != nil {
		p.fail("see", []any{v}, err.Error())
	}
	there := fmt.Sprintf(`matchMedia("(width: %dpx)").matches && parseFloat(getComputedStyle(document.documentElement).fontSize) === %v`, v.Width, float64(size)*base)
	for end := time.Now().Add(p.patience); time.Now().Before(end); time.Sleep(15 * time.Millisecond) {
		if Eval[bool](p, there) {
			return
		}
	}
	p.fail("see", []any{v}, "the page does not follow")
}

func media(dark bool) []*emulation.MediaFeature {
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	return []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: scheme},
		{Name: "prefers-reduced-motion", Value: "reduce"}, // nothing moves under a press or a screenshot
	}
}
