package web

import (
	"encoding/base64"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// sizes are the windows that the pages are looked at in: a laptop, a small one, a phone.
var sizes = []struct {
	name          string
	width, height int64
}{{"laptop", 1400, 900}, {"small laptop", 1024, 768}, {"phone", 390, 844}}

func hallServer(t testing.TB, minutes int, c Control) (*Server, string) {
	t.Helper()
	s, err := New(Options{Gate: ownGate(), Show: openHall(t, minutes), Findings: hallFindings(), Control: c})
	if err != nil {
		t.Fatal(err)
	}
	return s, serve(t, s)
}

func TestEveryPageLoadsWithoutComplaint(t *testing.T) {
	_, url := hallServer(t, 5, &orders{})
	for _, p := range pages {
		for _, size := range sizes {
			t.Run(p.Name+" on a "+size.name, func(t *testing.T) {
				page := openTab(t, url+p.Link(), size.width, size.height)
				if got := value[string](page, `document.querySelector("nav [aria-current]").textContent`); got != p.Name {
					t.Errorf("the page calls itself %q", got)
				}
				if over := value[int](page, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
					t.Errorf("the page is %d px wider than its window", over)
				}
				for _, text := range append(value[[]string](page, cutOff), value[[]string](page, collided)...) {
					t.Errorf("does not stand as it should: %s", text)
				}
				page.picture(fmt.Sprintf("%s-%s", p.Script, size.name))
				judge(page)
				page.clean()
			})
		}
	}
}

func TestBookShowsEveryCue(t *testing.T) {
	s, url := hallServer(t, 5, nil)
	page := openTab(t, url, 1280, 800)
	now, _ := s.book.get()
	cues := now.book.Contents().Cues.Number
	// Leaves are filled as they come near: walk down the page.
	for leaf := range 5 {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void document.querySelector('[data-leaf="%d"]').scrollIntoView()`, leaf)))
		page.wait(fmt.Sprintf(`document.querySelector('[data-leaf="%d"] .card') !== null`, leaf))
		page.picture(fmt.Sprintf("leaf-%d", leaf))
	}
	// Crowded cards and remarks make room for one another, on their own leaf.
	over := value[[]string](page, `[...document.querySelectorAll(".leaf")].flatMap((leaf) => [".card", ".remark"].flatMap((kind) => {
		const all = [...leaf.querySelectorAll(kind)].map((e) => ({name: e.textContent, r: e.getBoundingClientRect()})), l = leaf.getBoundingClientRect();
		return all.filter(({r}, i) => r.top < (all[i - 1]?.r.bottom ?? l.top) - 0.5 || r.bottom > l.bottom + 0.5).map((x) => x.name);
	}))`)
	for _, o := range over {
		t.Errorf("stands over its neighbour or off its leaf: %s", o)
	}
	shown := value[[]string](page, `[...document.querySelectorAll(".card")].map((c) => c.dataset.cue)`)
	if len(shown) != len(cues) {
		t.Errorf("%d cards for %d cues", len(shown), len(cues))
	}
	for i, number := range cues {
		if i < len(shown) && shown[i] != number {
			t.Errorf("card %d is of cue %s, want %s", i, shown[i], number)
		}
	}
	page.clean()
}

func TestBookFollowsTheRun(t *testing.T) {
	s, url := hallServer(t, 5, nil)
	page := openTab(t, url, 1280, 800)
	stop := make(chan struct{})
	defer close(stop)
	// A run that stands at 2:20, as play reports it.
	go func() {
		tick := time.NewTicker(100 * time.Millisecond)
		defer tick.Stop()
		for {
			s.SetPlayhead(Playhead{At: 140, Running: true, Held: true, Cue: "10", Clock: "the sound"})
			select {
			case <-tick.C:
			case <-stop:
				return
			}
		}
	}()
	page.wait(`document.getElementById("run").textContent.includes("2:20")`)
	page.wait(`document.querySelector(".thread time").textContent === "2:20.0"`)
	page.wait(`(() => { const y = document.querySelector(".thread").getBoundingClientRect().top; return y > 100 && y < innerHeight - 100; })()`)
	now, _ := s.book.get()
	cues := now.book.Contents().Cues
	want := cues.Number[slices.IndexFunc(cues.Start, func(start float64) bool { return start > 140 })-1]
	page.wait(fmt.Sprintf(`document.querySelector(".card.current")?.dataset.cue === %q`, want))
	page.picture("follow")
	// A reader who scrolls away is left alone, and can come back.
	page.do(chromedp.Evaluate[chromedp.Void](`void (dispatchEvent(new WheelEvent("wheel")), scrollTo(0, 0))`))
	page.wait(`!document.querySelector(".follow button").hidden`)
	page.do(chromedp.Click(chromedp.CSS(".follow button")))
	page.wait(`scrollY > 1000`)
	page.clean()
}

func TestBookByKeyboard(t *testing.T) {
	_, url := hallServer(t, 2, nil)
	page := openTab(t, url, 1280, 800)
	page.do(chromedp.Focus(chromedp.CSS(".rule")))
	for _, step := range []struct{ key, want string }{{kb.Home, "0:00.0"}, {kb.ArrowDown, "0:01.0"}, {kb.PageDown, "0:11.0"}, {kb.ArrowLeft, "0:10.9"}, {"n", "0:31.1"}, {kb.End, "2:00.0"}} {
		page.do(chromedp.KeyEvent(step.key))
		page.wait(fmt.Sprintf(`document.querySelector(".thread time").textContent === %q`, step.want))
	}
	if text := value[string](page, `document.querySelector(".rule").getAttribute("aria-valuetext")`); !strings.Contains(text, "dark") {
		t.Errorf("at the end a screen reader says %q", text)
	}
	page.clean()
}

func TestNightReachesTheRun(t *testing.T) {
	run := &orders{}
	s, url := hallServer(t, 2, run)
	page := openTab(t, url+"/night", 1280, 800)
	for _, name := range []string{"hold", "go", "back", "lights-up", "seek"} {
		page.do(chromedp.Click(chromedp.CSS(`[data-order="` + name + `"]`)))
	}
	page.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`))
	for _, key := range []string{" ", "g", "b", "l"} {
		page.do(chromedp.KeyEvent(key))
	}
	want := []string{"hold", "go", "back", "seek 0s", "hold", "go", "back"}
	page.wait(`performance.getEntriesByType("resource").filter((e) => e.name.includes("/control/")).length >= 9`)
	// Orders arrive as they were given; lights up waits for no slow one.
	up, others := 0, []string{}
	for _, o := range run.taken() {
		if o == "lights up" {
			up++
		} else {
			others = append(others, o)
		}
	}
	if up != 2 || !slices.Equal(others, want) {
		t.Errorf("the run was asked for %q and %d times for lights up, want %q and 2", others, up, want)
	}
	s.SetPlayhead(Playhead{At: 20, Running: true, Held: true, Clock: "the sound"})
	page.wait(`document.querySelector('[data-order="go"]').textContent.startsWith("Go on")`)
	page.wait(`document.querySelector(".count .big").textContent === "0:12"`)
	page.picture("night-held")
	s.SetPlayhead(Playhead{At: 20, Running: true, Held: true, LightsUp: true, Clock: "the sound"})
	page.wait(`document.querySelector('[data-order="lights-up"]').classList.contains("set")`)
	page.clean()
}

// Space is hold whatever has the focus: on the button of go it fires no go.
func TestSpaceIsHold(t *testing.T) {
	run := &orders{}
	_, url := hallServer(t, 2, run)
	page := openTab(t, url+"/night", 1280, 800)
	for _, focus := range []string{`[data-order="go"]`, `[data-order="lights-down"]`, `[data-order="skip"]`, `.trims summary`, `a[href="/rig"]`} {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void document.querySelector(%q).focus()`, focus)), chromedp.KeyEvent(" "))
	}
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('[data-order="go"]').focus()`), chromedp.KeyEvent(kb.Enter), chromedp.KeyEvent("d"))
	page.wait(`performance.getEntriesByType("resource").filter((e) => e.name.includes("/control/")).length >= 7`)
	if got, want := run.taken(), []string{"hold", "hold", "hold", "hold", "hold", "go", "lights down"}; !slices.Equal(got, want) {
		t.Errorf("the run was asked for %q, want %q", got, want)
	}
	page.clean()
}

// A clock that is lost is told on the page, with what to do, and the page's own
// time stands as the show does, or goes as fast as it.
func TestNightTellsOfALostClock(t *testing.T) {
	s, url := hallServer(t, 2, &orders{})
	page := openTab(t, url+"/night", 1280, 800)
	told := `document.querySelector(".night .fault").textContent`
	state := `document.querySelector('.night [role="status"]').textContent`
	head := Playhead{At: 20, Running: true, Clock: "timecode", State: "runs", Speed: 1}
	s.SetPlayhead(head)
	page.wait(state + ` === "Running by timecode" && ` + told + ` === ""`)
	head.State, head.Speed, head.Fault, head.Hint = "lost", 0, "no timecode for 12 s; the light stands", "see to the other machine and its cable: the show goes on with its timecode. Or bring the lights up"
	s.SetPlayhead(head)
	page.wait(state + ` === "Clock lost"`)
	page.wait(told + `.startsWith("No timecode for 12 s; the light stands. See to the other machine")`)
	page.picture("night-lost")
	before := value[string](page, `document.querySelector(".night .state span").textContent`)
	page.wait(`(window.since ??= performance.now(), performance.now() - window.since > 700)`) // the page's own time would have gone on
	s.SetPlayhead(head)
	if after := value[string](page, `document.querySelector(".night .state span").textContent`); after != before || !strings.HasPrefix(after, "0:20") {
		t.Errorf("while the show stands the page goes from %q to %q", before, after)
	}
	page.wait(`document.getElementById("run").textContent.startsWith("Clock lost at 0:20")`)
	s.SetPlayhead(Playhead{At: 20, Running: true, Clock: "timecode", State: "held", Fault: "waits for timecode: none has come yet", Hint: "start the other machine"})
	page.wait(state + ` === "Waiting"`)
	s.SetPlayhead(Playhead{At: 20, Running: true, Clock: "MIDI clock", State: "runs", Speed: 1.1})
	page.wait(state + ` === "Running by MIDI clock at 110 %" && ` + told + ` === ""`)
	page.clean()
}

func TestNightReadsFromTwoMetres(t *testing.T) {
	_, url := hallServer(t, 1, &orders{})
	page := openTab(t, url+"/night", 1280, 800)
	// Letters of 1/200 of the distance (common practice): 10 mm at 2 m, with
	// 0.26 mm to the pixel and capitals 0.67 of the font's size.
	for _, part := range []string{".nowcue .big", ".next .big", ".count .big"} {
		if px := value[float64](page, `parseFloat(getComputedStyle(document.querySelector("`+part+`")).fontSize)`); px*.67*.26 < 10 {
			t.Errorf("%s is %.0f px", part, px)
		}
	}
	// A finger needs 9 mm (common practice), twice that in the dark.
	if px := value[float64](page, `Math.min(...[...document.querySelectorAll(".orders button")].map((b) => b.offsetHeight))`); px < 70 {
		t.Errorf("buttons are %.0f px tall", px)
	}
}

// The lighting plan is the program's own drawing in the page's ink; a click on a
// unit leads to its line of the patch list.
func TestPlanLeadsToThePatch(t *testing.T) {
	_, url := hallServer(t, 1, nil)
	page := openTab(t, url+"/rig", 1280, 800)
	page.wait(`document.querySelectorAll(".plot .unit").length === 7`)
	if got := value[string](page, `getComputedStyle(document.querySelector('.plot .unit path')).stroke`); got != "rgb(35, 30, 26)" {
		t.Errorf("a unit's outline is %s, the page's ink is #231e1a", got)
	}
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('.plot [data-name="uv left"] path').dispatchEvent(new MouseEvent("click", {bubbles: true}))`))
	page.wait(`document.querySelectorAll(".found").length === 1 && document.querySelector(".found th").textContent === "uv left"`)
	page.wait(`(() => { const y = document.querySelector(".found").getBoundingClientRect().top; return y > 0 && y < innerHeight; })()`)
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('.plot').dispatchEvent(new MouseEvent("click", {bubbles: true}))`))
	page.wait(`document.querySelectorAll(".found").length === 0`)
	if got := value[string](page, `document.querySelector(".spectrum title").textContent`); !strings.HasPrefix(got, "spectrum of ") {
		t.Errorf("the first spectrum is %q", got)
	}
	page.clean()
}

// An edited folder replaces the book under the reader's eyes.
func TestBookIsReplaced(t *testing.T) {
	s, url := hallServer(t, 1, nil)
	page := openTab(t, url, 1280, 800)
	page.do(chromedp.Evaluate[chromedp.Void](`void (window.old = true)`))
	s.Replace(openHall(t, 2), nil)
	page.wait(`!!document.querySelector(".facts")?.textContent.includes("2:00")`)
	page.wait(`document.querySelectorAll(".leaf").length === 2 && document.querySelector('.card[data-cue="1"]') !== null`)
	if !value[bool](page, `window.old === true`) {
		t.Error("the page was loaded again")
	}
	page.clean()
}

// Nothing on the page moves by itself for readers who ask for that.
func TestCalmReaders(t *testing.T) {
	_, url := hallServer(t, 2, nil)
	page := openTab(t, url, 1280, 800)
	if got := value[int](page, `document.getAnimations().length`); got != 0 {
		t.Errorf("%d animations run on the page", got)
	}
	for _, sheet := range value[[]string](page, `[...document.styleSheets].flatMap((s) => [...s.cssRules].map((r) => r.cssText))`) {
		if strings.Contains(sheet, "animation") || strings.Contains(sheet, "transition") || strings.Contains(sheet, "blink") {
			t.Errorf("a rule moves things: %s", sheet)
		}
	}
}

// Leaves out of sight hold nothing, so that an hour weighs like minutes.
func TestLongShow(t *testing.T) {
	_, url := hallServer(t, 60, nil)
	page := openTab(t, url, 1280, 800)
	for _, leaf := range []int{59, 30, 2} {
		turnTo(page, leaf)
	}
	page.wait(`document.querySelectorAll(".leaf").length <= 6`)
	page.clean()
	if os.Getenv("LAMPBLACK_LONG") == "" {
		return
	}
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => {
		const times = []; let last = performance.now(), y = 0; scrollTo(0, 0);
		requestAnimationFrame(function step(now) {
			times.push(now - last); last = now; y += 72; scrollTo(0, y);
			if (times.length < 600) requestAnimationFrame(step);
			else { times.sort((a, b) => a - b); window.frames60 = [times[300], times[594]]; }
		});
	})()`))
	page.wait(`window.frames60 !== undefined`)
	frames := value[[]float64](page, `window.frames60`)
	t.Logf("an hour scrolled in 600 frames: median %.1f ms, 99th percentile %.1f ms a frame", frames[0], frames[1])
	page.clean()
}

// turnTo scrolls to a leaf and waits until all of it stands.
func turnTo(page *tab, leaf int) {
	page.Helper()
	page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void scrollTo(0, document.querySelector(".leaves").getBoundingClientRect().top + scrollY + %d * 720)`, leaf)))
	page.wait(fmt.Sprintf(`document.querySelector('[data-leaf="%d"]')?.dataset.is === "whole"`, leaf))
}

// judge lets axe-core look for failures of WCAG 2.2, levels A and AA.
func judge(page *tab) {
	page.Helper()
	axe, err := os.ReadFile("ui/node_modules/axe-core/axe.min.js")
	if err != nil {
		page.Log("outside check left out: needs axe-core (npm ci in web/ui)")
		return
	}
	page.do(chromedp.Evaluate[chromedp.Void](string(axe) + "; void 0"))
	type violation struct{ Id, Help, Where string }
	got, err := chromedp.Run(page.ctx, chromedp.Evaluate[[]violation](`axe.run(document, {resultTypes: ["violations"]}).then((r) => r.violations.map((v) => ({
		Id: v.id, Help: v.help, Where: v.nodes.slice(0, 3).map((n) => n.target.join(" ") + ": " + n.failureSummary).join("; ")})))`, chromedp.EvalAwaitPromise))
	if err != nil {
		page.Fatal(err)
	}
	for _, v := range got {
		page.Errorf("%s: %s (%s)", v.Id, v.Help, v.Where)
	}
}

// The book leads to its papers, which are PDF; of itself it prints the title page alone.
func TestPrint(t *testing.T) {
	for _, tool := range []string{"pdfinfo", "pdftotext"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("outside check left out: needs %s (Debian package poppler-utils)", tool)
		}
	}
	s, url := hallServer(t, 5, nil)
	page := openTab(t, url, 1280, 800)
	dir := t.TempDir()
	now, _ := s.book.get()
	c := now.book.Contents()
	page.do(chromedp.Evaluate[chromedp.Void](`{ const make = URL.createObjectURL; URL.createObjectURL = (b) => { if (b.type === "application/pdf") b.arrayBuffer().then((x) => { document.pdf = btoa(Array.from(new Uint8Array(x), (c) => String.fromCharCode(c)).join("")); }); return make(b); }; }`))
	for _, name := range []string{"prompt book", "all papers"} {
		page.press(`[data-paper="` + name + `"]`)
		page.wait(`document.pdf !== undefined`)
		pdf, err := base64.StdEncoding.DecodeString(value[string](page, `((x) => { document.pdf = undefined; return x; })(document.pdf)`))
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, name+".pdf")
		if err := os.WriteFile(file, pdf, 0o644); err != nil {
			t.Fatal(err)
		}
		text := tool(t, "pdftotext", "-layout", file, "-")
		for i, number := range c.Cues.Number {
			if look := c.Looks[c.Cues.Look[i]].Name; !strings.Contains(text, look) {
				t.Errorf("%s: cue %s %s is not on paper", name, number, look)
			}
		}
	}
	pdf, err := chromedp.Run(page.ctx, chromedp.PrintToPDF())
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "page.pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	if info := tool(t, "pdfinfo", file); !regexp.MustCompile(`Pages:\s+1\n`).MatchString(info) {
		t.Errorf("the book by itself prints more than its title page:\n%s", info)
	}
	page.clean()
}

// Papers that there are not, and paper that there is not, are refused.
func TestSheetRefuses(t *testing.T) {
	_, url := hallServer(t, 1, nil)
	page := openTab(t, url, 1280, 800)
	for path, want := range map[string]int{"/sheet/poem.pdf": 404, "/sheet/prompt-book": 404, "/sheet/sign.pdf?paper=A5": 400, "/sheet/sign.pdf?paper=Letter": 200, "/sheet/programming-sheet.pdf": 404} {
		page.wait(fmt.Sprintf(`fetch(%q, %s).then((r) => r.status === %d)`, path, asOwner, want))
	}
}

func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

// A browser gives one server six connections: more pages than that stay alive
// because they share one stream.
func TestManyPagesShareOneStream(t *testing.T) {
	s, url := hallServer(t, 1, nil)
	var tabs []*tab
	for i := range 9 {
		tabs = append(tabs, openTab(t, url+pages[i%len(pages)].Link(), 800, 600))
	}
	s.SetPlayhead(Playhead{At: 31, Running: true, Held: true})
	for _, p := range tabs {
		p.wait(`document.getElementById("run").textContent.includes("0:31")`)
	}
}

// In an evening the page has the words of its steps, and not the cues of the book's own
// piece; in a place each zone has a line, and triggers have buttons.
func TestNightOfAnEvening(t *testing.T) {
	run := &orders{}
	s, url := hallServer(t, 2, run)
	page := openTab(t, url+"/night", 1280, 800)
	text := func(of string) string { return `document.querySelector(".night ` + of + `").textContent` }
	head := Playhead{At: 20, Running: true, Clock: "the computer's clock", State: "runs", Speed: 1, Stage: Stage{Now: "interval", NowWhy: "house, for 2:00 of at most 20:00",
		Next: "second piece", NextWhy: "on go", Count: -1, Standby: "the second piece", Away: true, Triggers: []string{}}}
	s.SetPlayhead(head)
	page.wait(text(".nowcue .big") + ` === "interval" && ` + text(".next .big") + ` === "second piece" && ` + text(".next .why") + ` === "on go"`)
	page.wait(text(".standby") + ` === "Standby: the second piece"`)
	page.wait(`document.getElementById("run").textContent === "Running in interval"`)
	page.wait(`document.querySelector(".night .rehearse").hidden`)
	page.picture("night-interval")
	head.Stage = Stage{Now: "a place of 2 zones", Away: true, Count: -1, Zones: []ZoneLine{{"cave", "rest 0:12 on trigger beam"}, {"arch", "arch 12:00 after 1 h"}}, Triggers: []string{"beam", "leave"}}
	s.SetPlayhead(head)
	page.wait(text(".zones") + `.includes("cave rest 0:12 on trigger beam") && document.querySelectorAll(".night .zones p").length === 2`)
	page.wait(`document.querySelectorAll('[data-order="press"]').length === 2`)
	page.picture("night-zones")
	page.wait(`(document.querySelector('[data-order="press"]').click(), document.querySelector('[data-order="skip"]').click(), true)`)
	page.wait(`document.querySelector(".night .told").textContent === ""`)
	for len(run.taken()) < 2 {
		page.wait("true")
	}
	if got := run.taken(); !slices.Equal(got, []string{"press beam", "skip"}) {
		t.Errorf("the run was asked for %q", got)
	}
	s.SetPlayhead(Playhead{At: 20, Running: true, Clock: "the sound", State: "runs", Speed: 1})
	page.wait(`!document.querySelector(".night .rehearse").hidden && ` + text(".zones") + ` === ""`)
	page.clean()
}

// An alarm is told across the whole page, with what to do, while it stands; its reset is a
// button of its own and a key, and is asked of the run each time that it is pressed.
func TestNightTellsOfAnAlarm(t *testing.T) {
	run := &orders{}
	s, url := hallServer(t, 2, run)
	page := openTab(t, url+"/night", 1280, 800)
	head := Playhead{At: 20, Running: true, Held: true, LightsUp: true, Clock: "the sound"}
	s.SetPlayhead(head)
	page.wait(`document.querySelector('.night [role="status"]').textContent === "Lights are up"`)
	shown := `document.querySelector(".night .alarm").getBoundingClientRect()`
	page.wait(shown + `.height === 0 && getComputedStyle(document.querySelector(".night .alarm button")).visibility === "hidden"`)
	head.Alarm = Alarm{Stands: true, Text: "ALARM: lights up, sound off, since 20:14:05 (stage door)", Hint: "the alarm stays: stage door still says alarm; put the contact back first"}
	s.SetPlayhead(head)
	page.wait(shown + `.width >= document.documentElement.clientWidth - 1 && ` + shown + `.top < innerHeight / 4 && document.querySelector(".night .alarm b").textContent === "` + head.Alarm.Text + `"`)
	page.wait(`document.querySelector(".night .alarm p").textContent.startsWith("The alarm stays: stage door still says alarm")`)
	page.picture("night-alarm")
	head.Alarm.Notice = "alarm reset: once more within 3 s to do it"
	s.SetPlayhead(head)
	page.wait(`document.querySelector(".night .alarm").textContent.includes("once more within 3 s")`)
	page.do(chromedp.Click(chromedp.CSS(`[data-order="alarm-reset"]`)), chromedp.KeyEvent("r"))
	page.wait(`performance.getEntriesByType("resource").filter((e) => e.name.includes("/control/")).length >= 2`)
	if got, want := run.taken(), []string{"alarm reset", "alarm reset"}; !slices.Equal(got, want) {
		t.Errorf("the run was asked for %q, want %q", got, want)
	}
	head.Alarm = Alarm{Notice: "the alarm is reset: the lights stay up and time stands. Lights down first, then go goes on at 0:20"}
	s.SetPlayhead(head)
	page.wait(shown + `.height === 0 && document.querySelector(".night .told").textContent.includes("go goes on at 0:20")`)
	page.clean()
}
