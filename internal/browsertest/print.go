package browsertest

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// Paper is a size of sheet in inches.
type Paper = chromedp.PaperSize

// The sheets that homes print on.
var (
	A4     = chromedp.PaperA4
	Letter = chromedp.PaperLetter
)

var pdfPage = regexp.MustCompile(`/Type\s*/Page\b`)

// Print prints the page as the browser does and says how many sheets it takes. The file goes to NAME.pdf in the folder that
// AXLESTAND_SHOTS names, when that is set.
func (p *Page) Print(name string, paper Paper) (sheets int) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, 3*p.patience)
	defer cancel()
	file, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper)))
	if err != nil {
		p.t.Fatalf("browsertest: print: %v", err)
	}
	if dir := os.Getenv("AXLESTAND_SHOTS"); dir != "" {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			p.t.Errorf("browsertest: %v", err)
		} else if err := os.WriteFile(filepath.Join(dir, name+".pdf"), file, 0o644); err != nil {
			p.t.Errorf("browsertest: %v", err)
		}
	}
	return len(pdfPage.FindAll(bytes.ReplaceAll(file, []byte("/Type /Pages"), nil), -1))
}

// AsPrinted shows the page as it is laid out on a sheet whose margins take so many inches of its width.
func (p *Page) AsPrinted(paper Paper, margins float64) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, p.patience)
	defer cancel()
	const dots = 96 // of an inch, in CSS
	err := chromedp.Do(ctx, chromedp.EmulateViewport(int64((paper.Width-margins)*dots), int64(paper.Height*dots)))
	if err == nil {
		_, err = chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	}
	if err != nil {
		p.t.Fatalf("browsertest: as printed: %v", err)
	}
}
