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
