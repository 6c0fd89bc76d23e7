package web

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// The page goes from an hour in a window to some hundredths of a second a line, by keys, about the
// second where it stands: cards stand at their seconds, sound and light are there, and no leaf is much
// taller than a window.
func TestZoom(t *testing.T) {
	_, url := hallServer(t, 5, nil)
	page := openTab(t, url, 1280, 800)
	page.wait(`document.querySelector('[data-leaf="0"]')?.dataset.is === "whole"`)
	page.do(chromedp.Evaluate[chromedp.Void](`void [...document.querySelectorAll(".turning button")].find((b) => b.dataset.to === "2")?.click()`))
	page.do(chromedp.Focus(chromedp.CSS(".rule")))
	at := value[string](page, `document.querySelector(".rule").getAttribute("aria-valuetext")`)
	whole := func(scale float64) {
		t.Helper()
		page.wait(`[...document.querySelectorAll(".leaf")].filter((l) => { const b = l.getBoundingClientRect(); return b.bottom > 0 && b.top < innerHeight; }).every((l) => l.dataset.is === "whole" && l.querySelectorAll("img.tile").length === 2)`)
		if got := value[string](page, `document.querySelector(".rule").getAttribute("aria-valuetext")`); got != at {
			t.Errorf("at %g px a second it stands at %s, and stood at %s", scale, got, at)
		}
		if bad := value[string](page, `[...document.querySelectorAll(".leaf")].map((l) => l.offsetHeight).filter((h) => h > 800).join()`); bad != "" {
			t.Errorf("at %g px a second leaves are %s px tall", scale, bad)
		}
		// A second is as long as it is said to be: the body is as tall as the show lasts.
		if tall := value[float64](page, `document.querySelector(".leaves").offsetHeight`); tall < 300*scale-1 || tall > 300*scale+1 {
			t.Errorf("at %g px a second five minutes are %.0f px", scale, tall)
		}
		if over := value[string](page, `[...document.querySelectorAll(".leaf")].flatMap((l) => { const c = [...l.querySelectorAll(".card, .fewer")].map((e) => e.getBoundingClientRect()).sort((a, b) => a.top - b.top); return c.slice(1).filter((b, i) => b.top < c[i].bottom - 1.5).map((b) => b.top); }).join()`); over != "" {
			t.Errorf("at %g px a second cards stand over one another at %s", scale, over)
		}
		page.picture(fmt.Sprintf("zoom-%g", scale))
	}
	key := func(k string) { page.do(chromedp.KeyEvent(k)) }
	for _, scale := range []float64{30, 80, 200, 400} {
		key("+")
		whole(scale)
	}
	if n := value[int](page, `document.querySelectorAll(".zoom button:disabled").length`); n != 1 {
		t.Errorf("%d ways are shut at the nearest", n)
	}
	key("0")
	for _, scale := range []float64{4, 1.5, .5, .2} {
		key("-")
		whole(scale)
	}
	page.clean()
}
