package web

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lampblack/check/finding"
	"lampblack/demo"
	"lampblack/editing"
	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/show"
	"lampblack/soundtrack"
)

// workbook is a hall whose files lie in a folder, and whose pages write there.
type workbook struct {
	dir  string
	work *editing.Work
	s    *Server
	url  string
	// checks are what the show is checked by; nil for three findings that stay.
	checks func(context.Context, *show.Show) ([]finding.Finding, error)
}

func writtenHall(t testing.TB, minutes int) *workbook {
	t.Helper()
	w := &workbook{dir: t.TempDir()}
	for name, text := range hall {
		w.put(t, name, strings.ReplaceAll(text, "PAINT", paint()))
	}
	w.put(t, "score.yaml", hallScore(minutes))
	w.serve(t, openHall(t, minutes), hallTrack(minutes))
	return w
}

// serve serves the show of the folder, worked out from what it was before.
func (w *workbook) serve(t testing.TB, from *show.Show, track *soundtrack.Track) {
	t.Helper()
	solve := func(ctx context.Context, over map[string][]byte, from *editing.Solved, quick bool) (*editing.Solved, error) {
		files, faults := show.Read(&folder.Laid{FS: os.DirFS(w.dir), Texts: over})
		out := &editing.Solved{Files: files, Faults: faults}
		if faults.Err() != nil || quick && !from.Base.SameLight(files) {
			return out, nil
		}
		s, more := from.Base.Again(ctx, files, track)
		if out.Faults = append(faults, more...); more.Err() == nil {
			out.Base, out.Shown = s, s
		}
		if o := files.Order; o != nil && !o.Implied() && out.Shown != nil {
			e, _ := s.Evening(o, nil)
			out.Turns = []show.Turns{{File: show.OrderFile, Steps: e.Turns(false)}}
		}
		out.Check = func(ctx context.Context) ([]finding.Finding, error) {
			if w.checks != nil {
				return w.checks(ctx, s)
			}
			return hallFindings()[:3], nil
		}
		return out, nil
	}
	files, faults := show.Read(os.DirFS(w.dir))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	first, _ := from.Again(t.Context(), files, track)
	var err error
	if w.s, err = New(Options{Gate: ownGate(), Show: first, Findings: hallFindings()}); err != nil {
		t.Fatal(err)
	}
	w.work = editing.New(editing.Options{Dir: w.dir, Solve: solve, Changed: func(s *editing.Solved, found []finding.Finding, stale bool) { w.s.Renew(s.Shown, found, stale) }},
		&editing.Solved{Files: files, Base: first, Shown: first}, hallFindings())
	t.Cleanup(w.work.Close)
	if _, err := ledger.Note(t.Context(), w.dir, "start", ""); err != nil {
		t.Fatal(err)
	}
	w.s.Writes(w.work)
	w.url = serve(t, w.s)
}

func (w *workbook) put(t testing.TB, name, text string) {
	t.Helper()
	path := filepath.Join(w.dir, name)
	err := os.MkdirAll(filepath.Dir(path), 0o755)
	if err == nil {
		err = os.WriteFile(path, []byte(text), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func (w *workbook) score(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(w.dir, "score.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// says waits until the score has a text, or has it no more.
func (w *workbook) says(t testing.TB, text string, has bool) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); strings.Contains(w.score(t), text) != has; {
		if time.Now().After(end) {
			t.Fatalf("the score has %q: %v; it is\n%s", text, !has, w.score(t))
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// A cue is changed on the page: field by field, and what cannot be is said beside it. All of it
// is taken back to the first octet.
func TestSlip(t *testing.T) {
	w := writtenHall(t, 2)
	first := w.score(t)
	page := openTab(t, w.url, 1280, 800)
	page.wait(`document.querySelector('.card[data-cue="2"]') !== null`)
	page.do(chromedp.Click(`.card[data-cue="2"]`))
	page.wait(`document.querySelector('.slip [data-key="up"]') !== null`)
	if got := value[string](page, `document.querySelector('.slip [data-key="when"]').value`); got != "0:08" {
		t.Errorf("the slip says that it is at %q", got)
	}
	page.picture("slip")
	type in struct{ key, text, want string }
	for _, c := range []in{
		{"up", "5", "up: 5 s"}, {"delay", "250 ms", "delay: 250 ms"}, {"why", "surf, and a gull", `why: "surf, and a gull"`},
		{"when", "0:09.500", "at: 0:09.500"}, {"when", "hit 0:31.2", "on: hit 0:31.2"},
	} {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const e = document.querySelector('.slip [data-key="%s"]'); e.focus(); e.value = %q; e.dispatchEvent(new Event("change")); })()`, c.key, c.text)))
		w.says(t, c.want, true)
	}
	if strings.Contains(strings.Split(w.score(t), "\n")[14], "at: 0:09") {
		t.Errorf("the cue has its time and a moment:\n%s", w.score(t))
	}
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const e = document.querySelector('.slip [data-key="up"]'); e.focus(); e.value = "soon"; e.dispatchEvent(new Event("change")); })()`))
	page.wait(`document.querySelector('.slip .wrong').textContent !== ""`)
	if got := value[string](page, `document.querySelector('.slip [data-key="up"]').getAttribute("aria-invalid") + document.querySelector('.slip .wrong').textContent`); !strings.HasPrefix(got, "true") || !strings.Contains(got, "soon") {
		t.Errorf("a time that is none is told as %q", got)
	}
	page.picture("slip-wrong")
	for range 5 {
		was := w.score(t)
		page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('.pencil button').click()`))
		for end := time.Now().Add(20 * time.Second); w.score(t) == was && time.Now().Before(end); {
			time.Sleep(20 * time.Millisecond)
		}
		page.wait(`document.querySelector('.pencil span').textContent.startsWith("taken back")`)
	}
	if got := w.score(t); got != first {
		t.Errorf("undo came to\n%s", got)
	}
	judge(page)
}

// A cue is made where the playhead is, moved, copied and taken out by keys alone; the page goes
// over to each without loading again.
func TestCueByKeys(t *testing.T) {
	w := writtenHall(t, 2)
	page := openTab(t, w.url, 1280, 800)
	page.wait(`document.querySelector('.card[data-cue="2"]') !== null`)
	page.do(chromedp.Evaluate[chromedp.Void](`void (window.same = true, document.querySelector(".rule").focus())`))
	page.do(chromedp.KeyEvent(kb.Home), chromedp.KeyEvent("n"), chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent("c"))
	w.says(t, "  - {cue: 2.5, at: 0:09.000, look: dusk, up: 2 s}\n", true)
	page.wait(`document.querySelector('.slip .number')?.value === "2.5"`)
	page.wait(`document.activeElement?.dataset.key === "when"`)
	page.wait(`document.querySelector('.card[data-cue="2.5"]') !== null`)
	page.picture("new-cue")
	page.do(chromedp.KeyEvent(kb.Escape))
	if !value[bool](page, `document.querySelector(".slip").hidden && window.same === true`) {
		t.Error("the slip is open, or the page was loaded again")
	}
	page.do(chromedp.Evaluate[chromedp.Void](`void [...document.querySelectorAll(".pencil button")][0].click()`))
	w.says(t, "cue: 2.5", false)
	page.wait(`document.querySelector('.card[data-cue="2.5"]') === null`)
	page.clean()
}

// Two pages and an editor: each sees what the others wrote, a field that somebody changed
// meanwhile is not written over, and what the editor wrote is taken back as one.
func TestTwoPages(t *testing.T) {
	w := writtenHall(t, 2)
	one, two := openTab(t, w.url, 1280, 800), openTab(t, w.url, 1280, 800)
	for _, page := range []*tab{one, two} {
		page.wait(`document.querySelector('.card[data-cue="2"]') !== null`)
		page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('.card[data-cue="2"]').click()`))
		page.wait(`document.querySelector('.slip [data-key="up"]') !== null`)
	}
	set := func(p *tab, key, text string) {
		p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const e = document.querySelector('.slip [data-key="%s"]'); e.focus(); e.value = %q; e.dispatchEvent(new Event("change")); })()`, key, text)))
	}
	// The second page types into the field that the first then changes.
	two.do(chromedp.Evaluate[chromedp.Void](`void (() => { const e = document.querySelector('.slip [data-key="up"]'); e.focus(); e.value = "7 s"; })()`))
	set(one, "up", "6 s")
	w.says(t, "up: 6 s", true)
	two.wait(`document.querySelector('.card[data-cue="2"] .how').textContent.includes("6 s")`)
	if got := value[string](two, `document.querySelector('.slip [data-key="up"]').value`); got != "7 s" {
		t.Errorf("what is typed became %q", got)
	}
	// An editor writes, and the pages show it.
	w.put(t, "score.yaml", strings.Replace(w.score(t), "look: bell, up: 0.1 s", "look: bell, up: 0.3 s", 1))
	if err := w.work.Foreign(t.Context(), false); err != nil {
		t.Fatal(err)
	}
	for _, page := range []*tab{one, two} {
		page.wait(`document.querySelector('.card[data-cue="3"] .how').textContent.includes("up 0.3 s")`)
		page.wait(`document.querySelector('.pencil button').title.includes("by another program")`)
	}
	one.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('.pencil button').click()`))
	w.says(t, "look: bell, up: 0.1 s", true)
	w.says(t, "up: 6 s", true)
	one.clean()
	two.clean()
}

// What a page asks to be written is refused with a status that says why.
func TestWriterAnswers(t *testing.T) {
	w := writtenHall(t, 2)
	for _, c := range []struct {
		body   string
		status int
		text   string
	}{
		{`{"changes":[{"file":"score.yaml","do":"set","at":["cues",{"cue":"2"},"up"],"was":"1 s","to":"2 s"}]}`, 409, "cue 2, up is 8 s by now"},
		{`{"changes":[{"file":"score.yaml","do":"set","at":["cues",{"cue":"2"},"look"],"to":"duks"}]}`, 422, `did you mean "dusk"`},
		{`{"changes":[{"file":"../score.yaml","do":"set","at":["cues"],"to":"x"}]}`, 409, "not there any more"},
		{`{"changes":[]}`, 422, "1 to"},
		{`{"changes":[{"file":"score.yaml","do":"set","at":[{"a":1}],"to":"x"}]}`, 400, "cannot be read"},
		{`nonsense`, 400, "cannot be read"},
		{`{"changes":[{"file":"score.yaml","do":"set","at":["cues",{"cue":"2"},"up"],"to":"9 s"}]}`, 200, "cue 2, up: 9 s (was 8 s)"},
	} {
		status, text := askOwn(t, http.MethodPost, w.url+"/api/change", c.body)
		if status != c.status || !strings.Contains(text, c.text) {
			t.Errorf("%s: %d %s", c.body, status, text)
		}
	}
	for path, want := range map[string]string{
		"/api/written?file=score.yaml&at=" + `%5B%22cues%22%2C%7B%22cue%22%3A%223%22%7D%2C%22on%22%5D`: `"hit 0:31.20"`,
		"/api/written?file=none.yaml": "null", "/api/edits": `"what":"cue 2, up: 9 s (was 8 s)"`,
	} {
		if status, text := askOwn(t, http.MethodGet, w.url+path, ""); status != 200 || !strings.Contains(text, want) {
			t.Errorf("%s: %d %s", path, status, text)
		}
	}
}

// askOwn asks as the user of this computer does.
func askOwn(t *testing.T, method, url, body string) (status int, text string) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, url, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Authorization", "Bearer "+ownKey)
	return send(t, r)
}

// A look is changed by eye: what moves under the hand is in the picture before anything is
// written, and written when it is let go.
func TestLookByEye(t *testing.T) {
	w := writtenHall(t, 2)
	page := openTab(t, w.url+"/looks", 1280, 800)
	page.do(chromedp.Evaluate[chromedp.Void](`void (window.same = true, document.querySelector('[data-look="dusk"] .change').click())`))
	page.wait(`document.querySelector('[data-look="dusk"] .lookslip input[data-at="0 level"]') !== null`)
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('[data-look="dusk"]').scrollIntoView()`))
	page.wait(`document.querySelector('[data-look="dusk"] canvas').dataset.drawn === "yes"`)
	page.picture("look-by-eye")
	// red is how much of the picture's light is red.
	const red = `(() => { const c = document.createElement("canvas"), g = c.getContext("2d", {willReadFrequently: true}); c.width = 32; c.height = 18; g.drawImage(document.querySelector('[data-look="dusk"] canvas'), 0, 0, 32, 18); const d = g.getImageData(0, 0, 32, 18).data, s = [0, 0, 0]; for (let i = 0; i < d.length; i++) if (i % 4 < 3) s[i % 4] += d[i]; return s[0] / (s[0] + s[1] + s[2]); })()`
	first, was := w.score(t), value[float64](page, red)
	slide := func(at, event string, to float64) {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const e = document.querySelector('[data-look="dusk"] [data-at="%s"]'); e.value = %g; e.dispatchEvent(new Event("%s")); })()`, at, to, event)))
	}
	slide("1 level", "input", 1)
	page.wait(fmt.Sprintf("%s < %g", red, was-.02))
	if w.score(t) != first {
		t.Error("the look is written while the hand moves")
	}
	slide("1 level", "change", 50)
	w.says(t, `colour: "#c04a2a", level: 22 %`, true)
	slide("0 kelvin", "change", 0)
	w.says(t, `colour: 1800 K`, true)
	page.wait(`document.querySelector('[data-look="dusk"] .parts').textContent.includes("1800 K")`)
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const s = document.querySelector('[data-look="dusk"] select[aria-label="another part"]'); s.value = "uv"; s.dispatchEvent(new Event("change")); })()`))
	w.says(t, `{system: uv, emitters: {uv: 30 %}}`, true)
	page.wait(`document.querySelectorAll('[data-look="dusk"] .lookslip .part').length === 3`)
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelectorAll('[data-look="dusk"] .lookslip .out')[2].click()`))
	w.says(t, `emitters: {uv: 30 %}`, false)
	page.wait(`document.querySelectorAll('[data-look="dusk"] .lookslip .part').length === 2`)
	if !value[bool](page, `window.same === true`) {
		t.Error("the page was loaded again")
	}
	judge(page)
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const f = document.querySelector('[data-look="dusk"] form'); f.querySelector("input").value = "last light"; f.requestSubmit(); })()`))
	w.says(t, "\n  last light: {parts: [{system: front, colour: 1800 K", true)
	page.clean()
}

// A card is carried along the time: the room is shown as it would be, nothing is written before it
// is let go, and what was heard near by draws it.
func TestCardIsCarried(t *testing.T) {
	w := writtenHall(t, 2)
	page := openTab(t, w.url, 1280, 800)
	page.wait(`document.querySelector('.card[data-cue="2"]') !== null`)
	first := w.score(t)
	const pointer = `((kind, y, more) => (kind === "pointerdown" ? document.querySelector('.card[data-cue="2"]') : window).dispatchEvent(new PointerEvent(kind, {bubbles: true, button: 0, clientX: 400, clientY: 400 + y, ...more})))`
	hand := func(kind string, y int, more string) {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void %s("%s", %d, %s)`, pointer, kind, y, more)))
	}
	hand("pointerdown", 0, "{}")
	hand("pointermove", 30, "{altKey: true}") // 12 px a second
	page.wait(`document.querySelector('.card[data-cue="2"]').classList.contains("carried") && document.querySelector('.slip [data-key="when"]') !== null`)
	hand("pointermove", 36, "{altKey: true}")
	page.wait(`document.querySelector('.card[data-cue="2"] time').textContent === "0:11.000"`)
	if w.score(t) != first {
		t.Error("it is written while it is carried")
	}
	page.picture("carried")
	hand("pointerup", 36, "{altKey: true}")
	w.says(t, "{cue: 2, at: 0:11.000", true)
	page.wait(`document.querySelector('.card[data-cue="2"] .how').textContent.includes("0:11")`)
	hit := 0.
	for _, m := range hallTrack(2).Moments {
		if m.Kind == soundtrack.Hit && m.Time > 12*time.Second {
			hit = m.Time.Seconds()
			break
		}
	}
	hand("pointerdown", 0, "{}")
	hand("pointermove", int((hit-11)*12)+3, "{}")
	page.wait(fmt.Sprintf(`document.querySelector('.card[data-cue="2"] time').textContent === "%s"`, clockText(hit)))
	page.do(chromedp.KeyEvent(kb.Escape))
	page.wait(`!document.querySelector('.card[data-cue="2"]').classList.contains("carried")`)
	w.says(t, "{cue: 2, at: 0:11.000", true)
	page.clean()
}

// From the hand to the picture, with the example show: a goal that is slid, and a card that is
// carried. Each step waits until the one before is in the picture.
//
//	LAMPBLACK_LONG=1 go test -v ./web -run HandToPicture
func TestHandToPicture(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("the example show takes a while: set LAMPBLACK_LONG=1")
	}
	w := writtenFish(t)
	page := openTab(t, w.url+"/looks", 1280, 800)
	page.do(chromedp.Evaluate[chromedp.Void](`void (document.querySelector('[data-look="pearl bed"] .change').click(), document.querySelector('[data-look="pearl bed"]').scrollIntoView())`))
	page.wait(`document.querySelector('[data-look="pearl bed"] [data-at="0 glow luminance"]') !== null && document.querySelector('[data-look="pearl bed"] canvas').dataset.drawn === "yes"`)
	goal := took(page, `[data-look="pearl bed"] canvas`, `(i) => { const e = document.querySelector('[data-look="pearl bed"] [data-at="0 glow luminance"]'); e.value = 20 + i; e.dispatchEvent(new Event("input")); }`)
	page = openTab(t, w.url, 1280, 800)
	page.do(chromedp.Evaluate[chromedp.Void](`void [...document.querySelectorAll(".turning button")].find((b) => b.dataset.to === "40")?.click()`))
	page.wait(`document.querySelector('.card') !== null && document.querySelector(".pane canvas").dataset.drawn === "yes"`)
	card := took(page, `.pane canvas`, `(i) => { const e = document.querySelector('.card[data-cue="5"]') ?? document.querySelector(".card"); if (i === 0) e.dispatchEvent(new PointerEvent("pointerdown", {bubbles: true, button: 0, clientX: 400, clientY: 400})); dispatchEvent(new PointerEvent("pointermove", {clientX: 400, clientY: 410 + 2 * i, altKey: true})); }`)
	for name, list := range map[string][]float64{"a goal": goal, "a cue": card} {
		tellTimes(t, name, list)
	}
}

// tellTimes logs how long steps took, ms, in order.
func tellTimes(t *testing.T, name string, list []float64) {
	t.Helper()
	t.Logf("%s: median %.0f ms, 95th percentile %.0f ms, worst %.0f ms of %d", name, list[len(list)/2], list[len(list)*95/100], list[len(list)-1], len(list))
}

// writtenFish is the example show, whose pages write.
func writtenFish(t *testing.T) *workbook {
	t.Helper()
	w := &workbook{dir: t.TempDir()}
	if err := demo.Fish.Write(t.Context(), w.dir, nil); err != nil {
		t.Fatal(err)
	}
	files, faults := show.Read(os.DirFS(w.dir))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	track, err := soundtrack.Listen(t.Context(), filepath.Join(w.dir, files.Bill.Soundtrack.Name), "", soundtrack.Options{})
	if err != nil {
		t.Fatal(err)
	}
	first, faults := show.New(t.Context(), files, track)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	w.serve(t, first, track)
	return w
}

// took runs steps one after another, each until another picture stands, and returns how long they took, ms, in order.
func took(page *tab, canvas, step string) []float64 {
	const steps = 60
	page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (async () => {
		const c = document.querySelector('%s'), out = window.took = [], step = %s, frame = () => new Promise(requestAnimationFrame);
		for (let i = 0; i < %d; i++) {
			const was = c.dataset.took, at = performance.now();
			step(i);
			while (c.dataset.took === was && performance.now() - at < 5000) await frame();
			out.push(performance.now() - at);
		}
	})()`, canvas, step, steps)))
	for n := 0; n < steps; { // each wait of a tab is bounded
		n = min(n+5, steps)
		page.wait(fmt.Sprintf("window.took.length >= %d", n))
	}
	list := value[[]float64](page, "window.took")
	slices.Sort(list)
	return list
}

// What somebody who sees the page for the first time does: press a blow, put a cue on it, give it a bluer
// light of its own, and hear it, in a handful of presses (an outsider's wrong turns led here).
func TestBluerHere(t *testing.T) {
	w := writtenHall(t, 2)
	w.s.Hears(clickTrack(120))
	first := w.score(t)
	page := openTab(t, w.url, 1280, 800)
	page.wait(`document.querySelector('[data-leaf="0"]')?.dataset.is === "whole"`)
	at := value[string](page, `[...document.querySelectorAll('[data-leaf="0"] .moment.hit')].map((e) => e.dataset.at).find((t) => t > 10 && t < 30)`)
	page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void document.querySelector('.moment[data-at="%s"] path').dispatchEvent(new MouseEvent("click", {bubbles: true}))`, at)))
	page.wait(`document.querySelector(".now").textContent.includes("nothing to remark at this second")`)
	page.press(".here button")
	page.wait(`document.querySelector(".slip [data-key='cue']")?.value === "2.5"`)
	w.says(t, "{cue: 2.5, on: hit 0:", true)
	press := func(words string) {
		t.Helper()
		b := fmt.Sprintf(`[...document.querySelectorAll(".slip button")].find((b) => b.textContent === %q)`, words)
		page.wait(b + " !== undefined")
		page.do(chromedp.Evaluate[chromedp.Void](`void ` + b + `.click()`))
	}
	press("of this cue alone")
	w.says(t, `"dusk, cue 2.5": {purpose: the shore before the tide, parts: [{system: front`, true)
	page.wait(`document.querySelector(".slip .lookslip input[type=color]") !== null && document.querySelector(".slip [data-key='look']").value === "dusk, cue 2.5"`)
	page.picture("bluer")
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const e = document.querySelector(".lookslip input[type=color]"); e.value = "#2040d0"; e.dispatchEvent(new Event("input")); e.dispatchEvent(new Event("change")); })()`))
	w.says(t, `"dusk, cue 2.5": {purpose: the shore before the tide, parts: [{system: front, colour: "#2040d0"`, true)
	page.wait(`document.querySelector(".slip .lookslip") !== null && document.querySelector(".pencil span").textContent.includes("#2040d0")`)
	page.press(".rehearsal button:nth-of-type(3)")
	page.wait(`document.querySelector(".rehearsal span[role=status]").textContent.startsWith("♪ the sound plays round cue 2.5")`)
	page.do(chromedp.KeyEvent(kb.Escape))
	for w.score(t) != first {
		if _, err := w.work.Undo(t.Context(), "test"); err != nil {
			t.Fatalf("%v; it is\n%s", err, w.score(t))
		}
	}
	judge(page)
	page.clean()
}
