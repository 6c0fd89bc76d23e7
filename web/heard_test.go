package web

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// Sound remembers an order to the sound.
func (o *orders) Sound(s SoundOrder) error {
	o.add(fmt.Sprintf("%s %s over %g, %g dB %v, channel %d %g ms, zone %q", s.Do, s.Name, s.Over, s.Level, s.Off, s.Channel, s.Delay, s.Zone))
	return nil
}

// The sound on the Night page, by touch on a phone and by keys: each order comes as it was
// meant, what stands is said, skipping wants to be meant, and a test signal waits for a hold.
func TestNightSteersTheSound(t *testing.T) {
	run := &orders{}
	s, err := New(Options{Gate: ownGate(), Show: openHall(t, 2), Control: run, Sounds: run})
	if err != nil {
		t.Fatal(err)
	}
	head := Playhead{At: 20, Running: true, Clock: "the sound", State: "runs", Speed: 1, Hearing: Hearing{Device: true, Stops: 4,
		Extras: []ExtraOf{{"ship bell", "f1", false}, {"thunder", "", false}}, Speakers: []SpeakerOf{{"left", 1, 0, 0}, {"right", 2, -3, 12}}}}
	s.SetPlayhead(head)
	page := openTab(t, serve(t, s)+"/night", 390, 844)
	press := func(text string) {
		t.Helper()
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void [...document.querySelectorAll(".soundbar button")].find((b) => b.textContent.startsWith(%q)).click()`, text)))
	}
	came := func(want string) {
		t.Helper()
		page.wait(`new Promise((done) => setTimeout(() => done(true), 20))`)
		for range 100 {
			if got := run.taken(); len(got) > 0 && got[len(got)-1] == want {
				return
			}
			page.wait(`new Promise((done) => setTimeout(() => done(true), 20))`)
		}
		t.Errorf("the run was asked for %q, want %q last", run.taken(), want)
	}
	page.wait(`document.querySelector(".soundbar input[type=number]").value === "4"`)
	if over := value[int](page, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
		t.Errorf("the page is %d px wider than a phone", over)
	}
	press("Freeze light")
	came(`freeze light  over 0, 0 dB false, channel 0 0 ms, zone ""`)
	press("Light on again")
	came(`light on again  over 0, 0 dB false, channel 0 0 ms, zone ""`)
	press("Stop all")
	came(`stop all  over 4, 0 dB false, channel 0 0 ms, zone ""`)
	page.do(chromedp.Evaluate[chromedp.Void](`void (document.querySelector(".sounds").open = true, document.querySelector(".sounds select").value = "off")`))
	press("Fade to it")
	came(`sound level  over 4, 0 dB true, channel 0 0 ms, zone ""`)
	if !value[bool](page, `[...document.querySelectorAll(".soundbar button")].filter((b) => b.textContent.startsWith("Skip") || b.textContent === "Test").every((b) => b.disabled)`) {
		t.Error("skip is not guarded, or a test signal plays into a show")
	}
	page.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector(".sounds input[type=checkbox]").click()`))
	press("Skip, sound and all")
	came(`skip for certain  over 0, 0 dB false, channel 0 0 ms, zone ""`)
	page.do(chromedp.Evaluate[chromedp.Void](`void [...document.querySelectorAll(".soundbar button")].find((b) => b.textContent === "Play").focus()`))
	press("Play")
	came(`extra sound ship bell over 0, 0 dB false, channel 0 0 ms, zone ""`)
	for key, want := range map[string]string{"f": "freeze light", "u": "light on again", "s": "stop all", "x": "extra sounds off"} {
		page.do(chromedp.KeyEvent(key))
		page.wait(`new Promise((done) => setTimeout(() => done(true), 50))`)
		if got := run.taken(); !slices.ContainsFunc(got[6:], func(o string) bool { return strings.HasPrefix(o, want+" ") }) {
			t.Errorf("key %s gave none for %s: %q", key, want, got)
		}
	}
	head.Held, head.Speed, head.State = true, 0, "held"
	head.Hearing.Frozen, head.Hearing.Violet, head.Hearing.Skips, head.Hearing.SkipsTo, head.Hearing.Lowered = true, true, true, 62, 6
	head.Hearing.Extras = []ExtraOf{{"ship bell", "f1", true}, {"thunder", "", false}}
	head.Hearing.Notice = "skip jumps the sound to 1:02.000: again to do it"
	s.SetPlayhead(head)
	page.wait(`document.querySelector(".handed").textContent === "The light is frozen: it stands while the show goes on, ultraviolet too: mind how long. The sound of the piece is 6 dB below its own. Extra: ship bell"`)
	page.wait(`[...document.querySelectorAll(".soundbar output")].map((o) => o.textContent).join() === "plays,"`) // though its button has the focus
	page.wait(`document.querySelector('[data-order="skip"]').textContent.startsWith("Skip to 1:02?") && document.querySelector(".told").textContent.startsWith("Skip jumps the sound")`)
	page.picture("night-sound-phone")
	page.do(chromedp.Evaluate[chromedp.Void](`scrollTo(0, 10000)`))
	page.picture("night-sound-phone-below")
	press("Test")
	came(`test signal  over 0, 0 dB false, channel 1 0 ms, zone ""`)
	page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const n = [...document.querySelectorAll(".soundbar .rows input")]; n[2].value = "-4.5"; n[3].value = "20"; [...document.querySelectorAll(".soundbar .rows button")].filter((b) => b.textContent.startsWith("Keep"))[1].click(); })()`))
	came(`trim  over 0, -4.5 dB false, channel 2 20 ms, zone ""`)
	head.Hearing.Zones = []string{"cave", "gate"}
	s.SetPlayhead(head)
	page.wait(`[...document.querySelectorAll('[aria-label="zone"] option')].some((o) => o.value === "gate")`)
	page.do(chromedp.Evaluate[chromedp.Void](`void (document.querySelector('[aria-label="zone"]').value = "gate")`))
	press("Freeze light")
	came(`freeze light  over 0, 0 dB false, channel 0 0 ms, zone "gate"`)
	page.clean()
}

// Orders to the sound that are none, or out of bounds, reach no run; without a run they are
// refused.
func TestSoundOrdersAreChecked(t *testing.T) {
	run := &orders{}
	with, err := New(Options{Gate: ownGate(), Show: openHall(t, 1), Control: run, Sounds: run})
	if err != nil {
		t.Fatal(err)
	}
	without, err := New(Options{Gate: ownGate(), Show: openHall(t, 1)})
	if err != nil {
		t.Fatal(err)
	}
	for body, want := range map[string]int{
		`{"do":"stop all","over":5}`: http.StatusNoContent, `{"do":"stop all","over":-1}`: 422, `{"do":"stop all","over":61}`: 422, `{"do":"sound level","level":-61}`: 422,
		`{"do":"trim","delay":-1}`: 422, `{"do":`: http.StatusBadRequest, `{"over":"x"}`: http.StatusBadRequest, strings.Repeat(" ", mostOrder) + `{}`: http.StatusRequestEntityTooLarge,
	} {
		for _, s := range []*Server{with, without} {
			r := byOwner("POST", "http://127.0.0.1/api/sound", body)
			w := httptest.NewRecorder()
			s.Handler().ServeHTTP(w, r)
			if s == without && want != http.StatusRequestEntityTooLarge {
				want = http.StatusConflict
			}
			if w.Code != want {
				t.Errorf("%.40q: %d, want %d", body, w.Code, want)
			}
		}
	}
	if got := run.taken(); len(got) != 1 {
		t.Errorf("the run was asked for %q", got)
	}
}
