package web

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/show"
)

// checkedFish is the example show with its findings, whose pages write.
func checkedFish(t *testing.T) *workbook {
	t.Helper()
	w := writtenFish(t)
	w.checks = func(ctx context.Context, s *show.Show) ([]finding.Finding, error) {
		return check.Run(ctx, s, check.Options{})
	}
	first := w.work.Now().Shown
	found, err := w.checks(t.Context(), first)
	if err != nil {
		t.Fatal(err)
	}
	w.s.Renew(first, found, false)
	return w
}

// docsSizes are the windows of the pictures in docs/pictures.
var docsSizes = []struct {
	name          string
	width, height int64
}{{"1280", 1280, 800}, {"1024", 1024, 768}, {"390", 390, 844}}

// The pages of the example show in three windows, and the prints of its book, for the docs; and the
// frames of a short picture in which a cue is made. docs/pictures.sh calls it:
//
//	LAMPBLACK_LONG=1 LAMPBLACK_DOCS=../docs/pictures go test ./web -run TestDocsPictures
func TestDocsPictures(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("the example show takes a while: set LAMPBLACK_LONG=1")
	}
	w := checkedFish(t)
	out := os.Getenv("LAMPBLACK_DOCS")
	if out == "" {
		out = t.TempDir()
	}
	for _, p := range pages {
		for _, size := range docsSizes {
			link := p.Link()
			if p.Script == "book" {
				link += "?cue=42"
			}
			tab := openTab(t, w.url+link, size.width, size.height)
			if over := value[int](tab, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("%s at %s is %d px wider than its window", p.Name, size.name, over)
			}
			if p.Script == "book" {
				tab.wait(`!!document.querySelector('.card[data-cue="42"]')`)
			}
			tab.wait(`[...document.querySelectorAll("canvas.room")].slice(0, 2).every((c) => c.dataset.drawn) && [...document.images].every((i) => i.complete)`)
			tab.photograph(filepath.Join(out, fmt.Sprintf("%s-%s.webp", p.Script, size.name)))
			tab.clean()
		}
	}
	tab := openTab(t, w.url, 1280, 800)
	pdf, err := chromedp.Run(tab.ctx, chromedp.PrintToPDF())
	if err == nil {
		err = os.WriteFile(filepath.Join(out, "book-print.pdf"), pdf, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
	cueIsMade(t, w, filepath.Join(out, "frames"))
}

// photograph keeps a picture in the form WebP, a fifth of a PNG's size.
func (p *tab) photograph(name string) {
	p.Helper()
	lossy, quality := page.CaptureScreenshotFormatWebp, int64(80)
	data, err := chromedp.Run(p.ctx, chromedp.Action[[]byte](func(ctx context.Context, t *chromedp.Target) ([]byte, error) {
		r, err := cdp.Call(ctx, t, page.CaptureScreenshot, page.CaptureScreenshotParams{Format: lossy, Quality: &quality})
		if err != nil {
			return nil, err
		}
		return r.Data, nil
	}))
	if err == nil {
		err = os.WriteFile(name, data, 0o644)
	}
	if err != nil {
		p.Fatal(err)
	}
}

// cueIsMade takes the frames of a picture in which a cue is made on the first blow of the storm, given
// another look and a fade, and carried.
func cueIsMade(t *testing.T, w *workbook, out string) {
	t.Helper()
	if err := os.MkdirAll(out, 0o755); err != nil {
		t.Fatal(err)
	}
	page := openTab(t, w.url+"/?at=20", 960, 600)
	n := 0
	frame := func(times int) {
		for range times {
			png, err := chromedp.Run(page.ctx, chromedp.CaptureScreenshot())
			if err == nil {
				err = os.WriteFile(filepath.Join(out, fmt.Sprintf("%02d.png", n)), png, 0o644)
			}
			if err != nil {
				t.Fatal(err)
			}
			n++
		}
	}
	page.wait(`document.querySelector(".thread time").textContent === "0:20.0" && document.querySelector("canvas.room").dataset.drawn === "yes" && [...document.querySelectorAll(".leaf")].slice(0, 1).every((l) => l.dataset.is === "whole")`)
	frame(4)
	page.do(chromedp.Focus(chromedp.CSS(".rule")))
	for range 6 {
		page.do(chromedp.KeyEvent(kb.ArrowDown))
		frame(1)
	}
	cues := value[int](page, `document.querySelectorAll(".card").length`)
	page.do(chromedp.KeyEvent("c"))
	page.wait(fmt.Sprintf(`document.querySelectorAll(".card").length > %d && document.querySelector(".slip [data-key='look']") !== null`, cues))
	frame(3)
	for _, look := range []string{"storm", "morning"} {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const e = document.querySelector(".slip [data-key='look']"); e.value = %q; e.dispatchEvent(new Event("change")); })()`, look)))
		page.wait(fmt.Sprintf(`document.querySelector('.card[data-cue="' + document.querySelector(".slip [data-key='cue']")?.value + '"] .look')?.textContent === %q`, look))
		time.Sleep(400 * time.Millisecond) // the picture of it: nothing is judged by this
		frame(4)
	}
	page.clean()
}
