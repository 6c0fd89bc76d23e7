package web

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// What stands in the room is dragged whole and by its corners, walls too, and typed; comments stay, and all of it is taken
// back to the first octet.
func TestRoomIsDragged(t *testing.T) {
	w := writtenHall(t, 2)
	w.put(t, "room.yaml", strings.Replace(w.reads(t, "room.yaml"), "objects:\n", "boxes:\n  table: {centre: [1 m, 1 m, 0.4 m], size: [1 m, 0.6 m, 0.8 m], material: dark wood}   # of the prompter\npaths:\n  way: {points: [[-2 m, -1 m, 0 m], [2 m, -1 m, 0 m]], width: 1 m}\nobjects:\n", 1))
	if err := w.work.Foreign(t.Context(), false); err != nil {
		t.Fatal(err)
	}
	w.work.Settled()
	first := w.reads(t, "room.yaml")
	page := openTab(t, w.url+"/room", 1280, 800)
	page.wait(`document.querySelector('.setting [data-thing="boxes table"]') !== null && document.querySelector(".setting canvas").dataset.drawn === "yes"`)
	page.js(`(window.same = true, document.querySelector(".setting").scrollIntoView())`)
	plan := `.setting figure:nth-child(1) `
	choose := func(what string) {
		page.js(`(() => { const s = document.querySelector('select[aria-label="what stands in the room"]'); s.value = %q; s.dispatchEvent(new Event("change")); })()`, what)
		page.wait(`document.querySelector('.setting [data-hold]') !== null`)
	}
	drag := func(selector string, right, up float64) {
		page.grab(selector)
		page.carry(right/2, up/2, "{altKey: true}")
		page.carry(right, up, "{altKey: true}")
	}
	edits := 0
	wrote := func(want string) {
		t.Helper()
		page.drop()
		w.holds(t, "room.yaml", want, true)
		edits++
	}
	choose("boxes table")
	drag(plan+`[data-hold="all of it"]`, .4, .3)
	page.wait(`!document.querySelector(".setting .early").hidden`)
	page.whole("room-dragged")
	if got := w.reads(t, "room.yaml"); got != first {
		t.Error("it is written while it is dragged")
	}
	wrote("table: {centre: [1.4 m, 1.3 m, 0.4 m], size: [1 m, 0.6 m, 0.8 m], material: dark wood}   # of the prompter")
	drag(plan+`[data-hold="corner 3"]`, .5, .2)
	wrote("table: {centre: [1.65 m, 1.4 m, 0.4 m], size: [1.5 m, 0.8 m, 0.8 m]")
	choose("surfaces backdrop")
	drag(plan+`[data-hold="its right end"]`, -1, -.5) // a fourth of a right angle or so
	wrote("backdrop: {material: black cloth, centre: [-0.5 m, 3.75 m, 1.6 m], width: 5.025 m, height: 3.2 m, faces: [-0.0995 m, -0.995 m, 0 m]}")
	choose("paths way")
	drag(plan+`[data-hold="point 2"]`, 0, -.5)
	wrote("[[-2 m, -1 m, 0 m], [2 m, -1.5 m, 0 m]]")
	choose("audience 1")
	drag(plan+`[data-hold="all of it"]`, 0, -.25)
	wrote("front row left, at: [-2.5 m, -1.85 m, 1 m]")
	drag(plan+`[data-hold="wall behind the stage"]`, 0, 1)
	wrote("size: [9 m, 15 m, 4 m]")
	page.wait(`document.querySelector(".setting .working").textContent === ""`)
	// By keys, and typed; what leaves the room is refused.
	choose("objects moon")
	page.js(`document.querySelector(%q).focus()`, plan+`[data-hold="all of it"]`)
	page.do(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowUp), chromedp.KeyEvent(kb.Enter))
	w.holds(t, "room.yaml", "centre: [-1.1 m, 2.7 m, 2.1 m]", true)
	edits++
	page.wait(`document.querySelector(".setting .working").textContent === ""`)
	was := w.reads(t, "room.yaml")
	page.js(`(() => { const e = document.querySelector('.setting input[aria-label="up"]'); e.focus(); e.value = "12 m"; e.dispatchEvent(new Event("change")); })()`)
	page.wait(`document.querySelector(".setting .wrong").textContent !== ""`)
	if got := w.reads(t, "room.yaml"); got != was {
		t.Errorf("a moon over the roof was written: %s", got)
	}
	page.picture("room-refused")
	if !value[bool](page, `window.same === true`) {
		t.Error("the page was loaded again")
	}
	for range edits {
		now := w.reads(t, "room.yaml")
		page.wait(`!document.querySelector('.pencil button').disabled`)
		page.js(`document.querySelector('.pencil button').click()`)
		for end := time.Now().Add(20 * time.Second); w.reads(t, "room.yaml") == now && time.Now().Before(end); {
			time.Sleep(20 * time.Millisecond)
		}
		page.wait(`document.querySelector('.pencil span').textContent.startsWith("taken back")`)
	}
	if got := w.reads(t, "room.yaml"); got != first {
		t.Errorf("undo came to\n%s", got)
	}
	judge(page)
}
