package web

import (
	"context"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/show"
)

// checked is a hall with a fade that the next cue cuts off, its pages, and real checks.
func checked(t *testing.T) *workbook {
	t.Helper()
	w := writtenHall(t, 2)
	w.checks = func(ctx context.Context, s *show.Show) ([]finding.Finding, error) {
		return check.Run(ctx, s, check.Options{})
	}
	w.put(t, "score.yaml", strings.NewReplacer("up: 8 s,", "up: 60 s,", "nobody on stage\"}", "nobody on stage\"}   # as the sea comes").Replace(w.score(t)))
	if err := w.work.Foreign(t.Context(), false); err != nil {
		t.Fatal(err)
	}
	w.work.Settled()
	return w
}

// What is wrong is put right where it is told: a change is looked for, shown with what it costs, made
// and taken back; and a person answers for what stays.
func TestRemedies(t *testing.T) {
	w := checked(t)
	before := w.score(t)
	page := openTab(t, w.url+"/checks", 1280, 800)
	page.wait(`document.querySelector('[data-finding="fade-cut"]') !== null`)
	for value[bool](page, `document.querySelector(".findings .more") !== null`) {
		page.press(`.findings .more`)
	}
	entry := `document.querySelector('[data-finding="fade-cut"]').closest("li")`
	do := func(words string) {
		t.Helper()
		b := fmt.Sprintf(`[...%s.querySelectorAll("button")].find((b) => b.textContent === %q)`, entry, words)
		page.wait(b + ` !== undefined`)
		page.do(chromedp.Evaluate[chromedp.Void](`void ` + b + `.click()`))
	}
	do("See it")
	page.wait(entry + `.querySelector("canvas[data-drawn]") !== null`)
	do("Find a change that helps")
	page.wait(entry + `.querySelector(".cure .what") !== null`)
	page.picture("remedy")
	page.whole("remedy")
	if got := value[string](page, entry+`.querySelector(".cure .what").textContent`); got != "cue 2: its fade takes 30 s, as long as there is. It costs 3 % of the cues." {
		t.Errorf("it proposes %q", got)
	}
	if w.score(t) != before {
		t.Error("something was written before anybody agreed")
	}
	do("Make this change")
	w.says(t, `up: 30 s, down: 4 s, why: "surf alone, nobody on stage"}   # as the sea comes`, true)
	page.wait(`!document.querySelector('[data-finding="fade-cut"]')`)
	page.press(".pencil button:first-child")
	w.says(t, "up: 60 s", true)
	if w.score(t) != before {
		t.Error("it was not taken back to the first octet")
	}
	page.wait(`document.querySelector('[data-finding="fade-cut"]') !== null`)

	do("Answer for it")
	page.wait(entry + `.querySelector(".signing") !== null`)
	page.whole("signing")
	sign := func(person, reason string) {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const f = %s.querySelector(".signing"); f.person.value = %q; f.reason.value = %q; f.requestSubmit(); })()`, entry, person, reason)))
	}
	sign("A. Keeper", " ")
	page.wait(entry + `.querySelector(".signing .wrong").textContent !== ""`)
	sign("A. Keeper", "it is meant: the sea never arrives")
	page.wait(`document.querySelector('[data-finding="fade-cut"]')?.textContent.includes("stet: signed by A. Keeper") === true`)
	bill, err := os.ReadFile(filepath.Join(w.dir, "show.yaml"))
	if err != nil || !strings.Contains(string(bill), "finding: fade-cut, place: cue 2, person: A. Keeper, date: "+time.Now().Format(time.DateOnly)+", reason: \"it is meant: the sea never arrives\"") {
		t.Errorf("the bill says %s, %v", bill, err)
	}
	page.clean()
	page.whole("signed")
}

// A link leads from a finding to the cue that it is about, opened.
func TestWayToACue(t *testing.T) {
	w := writtenHall(t, 2)
	page := openTab(t, w.url+"/?cue=4", 1280, 800)
	page.wait(`document.querySelector('.slip [data-key="cue"]')?.value === "4"`)
	page.wait(`(() => { const b = document.querySelector(".card[data-cue='4']")?.getBoundingClientRect(); return b && b.top > 0 && b.bottom < innerHeight; })()`)
	page.clean()
}

// What was seen before the show changed is nothing to act on; nor are proposals that nobody made.
func TestRemedyRefused(t *testing.T) {
	w := checked(t)
	ask := func(path, body string) string {
		t.Helper()
		q := httptest.NewRequest("POST", "http://localhost"+path, strings.NewReader(body))
		q.Header.Set("Authorization", "Bearer "+ownKey)
		r := askRequest(w.s, q)
		return fmt.Sprintf("%d %s", r.Code, strings.TrimSpace(r.Body.String()))
	}
	now, _ := w.s.book.get()
	list := checksOf(now.book, true).Entries
	var cut Remark
	for _, r := range list {
		if r.Finding.ID == "fade-cut" {
			cut = r
		}
	}
	if !cut.Mends || !cut.Signs {
		t.Fatalf("the fade is %+v", cut)
	}
	for _, c := range [][3]string{
		{"/api/cure", `{"mark": "000000000000"}`, "422 the show changed since you looked"},
		{"/api/cured", `{"mark": "` + cut.Mark + `"}`, "422 the show changed since you looked"},
		{"/api/sign", `{"mark": "` + cut.Mark + `", "person": " ", "reason": "x"}`, "422 a signature has a name and a reason"},
		{"/api/sign", `[]`, "400 the order cannot be read"},
	} {
		if got := ask(c[0], c[1]); !strings.HasPrefix(got, c[2]) {
			t.Errorf("%s %s answers %q", c[0], c[1], got)
		}
	}
	if got := ask("/api/cure", `{"mark": "`+cut.Mark+`"}`); !strings.HasPrefix(got, "200 {") || !strings.Contains(got, `"what":"cue 2: its fade takes 30 s`) {
		t.Fatalf("the cure is %s", got)
	}
	// Somebody writes the file: what was proposed is not written over it.
	w.put(t, "score.yaml", strings.Replace(w.score(t), "why: doors", "why: doors open", 1))
	if err := w.work.Foreign(t.Context(), false); err != nil {
		t.Fatal(err)
	}
	w.work.Settled()
	if got := ask("/api/cured", `{"mark": "`+cut.Mark+`"}`); !strings.HasPrefix(got, "422 the show changed since") {
		t.Errorf("an old proposal: %s", got)
	}
}
