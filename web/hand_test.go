package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"lampblack/play/hand"
	"lampblack/show"
)

// lamps are the lamps of a show that stands at a time, under a real hand.
type lamps struct {
	mu      sync.Mutex
	show    *show.Show
	hand    *hand.Hand
	changes <-chan hand.Change
	mixer   hand.Mixer
	frame   *show.Frame
	list    []string // what was kept, written, taken back
	aimed   []hand.Aimed
}

func newLamps(t *testing.T, s *show.Show) *lamps {
	t.Helper()
	x := &lamps{show: s, frame: s.NewFrame()}
	var err error
	if x.hand, x.changes, err = hand.New(s.Alone(nil), hand.State{}, hand.Options{}); err != nil {
		t.Fatal(err)
	}
	return x
}

func (x *lamps) Hand(o hand.Order) error { return x.hand.Order(o) }

func (x *lamps) note(format string, args ...any) error {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.list = append(x.list, fmt.Sprintf(format, args...))
	return nil
}

func (x *lamps) Keep(look string, held []hand.Held) error {
	if look == "" {
		return errors.New("no look is chosen")
	}
	return x.note("keep %d in %s", len(held), look)
}
func (x *lamps) Write() error { return x.note("write") }
func (x *lamps) Undo() error  { return x.note("undo") }

func (x *lamps) Aimed(unit string, done bool, note string) error {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.aimed = append(x.aimed, hand.Aimed{Unit: unit, Note: note})
	return nil
}

func (x *lamps) Lamps() Lamps {
	x.mu.Lock()
	defer x.mu.Unlock()
	state, wrong := x.hand.State()
	for len(x.changes) > 0 {
		x.mixer.Take(time.Now(), <-x.changes)
	}
	x.show.At(x.frame, 20*time.Second)
	x.mixer.Over(x.show, x.frame, func(int) float32 { return 0 }, time.Now())
	l := Lamps{Wrong: wrong, Held: state.Held, Trims: state.Trims, Outs: state.Outs, Focus: state.Focus, Look: state.Look, Aimed: x.aimed, Levels: append([]float32(nil), x.frame.Levels...)}
	if !state.Nothing() {
		l.Holds = state.String()
	}
	if n := len(x.list); n > 0 && strings.HasPrefix(x.list[n-1], "keep") {
		l.Undo = x.list[n-1]
	}
	return l
}

func (x *lamps) last() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	if len(x.list) == 0 {
		return ""
	}
	return x.list[len(x.list)-1]
}

// onPhone opens a page on a phone, over a hand.
func onPhone(t *testing.T, path string) (*tab, *lamps) {
	t.Helper()
	s := openHall(t, 2)
	x := newLamps(t, s)
	server, err := New(Options{Gate: ownGate(), Show: s, Control: &orders{}, Hands: x})
	if err != nil {
		t.Fatal(err)
	}
	server.SetPlayhead(Playhead{At: 20, Running: true, Clock: "the sound", State: "runs", Speed: 0, Hands: 1})
	page := openTab(t, serve(t, server)+path, 390, 844)
	return page, x
}

// press touches what a selector finds: in its middle, where a finger would come down.
func (p *tab) press(selector string) {
	p.Helper()
	p.wait(fmt.Sprintf(`!!document.querySelector(%q)`, selector))
	p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void document.querySelector(%q).scrollIntoView({block: "center"})`, selector)))
	// It stands still for two frames, and nothing lies over it.
	p.wait(fmt.Sprintf(`new Promise((done) => { const e = document.querySelector(%q), was = e.getBoundingClientRect(); requestAnimationFrame(() => requestAnimationFrame(() => {
		const b = e.getBoundingClientRect(), top = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2);
		done(b.y === was.y && b.x === was.x && (e.contains(top) || (e.scrollIntoView({block: "center"}), false)));
	})); })`, selector))
	at := value[[]float64](p, fmt.Sprintf(`(() => { const b = document.querySelector(%q).getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; })()`, selector))
	p.do(chromedp.MouseClickXY(at[0], at[1]))
}

// fitsAThumb fails where something to be touched is smaller than 44 px, or the page wider than
// the phone (WCAG 2.2, 2.5.5).
func (p *tab) fitsAThumb() {
	p.Helper()
	if over := value[int](p, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
		p.Errorf("the page is %d px wider than a phone", over)
	}
	small := value[[]string](p, `[...document.querySelectorAll("main button, main select, main input:not([type=checkbox]), main summary")].filter((e) => e.checkVisibility()).filter((e) => { const b = e.getBoundingClientRect(); return b.height < 43.5 || b.width < 43.5; }).map((e) => e.outerHTML.slice(0, 80))`)
	if len(small) > 0 {
		p.Errorf("too small for a thumb: %q", small)
	}
}

// Focusing on a phone: one alone, the next, found by its pulse, aimed and noted, and what to
// look at when one does not answer.
func TestFocusOnAPhone(t *testing.T) {
	page, x := onPhone(t, "/focus")
	focus := func() hand.Focus { s, _ := x.hand.State(); return s.Focus }
	units := x.show.Rig.UnitNames()
	page.wait(fmt.Sprintf(`document.querySelector(".focus .unit").textContent.includes(%q)`, units[0]))
	page.fitsAThumb()
	page.press(`[data-do="alone"]`)
	page.wait(`document.querySelector('[data-do="alone"]').getAttribute("aria-pressed") === "true"`)
	if f := focus(); f.Does != hand.Alone || f.Unit != units[0] {
		t.Errorf("%+v is in focus", f)
	}
	page.press(`[data-do="next"]`)
	page.wait(fmt.Sprintf(`document.querySelector(".holds").textContent === %q`, units[1]+": alone"))
	page.whole("focus-phone")
	page.press(`[data-do="pulse"]`)
	page.wait(fmt.Sprintf(`document.querySelector(".holds").textContent === %q`, units[1]+": pulse"))
	page.do(chromedp.Evaluate[chromedp.Void](`void (document.querySelector(".focus input").value = "cut on the door")`))
	page.press(`[data-do="aimed"]`)
	page.wait(fmt.Sprintf(`document.querySelector(".focus .unit").textContent.includes(%q) && document.querySelector(".done .soft").textContent.startsWith("1 of")`, units[2]))
	if len(x.aimed) != 1 || x.aimed[0].Unit != units[1] || x.aimed[0].Note != "cut on the door" {
		t.Errorf("aimed: %+v", x.aimed)
	}
	page.press(`[data-do="trouble"]`)
	page.wait(`document.querySelector(".trouble").textContent.includes("Is anything lit on the unit")`)
	page.press(`[data-do="next try"]`)
	page.wait(`document.querySelector(".trouble").textContent.includes("Supply")`)
	page.press(`[data-do="out"]`)
	page.wait(`document.querySelector(".trouble").textContent.includes("Back in the show")`)
	if s, _ := x.hand.State(); len(s.Outs) != 1 || s.Outs[0].Unit != units[2] {
		t.Errorf("out: %+v", s.Outs)
	}
	page.whole("focus-trouble-phone")
	page.press(`[data-do="all off"]`)
	page.press(`[data-do="work light"]`)
	page.wait(`document.querySelector(".holds").textContent === "work light"`)
	page.press(`[data-do="as it was"]`)
	page.wait(`document.querySelector(".holds").textContent === "The show has the lamps."`)
	page.clean()
	judge(page)
}

// By hand on a phone: a system is chosen and set, bluer, kept, let go; a place in the picture
// chooses what lights it; a look is written without looking.
func TestByHandOnAPhone(t *testing.T) {
	page, x := onPhone(t, "/hand")
	held := func() []hand.Held { s, _ := x.hand.State(); return s.Held }
	page.wait(`document.querySelector(".chosen").textContent === "front"`)
	page.wait(`document.querySelector("canvas.room").dataset.drawn === "yes"`)
	page.fitsAThumb()
	slide := func(label string, to int) {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const s = document.querySelector('[aria-label="%s"]'); s.value = "%d"; s.dispatchEvent(new Event("input")); })()`, label, to)))
	}
	slide("level", 70)
	page.wait(`document.querySelector(".holds").textContent.startsWith("By hand: front:")`)
	if h := held(); len(h) != 1 || h[0].System != "front" || h[0].Level < .4 || h[0].Level > .5 {
		t.Errorf("held: %+v", h)
	}
	before := held()[0].Colour
	page.do(chromedp.Evaluate[chromedp.Void](`void [...document.querySelectorAll(".nudges button")].find((b) => b.textContent === "bluer").click()`))
	page.wait(fmt.Sprintf(`fetch("/api/lamps", `+asOwner+`).then((r) => r.json()).then((l) => l.held[0].colour !== %q)`, before))
	page.whole("hand-phone")
	page.press(`[data-system="uv"]`)
	page.wait(`document.querySelector(".chosen").textContent === "uv"`)
	slide("black light", 100)
	page.wait(`document.querySelector(".holds").textContent.includes("uv: black light 100 %")`)
	page.do(chromedp.Evaluate[chromedp.Void](`void [...document.querySelectorAll(".keeping button")].find((b) => b.textContent === "Keep in the look").click()`))
	page.wait(`[...document.querySelectorAll(".keeping .soft")].some((e) => e.textContent.startsWith("keep 0 in "))`)
	page.press(`[data-do="let all go"]`)
	page.wait(`document.querySelector(".holds").textContent.startsWith("Nothing is held by hand")`)
	// A finger that still moves when the lamps are let go: what was asked for last is what stands.
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const s = document.querySelector('[aria-label="black light"]'); for (const v of [10, 20, 30, 40]) { s.value = v; s.dispatchEvent(new Event("input")); } document.querySelector('[data-do="let all go"]').click(); })()`))
	page.wait(`fetch("/api/lamps", ` + asOwner + `).then((r) => r.json()).then((l) => l.held.length === 0 && performance.getEntriesByType("resource").filter((e) => e.name.endsWith("/api/hand")).length >= 7)`)
	page.wait(`new Promise((done) => setTimeout(() => done(document.querySelector(".holds").textContent.startsWith("Nothing is held by hand")), 600))`)
	if h := held(); len(h) != 0 {
		t.Errorf("let go, and still held: %+v", h)
	}
	// A look that is not up: the lamps stay.
	page.press(`.keeping input[type=checkbox]`)
	page.press(`[data-system="front"]`)
	slide("level", 30)
	page.wait(`[...document.querySelectorAll(".keeping .soft")].some((e) => e.textContent.includes("front"))`)
	if h := held(); len(h) != 0 {
		t.Errorf("a look is written that is not up, and the lamps follow: %+v", h)
	}
	page.do(chromedp.Evaluate[chromedp.Void](`void [...document.querySelectorAll(".keeping button")].find((b) => b.textContent === "Write it into the look").click()`))
	page.wait(`[...document.querySelectorAll(".keeping .soft")].some((e) => e.textContent.startsWith("keep 1 in "))`)
	page.press(`[data-do="bring"]`)
	page.wait(`document.querySelector(".holds").textContent.includes("is up")`)
	page.press(`[data-do="give back"]`)
	// A touch on the picture chooses what lights the place.
	page.press(`canvas.room`)
	page.wait(`/what can light it|No lamp reaches/.test(document.querySelector("figcaption").textContent)`)
	page.clean()
	judge(page)
}

// Trimming on the Night page by touch: a system down, a unit out and back, written, dropped.
func TestTrimOnAPhone(t *testing.T) {
	page, x := onPhone(t, "/night")
	page.press(`.trims summary`)
	// On a machine that is busy the page may have moved under the finger.
	page.wait(`document.querySelector(".trims").open || (document.querySelector(".trims summary").click(), false)`)
	page.wait(`!!document.querySelector('[data-trim="front"]')`)
	page.fitsAThumb()
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const s = document.querySelector('[data-trim="front"]'); s.value = "25"; s.dispatchEvent(new Event("input")); s.dispatchEvent(new Event("change")); })()`))
	page.wait(`[...document.querySelectorAll(".trims output")].some((o) => o.textContent === "141 %")`)
	page.wait(`fetch("/api/lamps", ` + asOwner + `).then((r) => r.json()).then((l) => l.trims.length === 1)`) // the page says it at once, the order is on its way
	if s, _ := x.hand.State(); len(s.Trims) != 1 || s.Trims[0].System != "front" || s.Trims[0].Factor < 1.40 || s.Trims[0].Factor > 1.42 {
		t.Errorf("trims: %+v", s.Trims)
	}
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const s = document.querySelector('[data-do="trim unit"]'); s.value = "-50"; s.dispatchEvent(new Event("input")); s.dispatchEvent(new Event("change")); })()`))
	page.wait(`fetch("/api/lamps", ` + asOwner + `).then((r) => r.json()).then((l) => l.trims.some((t) => t.unit && t.factor < 0.1))`)
	page.press(`.trims [data-do="out"]`)
	page.wait(`document.querySelector(".outs").textContent.includes("is out (flickers)")`)
	page.whole("trims-phone")
	page.press(`.outs button`)
	page.wait(`document.querySelector(".outs").textContent === ""`)
	page.press(`.trims [data-do="write"]`)
	page.wait(`fetch("/api/lamps", ` + asOwner + `).then((r) => r.json()).then((l) => l.trims.length === 2)`)
	page.press(`.trims [data-do="drop"]`)
	page.wait(`[...document.querySelectorAll(".trims output")].every((o) => o.textContent === "as written")`)
	if got := x.last(); got != "write" {
		t.Errorf("the last that was asked of the files is %q", got)
	}
	page.clean()
	judge(page)
}

// What is no order is refused with words, and nothing panics.
func TestHandRefuses(t *testing.T) {
	s := openHall(t, 1)
	x := newLamps(t, s)
	server, err := New(Options{Gate: ownGate(), Show: s, Hands: x})
	if err != nil {
		t.Fatal(err)
	}
	for body, want := range map[string]int{
		`{"do":"set","system":"front","level":0.5}`:      http.StatusNoContent,
		`{"do":"set","system":"nobody","level":0.5}`:     http.StatusUnprocessableEntity,
		`{"do":"set","units":["nobody"],"level":0.5}`:    http.StatusUnprocessableEntity,
		`{"do":"set","system":"front","level":1e300}`:    http.StatusUnprocessableEntity,
		`{"do":"set","system":"front","level":-1}`:       http.StatusUnprocessableEntity,
		`{"do":"set","system":"front","colour":"mauvy"}`: http.StatusUnprocessableEntity,
		`{"do":"dance"}`:                        http.StatusUnprocessableEntity,
		`{"do":"alone"}`:                        http.StatusUnprocessableEntity,
		`{"do":`:                                http.StatusBadRequest,
		``:                                      http.StatusBadRequest,
		`[1]`:                                   http.StatusBadRequest,
		strings.Repeat(" ", mostOrder+1) + "{}": http.StatusRequestEntityTooLarge,
	} {
		r, _ := http.NewRequest("POST", "http://127.0.0.1/api/hand", strings.NewReader(body))
		r.Header.Set("Authorization", "Bearer "+ownKey)
		w := askRequest(server, r)
		if w.Code != want {
			t.Errorf("%.60s: %d %s, want %d", body, w.Code, w.Body, want)
		}
		if w.Code >= 400 && len(strings.TrimSpace(w.Body.String())) < 8 {
			t.Errorf("%.60s: no words", body)
		}
	}
	var l Lamps
	w := ask(t, server, "GET", "127.0.0.1", "/api/lamps", nil)
	if err := json.Unmarshal(w.Body.Bytes(), &l); err != nil || len(l.Lamps) != len(s.Rig.Units) {
		t.Errorf("%v: %d lamps", err, len(l.Lamps))
	}
}
