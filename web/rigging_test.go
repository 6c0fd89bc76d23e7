package web

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// reads is what a file of the folder says.
func (w *workbook) reads(t testing.TB, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(w.dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// holds waits until a file has a text, or has it no more.
func (w *workbook) holds(t testing.TB, name, text string, has bool) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); strings.Contains(w.reads(t, name), text) != has; {
		if time.Now().After(end) {
			t.Fatalf("%s has %q: %v; it is\n%s", name, text, !has, w.reads(t, name))
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// js does something in the page.
func (p *tab) js(format string, args ...any) {
	p.Helper()
	p.do(chromedp.Evaluate[chromedp.Void]("void (" + fmt.Sprintf(format, args...) + ")"))
}

// grab, carry and drop are a hand on what a selector names: by is how far from where it took hold, in m of the drawing
// that it lies in.
func (p *tab) grab(selector string) {
	p.Helper()
	p.js(`(() => {
		const e = document.querySelector(%q), box = e.getBoundingClientRect(), x = box.left + box.width / 2, y = box.top + box.height / 2;
		window.hand = {x, y, metre: 100 * e.closest("svg").getScreenCTM().a};
		e.dispatchEvent(new PointerEvent("pointerdown", {bubbles: true, button: 0, clientX: x, clientY: y}));
	})()`, selector)
}

func (p *tab) carry(right, up float64, more string) {
	p.Helper()
	p.js(`dispatchEvent(new PointerEvent("pointermove", {clientX: hand.x + %g * hand.metre, clientY: hand.y - %g * hand.metre, ...%s}))`, right, up, more)
}

func (p *tab) drop() {
	p.Helper()
	p.js(`dispatchEvent(new PointerEvent("pointerup", {}))`)
}

const inPlan, inSection = `.sheets figure:nth-child(1) `, `.sheets figure:nth-child(2) `

// A lamp is dragged on the plan: the room is shown by its direct light while the hand moves, nothing is written before it
// is let go, and the light follows. It is taken back to the first octet.
func TestLampIsDragged(t *testing.T) {
	w := writtenHall(t, 2)
	first := w.reads(t, "rig.yaml")
	page := openTab(t, w.url+"/rig", 1280, 800)
	page.wait(`document.querySelector(".rigging canvas")?.dataset.drawn === "yes"`)
	page.picture("rig-by-hand")
	page.js(`window.same = true`)
	page.grab(inPlan + `[data-grip="at"]`)
	page.carry(.76, .31, "{}")
	page.wait(`!document.querySelector(".early").hidden`)
	page.picture("rig-dragged")
	if w.reads(t, "rig.yaml") != first {
		t.Error("it is written while it is dragged")
	}
	page.carry(1.2341, .5126, "{altKey: true}")
	page.drop()
	w.holds(t, "rig.yaml", "front left,  type: par, address: 1,  at: [-1.77 m, -1.49 m, 3 m], aim: [-0.8 m, 2 m, 1 m]", true)
	page.wait(`document.querySelector(".early").hidden && document.querySelector(".working").textContent === ""`)
	if !value[bool](page, `window.same === true`) {
		t.Error("the page was loaded again")
	}
	page.grab(inSection + `[data-grip="aim"]`)
	page.carry(.5, .2502, "{shiftKey: true}")
	page.drop()
	w.holds(t, "rig.yaml", "aim: [-0.8 m, 2.5 m, 1.25 m]", true)
	// Escape leaves it as it was.
	was := w.reads(t, "rig.yaml")
	page.grab(inPlan + `[data-lamp="uv left"]`)
	page.carry(-.5, .3, "{}")
	page.do(chromedp.KeyEvent(kb.Escape))
	page.wait(`document.querySelector('[data-lamp="uv left"]').getAttribute("transform") === "translate(-160.0 -30.0)"`)
	if got := w.reads(t, "rig.yaml"); got != was {
		t.Errorf("Escape wrote\n%s", got)
	}
	for range 2 {
		page.wait(`!document.querySelector('.pencil button').disabled`)
		now := w.reads(t, "rig.yaml")
		page.js(`document.querySelector('.pencil button').click()`)
		for end := time.Now().Add(20 * time.Second); w.reads(t, "rig.yaml") == now && time.Now().Before(end); {
			time.Sleep(20 * time.Millisecond)
		}
		page.wait(`document.querySelector('.pencil span').textContent.startsWith("taken back")`)
	}
	if got := w.reads(t, "rig.yaml"); got != first {
		t.Errorf("undo came to\n%s", got)
	}
	judge(page)
	page.clean()
}

// With the keyboard alone: a lamp is chosen and moved, and what would not do is refused with what is wrong.
func TestLampByKeys(t *testing.T) {
	w := writtenHall(t, 2)
	page := openTab(t, w.url+"/rig", 1280, 800)
	page.wait(`document.querySelector(".rigging canvas")?.dataset.drawn === "yes"`)
	page.js(`document.querySelector(%q).focus()`, inPlan+`[data-grip="at"]`)
	page.do(chromedp.KeyEvent("n"), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowUp), chromedp.KeyEvent(kb.ArrowLeft, chromedp.KeyModifiers(chromedp.ModifierShift)), chromedp.KeyEvent(kb.Enter))
	w.holds(t, "rig.yaml", "{unit: front right, type: par, address: 11, at: [3.09 m, -1.9 m, 3 m],", true)
	page.wait(`document.querySelector(".working").textContent === ""`)
	page.do(chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.Escape))
	was := w.reads(t, "rig.yaml")
	type in struct{ field, text, says string }
	for _, c := range []in{{"hangs at, up", "9 m", "hangs outside the room"}, {"hangs at, up", "high", ""}} {
		page.js(`(() => { const e = document.querySelector('input[aria-label="%s"]'); e.focus(); e.value = %q; e.dispatchEvent(new Event("change")); })()`, c.field, c.text)
		if c.says != "" {
			page.wait(fmt.Sprintf(`document.querySelector(".rigging .wrong").textContent.includes(%q)`, c.says))
			page.picture("rig-refused")
		}
	}
	page.wait(`document.querySelector('input[aria-label="hangs at, up"]').getAttribute("aria-invalid") === "true"`)
	if got := w.reads(t, "rig.yaml"); got != was {
		t.Errorf("the rig is\n%s", got)
	}
	page.js(`(() => { const e = document.querySelector('input[aria-label="aims at, upstage"]'); e.focus(); e.value = "250 cm"; e.dispatchEvent(new Event("change")); })()`)
	w.holds(t, "rig.yaml", "aim: [0.8 m, 2.5 m, 1 m], systems: front, circuit: right wall}", true)
}

// Two pages see each other's lamps move, and one that somebody moved meanwhile is not written over.
func TestTwoRigs(t *testing.T) {
	w := writtenHall(t, 2)
	one, two := openTab(t, w.url+"/rig", 1280, 800), openTab(t, w.url+"/rig", 1280, 800)
	for _, page := range []*tab{one, two} {
		page.wait(`document.querySelector(".rigging canvas")?.dataset.drawn === "yes"`)
	}
	two.grab(inPlan + `[data-grip="at"]`)
	two.carry(.3, .3, "{altKey: true}")
	one.grab(inPlan + `[data-grip="at"]`)
	one.carry(1, 0, "{}")
	one.drop()
	w.holds(t, "rig.yaml", "at: [-2 m, -2 m, 3 m]", true)
	two.drop()
	two.wait(`document.querySelector(".rigging .wrong").textContent.includes("somebody changed it meanwhile")`)
	two.wait(`document.querySelector('.sheets figure [data-lamp="front left"]').getAttribute("transform") === "translate(-200.0 200.0)"`)
	w.holds(t, "rig.yaml", "at: [-2 m, -2 m, 3 m]", true)
	one.clean()
}

// From the hand to the picture, with the example show: a lamp that is dragged, by its direct light, and how long it takes
// from when it is let go until the light in the room is worked out.
//
//	LAMPBLACK_LONG=1 go test -v ./web -run LampToPicture
func TestLampToPicture(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("the example show takes a while: set LAMPBLACK_LONG=1")
	}
	w := writtenFish(t)
	page := openTab(t, w.url+"/rig", 1280, 800)
	page.wait(`document.querySelector(".rigging canvas")?.dataset.drawn === "yes"`)
	const step = `(i) => { const k = hand.metre; dispatchEvent(new PointerEvent("pointermove", {clientX: hand.x + 0.02 * i * k, clientY: hand.y - 0.01 * i * k, altKey: true})); }`
	for _, light := range []string{"this lamp alone", "cue"} {
		if light == "cue" {
			page.js(`(() => { const s = document.querySelector('select[aria-label="light"]'), was = document.querySelector(".rigging canvas").dataset.took; s.selectedIndex = 5; s.dispatchEvent(new Event("change")); window.was = was; })()`)
			page.wait(`document.querySelector(".rigging canvas").dataset.took !== window.was`)
		}
		page.grab(inPlan + `[data-grip="at"]`)
		page.carry(.1, .1, "{}")
		page.wait(`!document.querySelector(".early").hidden`)
		tellTimes(t, light, took(page, ".rigging canvas", step))
		page.picture("fish-" + light)
		began := time.Now()
		page.drop()
		page.wait(`document.querySelector(".working").textContent !== ""`)
		wrote := time.Since(began)
		page.wait(`document.querySelector(".working").textContent === "" && document.querySelector(".early").hidden`)
		t.Logf("let go: written after %d ms, in full light after %.1f s", wrote.Milliseconds(), time.Since(began).Seconds())
	}
}
