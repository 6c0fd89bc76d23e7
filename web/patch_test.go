package web

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"lampblack/check"
	"lampblack/show"

	"os"
)

// sets types into a field of a unit's row, and leaves it.
func (p *tab) sets(unit, key, text string) {
	p.Helper()
	p.js(`(() => { const e = document.querySelector('[data-row="%s"] [data-key="%s"]'); e.focus(); e.value = %q; e.dispatchEvent(new Event("input")); e.dispatchEvent(new Event("change")); })()`, unit, key, text)
}

// The patch list is changed in place: each field as it is left, a name wherever it is spoken of, a line with its order. What
// does not read is refused beside it, and all is taken back to the first octet.
func TestPatchInPlace(t *testing.T) {
	w := writtenHall(t, 2)
	w.put(t, "rig.yaml", w.reads(t, "rig.yaml")+"lines:\n  deck: {order: [foot, uv left]}   # from the left\n")
	if err := w.work.Foreign(t.Context(), false); err != nil {
		t.Fatal(err)
	}
	w.work.Settled()
	first := w.reads(t, "rig.yaml")
	page := openTab(t, w.url+"/rig", 1280, 800)
	page.wait(`document.querySelector('[data-row="foot"]') !== null`)
	page.js(`window.same = true`)
	edits := 0
	for _, c := range []struct{ unit, key, text, want string }{
		{"foot", "universe", "2", "circuit: left wall, universe: 2}"},
		{"foot", "systems", "foot, low", "systems: [foot, low]"},
		{"uv left", "feed", "unit foot", "systems: uv, fed by: foot}"},
		{"uv right", "line", "deck", "order: [foot, uv left, uv right]"},
		{"uv right", "note", "taped: do not touch", `note: "taped: do not touch"`},
		{"foot", "unit", "step", "fed by: step"},
		{"step", "address", "60", "unit: step,        type: par, address: 60"},
	} {
		page.wait(`document.querySelector('[data-row="` + c.unit + `"] [data-key="` + c.key + `"]') !== null`)
		page.sets(c.unit, c.key, c.text)
		w.holds(t, "rig.yaml", c.want, true)
		edits++
	}
	if got := w.reads(t, "rig.yaml"); !strings.Contains(got, "order: [step, uv left, uv right]") {
		t.Errorf("the line has not the name:\n%s", got)
	}
	was := w.reads(t, "rig.yaml")
	page.wait(`document.querySelector('[data-row="step"] [data-key="address"]')?.value === "60"`)
	page.sets("step", "address", "600")
	page.wait(`document.querySelector('.patch .wrong').textContent.includes("600")`)
	page.wait(`document.querySelector('[data-row="step"] [data-key="address"]').getAttribute("aria-invalid") === "true"`)
	page.sets("step", "systems", "low")
	page.wait(`document.querySelector('.patch .wrong').textContent.includes('no unit belongs to a system "foot"')`)
	page.picture("patch-refused")
	if got := w.reads(t, "rig.yaml"); got != was {
		t.Errorf("what is refused was written:\n%s", got)
	}
	if !value[bool](page, `window.same === true`) {
		t.Error("the page was loaded again")
	}
	for range edits {
		now := w.reads(t, "rig.yaml")
		page.wait(`!document.querySelector('.pencil button').disabled`)
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
}

// While an address is typed the page says which slots are shared, in the words of the checks, and draws them.
func TestSharedSlotsAreTold(t *testing.T) {
	w := writtenHall(t, 2)
	page := openTab(t, w.url+"/rig", 1280, 800)
	page.wait(`document.querySelector('[data-row="front right"]') !== null`)
	if got := value[string](page, `document.querySelector(".clash").textContent`); got != "" {
		t.Errorf("told is %q", got)
	}
	page.js(`(() => { const e = document.querySelector('[data-row="front right"] [data-key="address"]'); e.focus(); e.value = "4"; e.dispatchEvent(new Event("input")); })()`)
	said := value[string](page, `document.querySelector(".clash").textContent`)
	page.js(`document.querySelector(".slotmap").scrollIntoView()`)
	page.picture("slots-shared")
	if n := value[int](page, `document.querySelectorAll(".bar.clash").length`); n != 1 {
		t.Errorf("%d bars stand over others", n)
	}
	page.sets("front right", "address", "4")
	w.holds(t, "rig.yaml", "unit: front right, type: par, address: 4,", true)
	files, faults := show.Read(os.DirFS(w.dir))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s, _ := show.New(t.Context(), files, nil)
	found, err := check.Run(t.Context(), s, check.Options{Only: []string{"address-overlap"}})
	if err != nil {
		t.Fatal(err)
	}
	told := false
	for _, f := range found {
		told = told || f.ID == "address-overlap" && said == f.Text+": "+f.Hint+". "
	}
	if !told {
		t.Errorf("the page says %q, the checks %v", said, found)
	}
}

// A unit is copied, to a free address beside it, and taken out, when it is told what looks lose.
func TestCopyAndTakeOut(t *testing.T) {
	w := writtenHall(t, 2)
	first := w.reads(t, "rig.yaml")
	page := openTab(t, w.url+"/rig", 1280, 800)
	page.wait(`document.querySelector('[data-row="foot"]') !== null`)
	page.js(`document.querySelector('[data-row="foot"] [data-key="copy"]').click()`)
	w.holds(t, "rig.yaml", "  - {unit: foot 2, type: par, address: 47, at: [0.5 m, 0.1 m, 0.1 m], aim: [0 m, 3.8 m, 1.6 m], systems: foot, circuit: left wall}\n", true)
	page.wait(`document.querySelector('[data-row="foot 2"]') !== null`)
	page.js(`document.querySelector('[data-row="foot 2"] [data-key="out"]').click()`)
	page.wait(`!document.querySelector(".asks").hidden`)
	page.js(`document.querySelector('.asks [data-do="out"]').click()`)
	w.holds(t, "rig.yaml", "foot 2", false)
	if got := w.reads(t, "rig.yaml"); got != first {
		t.Errorf("the rig is\n%s", got)
	}
	page.wait(`document.querySelector('[data-row="foot 2"]') === null`)
	page.js(`document.querySelector('[data-row="front left"] [data-key="out"]').click()`)
	page.wait(`!document.querySelector(".asks").hidden && document.querySelector(".asks").textContent.includes("back left is fed through it")`)
	if got := value[string](page, `document.querySelector(".asks ul").textContent`); !strings.Contains(got, "look house to half loses") || !strings.Contains(got, "% of the light on") {
		t.Errorf("told is %q", got)
	}
	page.picture("take-out")
	judge(page)
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('.asks [data-do="out"]').click()`))
	w.holds(t, "rig.yaml", "{unit: back left,   type: par, address: 21, at: [-2 m, 3.6 m, 3.2 m], aim: [-0.5 m, 1.4 m, 0.6 m], systems: back, circuit: left wall}", true)
	page.wait(`document.querySelector('[data-row="front left"]') === null`)
}
