package web

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"lampblack/score/draft"
)

// Drafted cues are gone through by keys, each shown in its place: one is refused, and its moment with
// it; others are taken. All of it is taken back to the first octet.
func TestProposed(t *testing.T) {
	w := writtenHall(t, 2)
	w.put(t, "score.yaml", strings.NewReplacer("why: first stroke", "by: draft, why: first stroke", "why: the moon clears", "by: draft, why: the moon clears").Replace(w.score(t)))
	if err := w.work.Foreign(t.Context(), false); err != nil {
		t.Fatal(err)
	}
	w.work.Settled()
	first := w.score(t)
	w.s.Hears(clickTrack(120))
	page := openTab(t, w.url, 1280, 800)
	says := func(text string) {
		t.Helper()
		page.wait(`document.querySelector(".proposed")?.textContent.includes("` + text + `") === true`)
	}
	says("4 drafted cues")
	page.press(".proposed button")
	says("Draft 1 of 4: cue 3, bell, at 0:31.2")
	page.wait(`document.querySelector(".slip [data-key='cue']")?.value === "3"`)
	says("first stroke of the bell")
	page.wait(`document.querySelector(".rehearsal").classList.contains("plays")`)
	page.picture("proposed")
	key := func(k string) { page.do(chromedp.KeyEvent(k)) }
	key("x")
	says("Draft 1 of 3: cue 5, moonrise, at 0:52.0")
	page.wait(`!document.querySelector(".card[data-cue='3']")`)
	data, err := os.ReadFile(filepath.Join(w.dir, draft.DecisionsFile))
	if err != nil {
		t.Fatal(err)
	}
	if list, faults := draft.ReadDecisions(draft.DecisionsFile, data); faults.Err() != nil || len(list) != 1 || list[0].Verdict != draft.Reject || list[0].Moment.String() != "hit 0:31.200" {
		t.Errorf("it is decided %+v, %v", list, faults)
	}
	key("i")
	says("Draft 2 of 3: cue 7")
	key("u")
	says("Draft 1 of 3: cue 5")
	page.wait(`document.querySelector(".proposed .why") !== null`)
	key("k")
	w.says(t, "lands: completes, by: accepted, why: the moon clears", true)
	says("Draft 1 of 2: cue 7")
	page.press(".proposed .acts button:last-child")
	says("2 drafted cues")
	page.wait(`!document.querySelector(".rehearsal").classList.contains("plays")`)
	page.press(".proposed button:nth-of-type(2)")
	page.wait(`document.querySelector(".proposed").hidden`)
	if n := strings.Count(w.score(t), "by: draft"); n != 0 {
		t.Errorf("%d drafts are left", n)
	}
	for range 3 {
		page.wait(`!document.querySelector(".pencil button").disabled`)
		page.press(".pencil button")
	}
	w.says(t, "by: draft, why: first stroke of the bell", true)
	if w.score(t) != first {
		t.Errorf("taken back, it is\n%s", w.score(t))
	}
	w.until(t, draft.DecisionsFile, func(s string) bool { return s == "" })
	page.clean()
}
