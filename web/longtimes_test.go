package web

import (
	"fmt"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"
)

// How long the pages of the long show take, for docs/measured/web.md:
//
//	LAMPBLACK_LONG=1 go test -v -run LongTimes ./web
func TestLongTimes(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("figures of a long show: set LAMPBLACK_LONG=1")
	}
	_, url := longServer(t)
	for range 3 {
		page := openTab(t, url, 1280, 800)
		page.wait(`document.querySelector(".card") !== null`)
		t.Logf("the first card stands after %.0f ms", value[float64](page, `window.firstCard ?? performance.now()`))
		page.wait(`document.querySelector(".pane canvas").dataset.drawn === "yes"`)
		loaded := `performance.getEntriesByType("resource")`
		t.Logf("before the first picture: %.0f kB of answers, %.0f kB of scripts and styles, over the wire %.0f kB", value[float64](page, loaded+`.filter((e) => e.name.includes("/api/") && !e.name.includes("/picture")).reduce((n, e) => n + e.decodedBodySize, 0) / 1000`),
			value[float64](page, loaded+`.filter((e) => e.name.includes("/built/")).reduce((n, e) => n + e.decodedBodySize, 0) / 1000`),
			value[float64](page, loaded+`.filter((e) => !e.name.includes("/picture")).reduce((n, e) => n + e.transferSize, 0) / 1000`))
		t.Logf("%d elements in the document", value[int](page, `document.querySelectorAll("*").length`))
		spent := processor(page)
		t.Logf("jumps by keyboard: %v ms by the clock", jumps(page))
		spent("a jump", 8)
		t.Logf("scrolled in %d frames of 72 px: %s", frames, scrolled(page))
		spent("a frame", frames)
		page.clean()
	}
	page := openTab(t, url, 1280, 800)
	began := time.Now()
	if _, err := chromedp.Run(page.ctx, chromedp.PrintToPDF()); err != nil {
		t.Fatal(err)
	}
	t.Logf("printed by the browser: %.1f s", time.Since(began).Seconds())
	began = time.Now()
	r, err := http.DefaultClient.Do(byOwner("GET", url+"/sheet/prompt-book.pdf", ""))
	if err != nil || r.StatusCode != 200 {
		t.Fatal(err)
	}
	r.Body.Close()
	t.Logf("the prompt book on paper: %.1f s", time.Since(began).Seconds())
}

// processor says what processor time the page's own thread takes from one call to the next: it is
// the same whatever else the machine does.
func processor(page *tab) func(of string, many float64) {
	page.Helper()
	if _, err := chromedp.Call(page.ctx, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks}); err != nil {
		page.Fatal(err)
	}
	read := func() map[string]float64 {
		r, err := chromedp.Call(page.ctx, performance.GetMetrics, cdp.Empty{})
		if err != nil {
			page.Fatal(err)
		}
		out := map[string]float64{}
		for _, m := range r.Metrics {
			out[m.Name] = m.Value
		}
		return out
	}
	before := read()
	return func(of string, many float64) {
		now := read()
		ms := func(name string) float64 { return 1000 * (now[name] - before[name]) / many }
		page.Logf("%s takes %.1f ms of processor time of the page's thread: %.1f ms scripts, %.1f ms styles and layout", of, ms("TaskDuration"), ms("ScriptDuration"), ms("LayoutDuration")+ms("RecalcStyleDuration"))
		before = now
	}
}

// frames is how many frames are scrolled.
const frames = 300

// jumps goes to places far apart and waits until the line's card stands in the window and was
// painted.
func jumps(page *tab) []int {
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { window.jumped = undefined; (async () => {
		const rule = document.querySelector(".rule"), out = [];
		const frame = () => new Promise((done) => requestAnimationFrame(done));
		const key = (key) => rule.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true }));
		const shown = () => { const t = document.querySelector(".thread").getBoundingClientRect().top; return [...document.querySelectorAll(".card")].some((c) => { const r = c.getBoundingClientRect(); return Math.abs(r.top - t) < 300 && r.bottom > 0 && r.top < innerHeight; }); };
		for (const k of ["End", "Home", "End", "n", "p", "PageUp", "Home", "PageDown"]) {
			await new Promise((done) => setTimeout(done, 700));
			const began = performance.now();
			key(k);
			do await frame(); while (!shown());
			await frame();
			out.push(Math.round(performance.now() - began));
		}
		window.jumped = out;
	})(); })()`))
	page.wait(`window.jumped !== undefined`)
	return value[[]int](page, `window.jumped`)
}

// scrolled goes down the page and says what frames took, and what of it the page's own thread:
// scripts, styles, layout and the list of what is painted.
func scrolled(page *tab) string {
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => {
		window.frames60 = undefined;
		const times = [], busy = []; let last = performance.now(), y = 4000, began = 0; scrollTo(0, y);
		const after = new MessageChannel();
		after.port1.onmessage = () => busy.push(performance.now() - began);
		requestAnimationFrame(function step(now) {
			began = performance.now(); after.port2.postMessage(0);
			times.push(now - last); last = now; y += 72; scrollTo(0, y);
			if (times.length < 300) requestAnimationFrame(step);
			else { for (const l of [times, busy]) l.sort((a, b) => a - b); const of = (l) => [.5, .95, .99].map((q) => l[Math.floor(q * l.length)]); window.frames60 = [...of(times), ...of(busy)]; }
		});
	})()`))
	page.wait(`window.frames60 !== undefined`)
	v := value[[]float64](page, `window.frames60`)
	var b strings.Builder
	fmt.Fprintf(&b, "median %.1f ms, 95th percentile %.1f ms, 99th %.1f ms a frame; of the page's thread %.1f ms, %.1f ms, %.1f ms", v[0], v[1], v[2], v[3], v[4], v[5])
	return b.String()
}
