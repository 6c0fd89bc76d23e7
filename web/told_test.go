package web

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lampblack/check/finding"
)

// cutOff lists texts of a page that are cut, or that lie outside the window. What scrolls by
// itself, and what only a screen reader is told, may.
const cutOff = `(() => {
	const out = [];
	for (const e of document.querySelectorAll("body *")) {
		if (!e.checkVisibility() || e.closest(".unseen, .skip, svg, select, .scroll, .plan, .turning, .task > span, .sketch, .card.line, .card.short, .remark.line")) continue;
		if (![...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim())) continue;
		const s = getComputedStyle(e), r = e.getBoundingClientRect(), text = e.className + ": " + e.textContent.slice(0, 60);
		if (s.overflow !== "visible" && e.scrollWidth > e.clientWidth + 1) out.push("cut, " + text);
		if (r.width && (r.left < -1 || r.right > innerWidth + 1)) out.push("outside, " + text);
	}
	return out;
})()`

// collided lists labels of the bar, the heads and the title page that stand over one another.
const collided = `(() => {
	const all = [...document.querySelectorAll("header a, header .title, header .run, header .task > span, .todo a, .todo button, .todo h2, .facts")].filter((e) => e.checkVisibility() && e.getBoundingClientRect().width > 2).map((e) => ({ e, r: e.getBoundingClientRect() }));
	return all.flatMap(({ e, r }, i) => all.slice(i + 1).filter(({ e: f, r: q }) => !e.contains(f) && !f.contains(e) && r.left < q.right - 1 && q.left < r.right - 1 && r.top < q.bottom - 3 && q.top < r.bottom - 3).map(({ e: f }) => e.textContent + " and " + f.textContent));
})()`

// The bar and the title page go by tasks, from the beginning of a show to its end, and the pages
// of each come before its papers.
func TestTasksBeforePapers(t *testing.T) {
	_, url := hallServer(t, 2, nil)
	page := openTab(t, url, 1400, 900)
	want := []string{"make", "rehearse", "run", "hand over"}
	for _, of := range []string{`header .task > span`, `.todo h2`} {
		if got := value[[]string](page, `[...document.querySelectorAll("`+of+`")].map((e) => e.textContent)`); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", of, got, want)
		}
	}
	if !value[bool](page, `[...document.querySelectorAll(".todo section")].every((s) => { const a = s.querySelectorAll("a:not(.on-paper a)"), b = s.querySelectorAll("button"); return a.length && b.length && !!(a[a.length - 1].compareDocumentPosition(b[0]) & 4); })`) {
		t.Error("a paper stands before the pages of its task")
	}
	// What looks for labels that are cut, or stand over one another, finds them.
	page.do(chromedp.Evaluate[chromedp.Void](`Object.assign(document.querySelector(".todo .says").style, { overflow: "hidden", whiteSpace: "nowrap", width: "40px" }), Object.assign(document.querySelector(".todo h2").style, { position: "absolute", top: 0, left: "24px" }), void 0`))
	if cut, over := value[[]string](page, cutOff), value[[]string](page, collided); len(cut) != 1 || len(over) == 0 {
		t.Errorf("of one label that is cut and one that stands over others %q and %q are found", cut, over)
	}
	if n := value[int](page, `new Set([...document.querySelectorAll(".todo a")].map((a) => a.pathname)).size`); n != len(pages)-1 {
		t.Errorf("the title page leads to %d pages, want all %d others", n, len(pages)-1)
	}
	page.clean()
}

// Whatever takes a while is told in its place.
func TestPagesSayWhatIsOnItsWay(t *testing.T) {
	s, url := hallServer(t, 2, nil)
	for _, p := range pages {
		if w := ask(t, s, "GET", "127.0.0.1", p.Link(), nil); !strings.Contains(w.Body.String(), "The show is being opened.") {
			t.Errorf("%s is blank until its script has come", p.Name)
		}
	}
	page := openTab(t, url+"/room", 1400, 900)
	page.wait(`[...document.images].every((i) => i.complete && i.naturalWidth > 0) && !document.querySelector(".waits")`)
	page.do(chromedp.Evaluate[chromedp.Void](`{ const real = window.fetch; window.held = []; window.fetch = (...a) => String(a[0]).includes("/plate/") ? new Promise((go, no) => window.held.push(() => no(new Error("away")))) : real(...a);
		const e = document.querySelector('[aria-label="second of the show"]'); e.value = "44"; e.dispatchEvent(new Event("input")); }`))
	page.wait(`[...document.querySelectorAll(".plated .waits")].map((e) => e.textContent).join("|") === "The light on the plan at 0:44.0 is being worked out.|The ultraviolet on the plan at 0:44.0 is being worked out."`)
	page.do(chromedp.Evaluate[chromedp.Void](`for (const no of window.held) no()`))
	page.wait(`[...document.querySelectorAll(".plated .waits")].every((e) => e.textContent.endsWith("did not arrive: is the program still there?"))`)
	page.clean()
}

// manyFindings are twelve about the whole show and nine about its first minute.
func manyFindings() []finding.Finding {
	out := []finding.Finding{
		{ID: "uv-dose", Severity: finding.Warn, Text: "on open day (3 shows) performer hooded puppeteer takes up to 21 kJ/m² of UV-A", Value: 21000, Limit: 10000, Margin: -1.1, Unit: "J/m²", Place: "performer hooded puppeteer", Source: "ICNIRP 2004"},
		{ID: "blackout", Severity: finding.Warn, Text: "it is dark while people move", Value: 110, Limit: 2, Margin: -54, Unit: "s", Place: "room", Source: "common practice"},
	}
	for i := range 10 {
		out = append(out, finding.Finding{ID: fmt.Sprintf("wiring-%d", i), Severity: finding.Warn, Text: "a line is not as it should be", Place: fmt.Sprintf("line %d", i), Source: "ANSI E1.11"})
	}
	for i := range 9 {
		out = append(out, finding.Finding{ID: "landing", Severity: []finding.Severity{finding.Note, finding.Warn, finding.Stop}[i%3], Text: fmt.Sprintf("cue %d is off", i), From: float64(i), To: float64(i) + .1, Place: fmt.Sprintf("cue %d", i), Source: fmt.Sprintf("common practice, %d", i)})
	}
	return out
}

// Five findings stand on a page, and in a minute of the book; the rest opens in its place. They are
// sentences, and figures are there for who asks.
func TestFiveFindings(t *testing.T) {
	s, err := New(Options{Gate: ownGate(), Show: openHall(t, 2), Findings: manyFindings()})
	if err != nil {
		t.Fatal(err)
	}
	url := serve(t, s)
	page := openTab(t, url, 1400, 900)
	page.wait(`document.querySelector('[data-leaf="0"]')?.dataset.is === "whole"`)
	page.picture("findings-book")
	count := func(of string) int { return value[int](page, `document.querySelectorAll("`+of+`").length`) }
	if n := count(".front .remark"); n != 5 {
		t.Errorf("%d findings stand on the title page", n)
	}
	// Three stops and three warnings are graver than three notes.
	if n, notes := count(`[data-leaf='0'] .margin .sign`), count(`[data-leaf='0'] .margin .remark.note`); n != 5 || notes != 0 {
		t.Errorf("%d findings stand in the first minute, %d of them notes", n, notes)
	}
	page.press(`.front .more`)
	page.wait(`document.querySelectorAll(".front .remark").length === 12 && !document.querySelector(".front .more")`)
	page.press(`[data-leaf="0"] .more`)
	page.wait(`document.querySelectorAll("[data-leaf='0'] .margin .sign").length === 9`)
	page.clean()
	page = openTab(t, url+"/checks", 1400, 900)
	page.picture("findings-checks")
	if n := count(".findings .entry:not([hidden])"); n != 5 {
		t.Errorf("%d findings stand on the page of checks", n)
	}
	says := `document.querySelector('[data-finding="%s"] .says').textContent`
	for id, want := range map[string]string{"uv-dose": "too much ultraviolet reaches the eyes of hooded puppeteer", "blackout": "it is dark for too long while people move"} {
		if got := value[string](page, fmt.Sprintf(says, id)); got != want {
			t.Errorf("%s says %q, want %q", id, got, want)
		}
	}
	if got := value[string](page, `(() => { const d = document.querySelector('[data-finding="blackout"] details'); return d.open + " " + d.textContent; })()`); !strings.HasPrefix(got, "false ") || !strings.Contains(got, "55 times the limit") {
		t.Errorf("the figures of the dark: %q", got)
	}
	for value[bool](page, `document.querySelector(".findings .more") !== null`) {
		page.press(`.findings .more`)
	}
	page.wait(`document.querySelectorAll(".findings .sign").length >= 12`)
	page.clean()
}

// Wordings that a person reads while there is no time.
func TestWordings(t *testing.T) {
	_, url := hallServer(t, 2, &orders{})
	for path, want := range map[string][]string{
		"/night": {"rehearse from 8 s before"}, "/room": {"show cue ", " when finished"}, "/looks": {"wider is brighter"}, "/": {"wider is brighter"},
	} {
		page := openTab(t, url+path, 1024, 768)
		text := value[string](page, `document.body.textContent`)
		for _, w := range want {
			if !strings.Contains(text, w) {
				t.Errorf("%s does not say %q", path, w)
			}
		}
		page.clean()
	}
}
