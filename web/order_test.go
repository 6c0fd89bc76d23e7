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

	"lampblack/show"
)

// turned are the pieces of a workbook.
type turned struct {
	w      *workbook
	opened chan string
}

func (p turned) Piece() (string, []show.Turns, bool) { return "", p.w.work.Now().Turns, true }

func (p turned) Open(name string) error {
	p.opened <- name
	return nil
}

const nightOrder = `# the night
order:
  # while they come in
  - {standing: preshow, look: house to half, up: 3 s, usually: 20 min, at most: 35 min}   # doors at seven
  - piece: the tide clock
    standby: doors are shut
  - {standing: bows, look: dawn, up: 1.5 s, usually: 40 s, at most: 2 min}
`

// text is a text of the workbook's folder, "" for none.
func (w *workbook) text(name string) string {
	data, _ := os.ReadFile(filepath.Join(w.dir, name))
	return string(data)
}

// until waits until a text of the folder is as it is wanted.
func (w *workbook) until(t *testing.T, name string, is func(string) bool) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); !is(w.text(name)); {
		if time.Now().After(end) {
			t.Fatalf("%s is\n%s", name, w.text(name))
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// The order of an evening is made, changed and put into another order on its page, by hand and by keys;
// comments stay, and all of it is taken back to the first octet.
func TestOrder(t *testing.T) {
	w := writtenHall(t, 2)
	p := turned{w, make(chan string, 1)}
	w.s.Pieces(p)
	page := openTab(t, w.url+"/order", 1280, 800)
	page.wait(`document.querySelector("main").textContent.includes("This show is one piece")`)
	page.press("main .chapter div button")
	w.until(t, "order.yaml", func(s string) bool { return strings.Contains(s, "standing: preshow") })
	page.wait(`document.querySelectorAll(".order li").length === 2`)
	page.press(".pencil button")
	w.until(t, "order.yaml", func(s string) bool { return s == "" })

	w.put(t, "order.yaml", nightOrder)
	if err := w.work.Foreign(t.Context(), false); err != nil {
		t.Fatal(err)
	}
	row := func(name string) string {
		return fmt.Sprintf(`[...document.querySelectorAll(".order li")].find((r) => r.querySelector(".named").value === %q)`, name)
	}
	names := func(want ...string) {
		t.Helper()
		page.wait(fmt.Sprintf(`[...document.querySelectorAll(".order .named")].map((e) => e.value).join() === %q`, strings.Join(want, ",")))
	}
	names("preshow", "the tide clock", "bows")
	if got := value[[]string](page, `[...document.querySelectorAll(".order time, .ends time")].map((e) => e.textContent)`); fmt.Sprint(got) != "[0:00 20:00 22:00 22:40]" {
		t.Errorf("the steps usually begin at %v", got)
	}
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const e = document.querySelector("input[type=time]"); e.value = "19:30"; e.dispatchEvent(new Event("change")); })()`))
	page.wait(`document.querySelector(".ends time").textContent === "19:52:40"`)
	page.picture("order")

	set := func(name, key, text string) {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const e = %s.querySelector('[data-is^=%q]'); e.value = %q; e.dispatchEvent(new Event("change")); })()`, row(name), key+" ", text)))
	}
	set("preshow", "usually", "25 min")
	w.until(t, "order.yaml", func(s string) bool {
		return strings.Contains(s, "usually: 25 min, at most: 35 min}   # doors at seven")
	})
	page.wait(`document.querySelector(".ends time").textContent === "19:57:40"`)
	set("preshow", "look", "dusk")
	w.until(t, "order.yaml", func(s string) bool { return strings.Contains(s, "look: dusk, up") })
	set("bows", "usually", "soon")
	page.wait(`document.querySelector(".pencil .wrong") !== null`)
	if strings.Contains(w.text("order.yaml"), "soon") {
		t.Error("what is no time is written")
	}
	page.do(chromedp.Evaluate[chromedp.Void](row("bows")+`.querySelector(".grip").focus()`), chromedp.KeyEvent(kb.ArrowUp))
	names("preshow", "bows", "the tide clock")
	page.do(chromedp.KeyEvent(kb.ArrowDown)) // the grip has the focus still
	names("preshow", "the tide clock", "bows")
	// The first is carried to the end; what is let go by Escape stays.
	hand := func(kind, on string, y string) {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const r = document.querySelector(".order").getBoundingClientRect(); (%s).dispatchEvent(new PointerEvent(%q, {bubbles: true, button: 0, clientX: r.left + 100, clientY: %s})); })()`, on, kind, y)))
	}
	was := w.text("order.yaml")
	hand("pointerdown", row("preshow")+`.querySelector(".grip")`, "r.top + 5")
	hand("pointermove", "window", "r.bottom - 3")
	page.wait(`document.querySelector(".order .behind") !== null`)
	page.do(chromedp.KeyEvent(kb.Escape))
	hand("pointerup", "window", "r.bottom - 3")
	if w.text("order.yaml") != was {
		t.Error("what was let go is written")
	}
	hand("pointerdown", row("preshow")+`.querySelector(".grip")`, "r.top + 5")
	hand("pointermove", "window", "r.bottom - 3")
	hand("pointerup", "window", "r.bottom - 3")
	names("the tide clock", "bows", "preshow")
	w.until(t, "order.yaml", func(s string) bool {
		return strings.HasSuffix(s, "at most: 35 min}   # doors at seven\n") && strings.Contains(s, "# while they come in\n  - piece")
	})

	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const n = document.querySelector(".adds input"); n.value = "Encore, slow"; [...document.querySelectorAll(".adds button")].at(-1).click(); })()`))
	w.until(t, "pieces/encore-slow.yaml", func(s string) bool { return strings.Contains(s, "- {cue: 1, at: 0:00, look: house to half}") })
	names("the tide clock", "bows", "preshow", "Encore, slow")
	page.cleanBut("/api/change")
	page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void [...%s.querySelectorAll("button")].find((b) => b.textContent.startsWith("Open")).click()`, row("Encore, slow"))))
	if got := <-p.opened; got != "Encore, slow" {
		t.Errorf("it opens %q", got)
	}
	for w.text("order.yaml") != nightOrder {
		if _, err := w.work.Undo(t.Context(), "test"); err != nil {
			t.Fatalf("%v; it is\n%s", err, w.text("order.yaml"))
		}
	}
	if w.text("pieces/encore-slow.yaml") != "" {
		t.Error("the cues of the piece stay")
	}
}
