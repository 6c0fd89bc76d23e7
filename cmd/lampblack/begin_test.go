package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"lampblack/begin"
	"lampblack/check/finding"
	"lampblack/demo"
	"lampblack/soundfile"
	"lampblack/source"
	"lampblack/web"
	"lampblack/web/admit"
)

// newcomer is somebody who has the start page before them, and nothing else.
type newcomer struct {
	testing.TB
	ctx     context.Context
	home    string
	actions int
	begun   time.Time
}

const newcomersKey = "thekeyofsomebodynew"

// newcomers serves the start page as the program does, and opens it in a browser.
func newcomers(t *testing.T) *newcomer {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("outside check left out: needs chromium (Debian package chromium)")
	}
	n := &newcomer{TB: t, home: t.TempDir()}
	s := &starting{ctx: t.Context(), words: io.Discard, gate: admit.New(admit.Options{Own: newcomersKey})}
	guide := begin.NewGuide(begin.Options{List: filepath.Join(t.TempDir(), "shows.json"), Home: n.home, Kept: t.TempDir(), Draft: s.draft, Open: s.openBook})
	s.pages = web.NewStart(s.gate, guide)
	h := httptest.NewServer(s.pages.Handler())
	t.Cleanup(func() {
		guide.Close()
		s.leave()
		h.CloseClientConnections()
		h.Close()
	})
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true))
	all, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	var cancel context.CancelFunc
	n.ctx, cancel = chromedp.NewContext(all)
	t.Cleanup(cancel)
	n.do(chromedp.EmulateViewport(1280, 900), chromedp.Navigate(h.URL+"/begin#key="+newcomersKey))
	n.wait(`document.documentElement.dataset.ready === "yes"`)
	n.begun = time.Now()
	return n
}

func (n *newcomer) do(steps ...chromedp.Action[chromedp.Void]) {
	n.Helper()
	if err := chromedp.Do(n.ctx, steps...); err != nil {
		n.Fatal(err)
	}
}

// wait waits until an expression holds, past pages that come and go.
func (n *newcomer) wait(expression string) {
	n.Helper()
	for end := time.Now().Add(2 * time.Minute); ; time.Sleep(20 * time.Millisecond) {
		if holds, err := chromedp.Run(n.ctx, chromedp.Evaluate[bool](expression)); err == nil && holds {
			return
		}
		if time.Now().After(end) {
			said, _ := chromedp.Run(n.ctx, chromedp.Evaluate[string](`document.querySelector("main").innerText`))
			if os.Getenv("LAMPBLACK_KEEP") != "" {
				stacks := make([]byte, 1<<20)
				n.Logf("%s", stacks[:runtime.Stack(stacks, true)])
			}
			n.Fatalf("waited for %s; the page says\n%s", expression, said)
		}
	}
}

// step tells how long a part took, and how many actions.
func (n *newcomer) step(name string) {
	n.Logf("%-28s %2d actions, %.1f s of machine time", name, n.actions, time.Since(n.begun).Seconds())
	n.actions, n.begun = 0, time.Now()
	if dir := os.Getenv("LAMPBLACK_PICTURES"); dir != "" {
		if png, err := chromedp.Run(n.ctx, chromedp.CaptureScreenshot()); err == nil {
			_ = os.WriteFile(filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+".png"), png, 0o644)
		}
		n.begun = time.Now()
	}
}

// says waits until a text of the show's folder has something.
func (n *newcomer) says(file, text string) {
	n.Helper()
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		data, _ := os.ReadFile(filepath.Join(n.home, "The Owl", file))
		if strings.Contains(string(data), text) {
			return
		}
		if time.Now().After(end) {
			said, _ := chromedp.Run(n.ctx, chromedp.Evaluate[string](`document.querySelector("main").innerText`))
			n.Fatalf("%s does not say %q; it is\n%s\nthe page says\n%s", file, text, data, said)
		}
	}
}

// worker does what somebody does: by the mouse, or by keys alone.
type worker interface {
	press(selector string)
	write(selector, text string)          // into a field, in place of what it holds
	choose(selector, value, words string) // of a list, by its value or by how its words begin
	move(spot string, dx, dy float64)     // a handle of a plan, m
}

type mouse struct{ *newcomer }

func (m mouse) at(selector string) (x, y float64) {
	m.Helper()
	m.wait(fmt.Sprintf(`document.querySelector(%q) !== null && !(document.documentElement.dataset.waits > 0)`, selector))
	at, err := chromedp.Run(m.ctx, chromedp.Evaluate[[]float64](fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.scrollIntoView({block: "center"}); const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`, selector)))
	if err != nil {
		m.Fatal(err)
	}
	return at[0], at[1]
}

func (m mouse) press(selector string) {
	m.Helper()
	x, y := m.at(selector)
	m.actions++
	m.do(chromedp.MouseClickXY(x, y))
}

func (m mouse) write(selector, text string) {
	m.Helper()
	x, y := m.at(selector)
	m.actions++
	m.do(chromedp.MouseClickXY(x, y), chromedp.Evaluate[chromedp.Void](`void document.activeElement.select?.()`), chromedp.KeyEvent(text), chromedp.Evaluate[chromedp.Void](`void document.activeElement.blur()`))
}

func (m mouse) choose(selector, value, _ string) {
	m.Helper()
	m.at(selector)
	m.actions++
	m.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const e = document.querySelector(%q); e.value = %q; e.dispatchEvent(new Event("change")); })()`, selector, value)))
}

func (m mouse) move(spot string, dx, dy float64) {
	m.Helper()
	x, y := m.at(`[data-spot="` + spot + `"]`)
	scale, err := chromedp.Run(m.ctx, chromedp.Evaluate[float64](`document.querySelector(".beginplan").getScreenCTM().a`))
	if err != nil {
		m.Fatal(err)
	}
	m.actions++
	tx, ty := x+dx*scale, y-dy*scale
	m.do(chromedp.MouseEvent("mousePressed", x, y, chromedp.ButtonLeft), chromedp.MouseEvent("mouseMoved", (x+tx)/2, (y+ty)/2, chromedp.ButtonLeft), chromedp.MouseEvent("mouseMoved", tx, ty, chromedp.ButtonLeft), chromedp.MouseEvent("mouseReleased", tx, ty, chromedp.ButtonLeft))
}

// keys is somebody who has no mouse.
type keys struct{ *newcomer }

// to goes to something by the tab key.
func (k keys) to(selector string) {
	k.Helper()
	k.wait(fmt.Sprintf(`document.querySelector(%q) !== null && !(document.documentElement.dataset.waits > 0)`, selector))
	for range 400 {
		there, err := chromedp.Run(k.ctx, chromedp.Evaluate[bool](fmt.Sprintf(`document.activeElement.matches(%q)`, selector)))
		if err != nil {
			k.Fatal(err)
		}
		if there {
			return
		}
		k.do(chromedp.KeyEvent(kb.Tab))
	}
	k.Fatalf("%s cannot be reached by the tab key", selector)
}

func (k keys) press(selector string) {
	k.Helper()
	k.to(selector)
	k.actions++
	k.do(chromedp.KeyEvent(" "))
}

func (k keys) write(selector, text string) {
	k.Helper()
	k.to(selector)
	k.actions++
	k.do(chromedp.KeyEvent("a", chromedp.KeyModifiers(chromedp.ModifierCtrl)), chromedp.KeyEvent(kb.Delete), chromedp.KeyEvent(text), chromedp.KeyEvent(kb.Tab))
}

func (k keys) choose(selector, value, words string) {
	k.Helper()
	k.to(selector)
	k.actions++
	k.do(chromedp.KeyEvent(words))
	k.wait(fmt.Sprintf(`document.querySelector(%q)?.value === %q`, selector, value))
}

// move moves a handle by half metres and tenths.
func (k keys) move(spot string, dx, dy float64) {
	k.Helper()
	k.to(`[data-spot="` + spot + `"]`)
	for _, way := range []struct {
		by       float64
		plus, is string
	}{{dx, kb.ArrowRight, kb.ArrowLeft}, {dy, kb.ArrowUp, kb.ArrowDown}} {
		key, tenths := way.plus, int(math.Round(way.by*10))
		if tenths < 0 {
			key, tenths = way.is, -tenths
		}
		for range tenths / 5 {
			k.do(chromedp.KeyEvent(key, chromedp.KeyModifiers(chromedp.ModifierShift)))
		}
		for range tenths % 5 {
			k.do(chromedp.KeyEvent(key))
		}
		k.actions += tenths/5 + tenths%5
	}
}

// soundOf writes a piece of the example's soundtrack.
func soundOf(t *testing.T, length time.Duration) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "fish")
	if err := demo.Fish.Write(t.Context(), dir, nil); err != nil {
		t.Fatal(err)
	}
	in, err := soundfile.OpenFile(t.Context(), filepath.Join(dir, "lantern-fish.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	f := in.Format()
	read := func(length time.Duration) []float32 {
		out := make([]float32, int(length.Seconds()*float64(f.Rate))*f.Channels)
		for n := 0; n < len(out); {
			frames, err := in.Read(out[n:])
			if n += frames * f.Channels; err != nil {
				t.Fatal(err)
			}
		}
		return out
	}
	read(time.Minute)
	name := filepath.Join(t.TempDir(), "owl.wav")
	out, err := os.Create(name)
	if err == nil {
		err = soundfile.WriteWAV(out, f.Rate, f.Channels, 16, read(length))
	}
	if err == nil {
		err = out.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return name
}

// answers answers all eight questions, and goes into the book.
func (n *newcomer) answers(w worker, sound string) {
	n.Helper()
	at := func(name string) string { return `[data-at="` + name + `"]` }
	w.write(`[name="title"]`, "The Owl")
	w.write(`[name="about"]`, "An owl wakes, flies over the house and is gone.")
	w.press(`button.chief`)
	n.wait(`document.documentElement.dataset.page === "questions" && document.documentElement.dataset.ready === "yes"`)
	n.step("1 what happens")

	n.do(chromedp.SetUploadFiles(chromedp.CSS(at("file")), []string{sound}))
	n.says("show.yaml", "soundtrack: owl.wav")
	n.wait(`document.querySelector('[data-question="1"] small').textContent === "owl.wav" && document.querySelector('[data-at="no sound"]') !== null`)
	w.press(at("next"))
	n.step("2 the sound is brought")

	n.wait(`document.querySelector('[data-at="width"]') !== null`)
	w.write(at("width"), "7")
	n.says("room.yaml", "size: [7 m, 10 m, 3.5 m]")
	w.move("back wall", 0, 1)
	n.says("room.yaml", "size: [7 m, 11 m, 3.5 m]")
	w.choose(at("backdrop"), "black velvet", "black velvet")
	n.says("room.yaml", "black velvet")
	w.press(at("next"))
	n.step("3 the room")

	w.press(at("add seats"))
	n.says("room.yaml", "seats, back right")
	w.press(at("add playing"))
	n.says("room.yaml", "playing floor")
	w.press(at("add player"))
	n.says("room.yaml", "performers:")
	w.press(at("add way"))
	n.says("room.yaml", "paths:")
	w.move("seats 0 near right", .1, -.5)
	n.says("room.yaml", `"seats, front right", at: [2.5 m, -2 m, 1.2 m]`)
	w.press(at("next"))
	n.step("4 who sits plays and walks")

	w.press(at("add colour par"))
	n.says("rig.yaml", "front 1")
	w.write(at("count 0"), "4")
	n.says("rig.yaml", "front 4")
	w.choose(at("mode 0"), "7 slots", "7 slots")
	n.says("rig.yaml", "mode: 7 slots")
	w.press(at("add black light flood"))
	n.says("rig.yaml", "uv 1")
	w.write(at("count 1"), "2")
	n.says("rig.yaml", "uv 2")
	n.step("5 which lamps")

	w.press(`[data-question="6"]`)
	w.press(at("add thing"))
	n.says("room.yaml", "objects:")
	w.write(at("thing 0"), "owl")
	n.says("score.yaml", "owl glows")
	w.move("thing 0", .5, .5)
	n.says("room.yaml", "owl: {paint: fluorescent yellow-green, centre: [0.5 m, 3 m, 1.2 m]")
	n.step("7 what must glow")

	w.press(`[data-question="5"]`)
	w.press(at("propose"))
	n.wait(`document.querySelector('[data-at="stop places"]') === null && document.querySelector('[data-question="5"] small').textContent.startsWith("6 of 6")`)
	n.says("rig.yaml", "proposed")
	n.step("6 where they stand")

	w.press(`[data-question="7"]`)
	w.choose(at("out"), "e131", "a node in the network, by ANSI")
	n.says("show.yaml", "e131 multicast")
	n.step("8 what is on site")

	w.press(at("finish"))
	n.wait(`location.pathname === "/" && document.documentElement.dataset.page === "book" && document.querySelector(".card") !== null`)
	n.step("9 drafted checked opened")
}

// By the mouse, and by keys alone, somebody new comes from the start page to a show that is drafted
// and checked, in whose files no stop stands, and which says the same either way and as it is
// written by hand.
func TestFromNothingToABook(t *testing.T) {
	length := 45 * time.Second
	if os.Getenv("LAMPBLACK_LONG") != "" {
		length = 3 * time.Minute
	}
	sound := soundOf(t, length)
	for _, c := range []struct {
		name string
		by   func(*newcomer) worker
	}{{"mouse", func(n *newcomer) worker { return mouse{n} }}, {"keys", func(n *newcomer) worker { return keys{n} }}} {
		t.Run(c.name, func(t *testing.T) {
			n := newcomers(t)
			if keep := os.Getenv("LAMPBLACK_KEEP"); keep != "" {
				defer func() { _ = os.CopyFS(keep, os.DirFS(n.home)) }()
			}
			n.answers(c.by(n), sound)
			dir := filepath.Join(n.home, "The Owl")
			l, err := load(t.Context(), io.Discard, dir)
			if err != nil {
				t.Fatal(err)
			}
			defer l.close()
			for _, f := range l.findings {
				if f.Severity == finding.Stop {
					t.Errorf("%s: %s", f.Place, f.Text)
				}
			}
			if n := len(l.show.Cues); n < 2 {
				t.Errorf("%d cues were drafted", n)
			}
			sameAsByHand(t, dir)
		})
	}
}

// writtenByHand is the show as somebody writes it who has read docs/files.md.
const writtenByHand = "testdata/begin"

// sameAsByHand holds the files against the same show written by hand: the values, and not how they
// are written. Drafted cues, and where lamps were proposed to stand, are what they are.
func sameAsByHand(t *testing.T, dir string) {
	t.Helper()
	for _, file := range []string{"show.yaml", "room.yaml", "rig.yaml", "score.yaml"} {
		is, want := plainIn(t, filepath.Join(dir, file)), plainIn(t, filepath.Join(writtenByHand, file))
		if !is.Same(want) {
			t.Errorf("%s says\n%s\nby hand\n%s", file, is, want)
		}
	}
}

func plainIn(t *testing.T, name string) source.Plain {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	text, faults := source.OpenText(name, data)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	all, _ := text.At()
	if units := all.Get("units"); units.Kind == source.PlainList {
		for i := range units.List {
			units.List[i] = units.List[i].With("at", source.Plain{}).With("aim", source.Plain{})
		}
		all = all.With("units", units)
	}
	if looks := all.Get("looks"); looks.Kind == source.PlainPairs {
		looks.Pairs = slices.DeleteFunc(looks.Pairs, func(l source.Pair) bool { return l.Value.Get("by").Text == "draft" })
		all = all.With("looks", looks).With("cues", source.Plain{})
	}
	return all
}
