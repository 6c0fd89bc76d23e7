package web

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lampblack/check/finding"
	"lampblack/show"
)

// The long show: three hours of two thousand cues, of the example's rig, room and looks, with
// the sound that nobody made.
const (
	longMinutes = 180
	longCues    = 2000
)

var longShow = sync.OnceValues(func() (*show.Show, error) {
	dir, example := fstest.MapFS{}, os.DirFS("../demo/show")
	err := fs.WalkDir(example, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".yaml") || name == "desk.yaml" || name == "draft.yaml" {
			return err
		}
		data, err := fs.ReadFile(example, name)
		dir[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		return nil, err
	}
	dir["score.yaml"].Data = longScore(string(dir["score.yaml"].Data))
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	s, faults := show.New(context.Background(), f, hallTrack(longMinutes))
	return s, faults.Err()
})

// longScore takes the looks of a score, each in turn for a cue.
func longScore(text string) []byte {
	looks := text[strings.Index(text, "\nlooks:"):strings.Index(text, "\ncues:")]
	var names []string
	for line := range strings.Lines(looks[len("\nlooks:\n"):]) {
		if !strings.HasPrefix(line, " ") && strings.TrimSpace(line) != "" {
			break // what else stands before the cues
		}
		if name, ok := strings.CutSuffix(strings.TrimSpace(line), ":"); ok && strings.HasPrefix(line, "  ") && !strings.HasPrefix(line, "   ") {
			names = append(names, name)
		}
	}
	var b strings.Builder
	b.WriteString(looks + "\ncues:\n")
	for i := range longCues {
		how := "up: 1.5 s, down: 2 s, lands: starts"
		if i%3 == 2 {
			how = "up: 0.2 s, hold: 0.3 s, returns: 1.2 s, lands: peaks"
		}
		fmt.Fprintf(&b, "  - {cue: %d, at: %s, look: %s, %s, why: \"page %d of the book, line %d\"}\n", i+1, clockText(float64(i)*60*longMinutes/longCues), names[i%len(names)], how, i/40+1, i%40+1)
	}
	return []byte(b.String())
}

// longFindings are remarks all along.
func longFindings() []finding.Finding {
	var out []finding.Finding
	for i := range 600 {
		at := float64(i) * 18
		out = append(out, finding.Finding{ID: "landing", Severity: []finding.Severity{finding.Note, finding.Warn, finding.Note, finding.Stop}[i%4], Text: fmt.Sprintf("cue %d peaks 80 ms after its hit", i*3+1), Value: 80, Limit: 45, Unit: "ms",
			From: at, To: at + 2, Place: fmt.Sprintf("cue %d", i*3+1), Source: "common practice", Hint: "have it land 80 ms earlier"})
	}
	return append(out, hallFindings()...)
}

func longServer(t testing.TB) (*Server, string) {
	t.Helper()
	s, err := longShow()
	if err != nil {
		t.Fatal(err)
	}
	server, err := New(Options{Gate: ownGate(), Show: s, Findings: longFindings()})
	if err != nil {
		t.Fatal(err)
	}
	return server, serve(t, server)
}

// asked is how many requests of a page went to an address.
func asked(page *tab, path string) int {
	page.Helper()
	return value[int](page, `performance.getEntriesByType("resource").filter((e) => e.name.includes("`+path+`")).length`)
}

// The book of three hours is sent names and times, and of all else what is near the window.
func TestLongBookIsSentInSpans(t *testing.T) {
	_, url := longServer(t)
	page := openTab(t, url, 1280, 800)
	page.wait(`document.querySelector('[data-leaf="0"]')?.dataset.is === "whole" && document.querySelector(".pane canvas").dataset.drawn === "yes"`)
	if kB := value[float64](page, `performance.getEntriesByType("resource").filter((e) => e.name.includes("/api/") && !e.name.includes("/picture")).reduce((n, e) => n + e.decodedBodySize, 0) / 1000`); kB > 300 {
		t.Errorf("%.0f kB were sent until the first picture, want 300 at most", kB)
	}
	if kB := value[float64](page, `performance.getEntriesByType("resource").filter((e) => e.name.includes("/api/show")).reduce((n, e) => n + e.encodedBodySize, 0) / 1000`); kB > 60 {
		t.Errorf("what is first sent takes %.0f kB on the wire", kB)
	}
	if n := asked(page, "/api/span"); n > 4 {
		t.Errorf("%d spans were asked for at once", n)
	}
	for _, leaf := range []int{179, 90, 91, 0} {
		turnTo(page, leaf)
		if n := value[int](page, `document.querySelectorAll(".leaf").length`); n > 6 {
			t.Errorf("at leaf %d there are %d leaves in the document", leaf, n)
		}
		if n := value[int](page, `document.querySelectorAll("*").length`); n > 3000 {
			t.Errorf("at leaf %d there are %d elements in the document", leaf, n)
		}
	}
	spans, light := asked(page, "/api/span"), asked(page, "/api/light")
	turnTo(page, 90)
	if asked(page, "/api/span") != spans || asked(page, "/api/light") != light {
		t.Error("a minute that was read is asked for again")
	}
	page.clean()
}

// A reader gets anywhere by the list of cues, by keys and by a moment of the sound.
func TestJumps(t *testing.T) {
	_, url := longServer(t)
	page := openTab(t, url, 1280, 800)
	if n := value[int](page, `document.querySelectorAll(".turning button").length`); n != 0 {
		t.Errorf("%d cues are listed before anybody asks", n)
	}
	page.do(chromedp.Evaluate[chromedp.Void](`{ const d = document.querySelector(".turning"); d.open = true; d.querySelectorAll("details")[8].open = true; }`))
	page.wait(`document.querySelector('.turning [data-to="1400"]') !== null`)
	page.press(`.turning [data-to="1400"]`)
	inView := func(cue string) string {
		return fmt.Sprintf(`(() => { const c = document.querySelector('.card[data-cue="%s"]'), r = c?.getBoundingClientRect(); return !!r && r.top > 0 && r.bottom < innerHeight; })()`, cue)
	}
	page.wait(inView("1400") + ` && document.querySelector('.card[data-cue="1400"]').classList.contains("current")`)
	page.picture("long-jump")
	page.do(chromedp.Focus(chromedp.CSS(".rule")), chromedp.KeyEvent(kb.End))
	page.wait(inView("2000"))
	page.do(chromedp.KeyEvent(kb.Home))
	page.wait(inView("1"))
	at := value[string](page, `(() => { const m = document.querySelector(".leaf .moment.hit"); m.dispatchEvent(new MouseEvent("click", { bubbles: true })); return m.dataset.at; })()`)
	page.wait(fmt.Sprintf(`Math.abs(parseFloat(document.querySelector(".thread time").textContent.split(":")[1]) - %s %% 60) <= 0.051`, at))
	page.clean()
}

// A minute that is on its way stands by its cues' names, and says what is coming; one that does not
// arrive says so, and can be asked for again.
func TestLeafOnItsWay(t *testing.T) {
	_, url := longServer(t)
	page := openTab(t, url, 1280, 800)
	page.wait(`document.querySelector('[data-leaf="0"]')?.dataset.is === "whole"`)
	page.do(chromedp.Evaluate[chromedp.Void](`{ const real = window.fetch, away = []; window.fail = () => { for (const no of away) no(new Error("away")); }; window.fetch = (...a) => String(a[0]).includes("/api/span") ? new Promise((_, no) => { away.push(no); }) : real(...a); }`),
		chromedp.Evaluate[chromedp.Void](`void scrollTo(0, document.querySelector(".leaves").getBoundingClientRect().top + scrollY + 60 * 720)`))
	page.wait(`document.querySelector('[data-leaf="60"] .sketch')?.textContent.startsWith("668 ")`)
	page.wait(`document.querySelector('[data-leaf="60"] .waits').textContent === "1:00:00: sound, light and remarks of this minute are on their way"`)
	page.picture("long-sketch")
	page.do(chromedp.Evaluate[chromedp.Void](`window.fail()`))
	page.wait(`document.querySelector(".waits button")?.textContent === "ask again"`)
	page.clean()
}

// The playhead keeps its place in a window that is scrolled, and the picture follows it.
func TestPictureFollowsTheScroll(t *testing.T) {
	_, url := longServer(t)
	page := openTab(t, url, 1280, 800)
	page.wait(`document.querySelector(".pane canvas").dataset.drawn === "yes"`)
	turnTo(page, 30)
	page.wait(`document.querySelector(".thread time").textContent.startsWith("30:")`)
	page.wait(`(() => { const y = document.querySelector(".thread").getBoundingClientRect().top; return y > 0 && y < innerHeight; })()`)
	page.wait(`(() => { const [m, s] = document.querySelector(".thread time").textContent.split(":").map(Number);
		const last = performance.getEntriesByType("resource").filter((e) => e.name.includes("/api/picture")).at(-1);
		return Math.abs(new URL(last.name).searchParams.get("at") - (60 * m + s)) < 0.11 && document.querySelector(".values td") !== null; })()`)
	page.clean()
}
