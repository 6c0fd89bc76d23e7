package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"lampblack/doors"
)

// porter is a round before doors of two lamps and a house, without a run.
type porter struct {
	*doors.List
	mu      sync.Mutex
	pulsed  []string
	written string
}

func newPorter() *porter {
	p := &porter{}
	p.List = doors.New(doors.Setup{Units: []doors.Unit{{Name: "par 1", Where: "front"}, {Name: "uv 2", Where: "uv"}}, Identify: func(_ context.Context, unit string) error {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.pulsed = append(p.pulsed, unit)
		return nil
	}, TakeOut: func(unit, why string) error {
		p.mu.Lock()
		defer p.mu.Unlock()
		p.pulsed = append(p.pulsed, unit+" out: "+why)
		return nil
	}, Outputs: func() []doors.Output { return []doors.Output{{Name: "e131", Sent: 9}} }})
	return p
}

func (p *porter) Round() Round {
	p.mu.Lock()
	defer p.mu.Unlock()
	return Round{Items: p.Items(), Sum: p.Sum().String(), Written: p.written}
}
func (p *porter) Ask()                { p.List.Ask(context.Background()) }
func (p *porter) Try(id string) error { return p.List.Try(context.Background(), id) }
func (p *porter) Rest() error         { return p.List.Rest(context.Background()) }
func (p *porter) Finish() error {
	if p.Sum().Good == 0 {
		return errors.New("nothing was looked at")
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.written = "18:41: " + p.Sum().String()
	return nil
}
func (p *porter) pulses() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return strings.Join(p.pulsed, ",")
}

func doorsServer(t *testing.T) (*porter, string) {
	t.Helper()
	p := newPorter()
	server, err := New(Options{Gate: ownGate(), Show: openHall(t, 1), Doors: p})
	if err != nil {
		t.Fatal(err)
	}
	return p, serve(t, server)
}

// Two minutes with a phone: each lamp pulses as its turn comes, and stops; what is not good
// says what to do, and what it came to gets into the report.
func TestDoorsOnAPhone(t *testing.T) {
	p, url := doorsServer(t)
	page := openTab(t, url+"/doors", 390, 844)
	press := func(text string) {
		t.Helper()
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`[...document.querySelectorAll(".doors button")].find((b) => b.textContent === %q).click()`, text)))
	}
	big := func(text string) {
		t.Helper()
		page.wait(fmt.Sprintf(`document.querySelector(".one .big").textContent === %q`, text))
	}
	big("par 1, front answers")
	page.wait(`document.querySelector(".one .ticks")?.textContent.includes("Pulse again")`)
	page.picture("doors-phone")
	page.judgeDoors()
	press("Good")
	big("uv 2, uv answers")
	page.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".one input").value = "stays dark"`))
	press("Not good")
	big("the alarm ends the dark")
	page.wait(`document.querySelector(".row.not-good").textContent.includes("stays dark — look at its plug")`)
	page.whole("doors-phone-list")
	press("Good")
	big("the phone is connected")
	press("Leave it so tonight")
	big("uv 2, uv answers") // around again: it is not good yet
	page.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".one input").value = "stays dark"`))
	press("Take it out tonight")
	page.wait(`document.querySelector(".one .big").textContent === "That is all."`)
	press("Into the night's report")
	page.wait(`document.querySelector(".written").textContent.startsWith("In the night's report: 18:41: 3 of 5 good; left so: unit uv 2 (stays dark, is out tonight), phone")`)
	// The lamps went on and off in turn, and none was left pulsing.
	if got, want := p.pulses(), "par 1,uv 2,,uv 2,uv 2 out: stays dark,"; got != want {
		t.Errorf("pulses %q, want %q", got, want)
	}
	page.clean()
}

// judgeDoors holds the page to what a thumb needs in the dark: 9 mm (common practice), at
// 0.16 mm to the pixel of a phone, and no way to the side.
func (p *tab) judgeDoors() {
	p.Helper()
	if px := value[float64](p, `Math.min(...[...document.querySelectorAll(".doors button")].map((b) => b.offsetHeight))`); px < 44 {
		p.Errorf("a button is %.0f px high", px)
	}
	if px := value[float64](p, `Math.min(...[...document.querySelectorAll(".one .ticks:not(.small) button")].map((b) => b.offsetHeight))`); px*.16 < 9 {
		p.Errorf("a tick is %.0f px high", px)
	}
	if wide := value[bool](p, `document.documentElement.scrollWidth > innerWidth`); wide {
		p.Error("the page is wider than the phone")
	}
	// Nothing white anywhere: no ground is brighter than a dark red.
	bright := value[string](p, `[...document.querySelectorAll("*")].filter((e) => {
		const [r, g, b, a] = (getComputedStyle(e).backgroundColor.match(/[0-9.]+/g) ?? []).map(Number);
		return a !== 0 && (r > 90 || g > 20 || b > 20);
	}).map((e) => e.tagName + "." + e.className).join(", ")`)
	if bright != "" {
		p.Errorf("bright grounds: %s", bright)
	}
}

// Orders that are wrong are told in words, and change nothing.
func TestDoorsRefuses(t *testing.T) {
	p, url := doorsServer(t)
	for _, c := range []struct {
		do, body string
		status   int
	}{
		{"tick", `{"id":"unit par 1","state":"perfect"}`, 422}, {"tick", `{"id":"none","state":"good"}`, 422}, {"tick", `{`, 400}, {"try", `{"id":"alarm"}`, 422},
		{"finish", "", 422}, {"dance", "", 404}, {"tick", strings.Repeat("x", mostOrder+1), 413}, {"ask", "", 200}, {"tick", `{"id":"unit par 1","state":"good"}`, 200}, {"finish", "", 200},
	} {
		r, err := http.DefaultClient.Do(byOwner("POST", url+"/api/doors/"+c.do, c.body))
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != c.status {
			t.Errorf("%s %.40s: %d, want %d", c.do, c.body, r.StatusCode, c.status)
		}
	}
	if i := slices.IndexFunc(p.Items(), func(i doors.Item) bool { return i.State != doors.Open && i.Seen }); i != 0 {
		t.Errorf("%+v", p.Items())
	}
}

// The Night page says what the round came to, and leads to it.
func TestNightTellsOfDoors(t *testing.T) {
	s, url := hallServer(t, 1, &orders{})
	page := openTab(t, url+"/night", 390, 844)
	line := `document.querySelector(".night .round a").textContent`
	s.SetPlayhead(Playhead{Running: true, Held: true, Clock: "the sound"})
	page.wait(line + ` === "Before doors: nobody has looked yet"`)
	s.SetPlayhead(Playhead{Running: true, Held: true, Clock: "the sound", Doors: "18:41: 9 of 9 good"})
	page.wait(line + ` === "Before doors, 18:41: 9 of 9 good"`)
	page.whole("night-doors")
}

// The Night page says what is wrong with the outputs and what to do, the gravest first,
// and no more when that is over.
func TestNightTellsWhatIsWrong(t *testing.T) {
	s, url := hallServer(t, 1, &orders{})
	page := openTab(t, url+"/night", 390, 844)
	lines := `document.querySelectorAll(".night .wrongs p").length`
	head := Playhead{Running: true, Clock: "the sound", State: "runs", Speed: 1}
	s.SetPlayhead(head)
	page.wait(lines + " === 0")
	head.Wrong = []Wrong{
		{Of: "E1.31 to multicast by eth0", Text: "no network on eth0: no cable is in, or what is at its other end has no power", Hint: "put the network cable in at both ends and see that the switch has power; it goes on by itself", Since: "20:14:05", Lost: true},
		{Of: "this computer", Text: "frames are made late, or not at all", Hint: "close other programs, plug the charger in, and switch power saving off", Since: "20:13:44"},
	}
	s.SetPlayhead(head)
	page.wait(lines + " === 2")
	page.whole("night-wrong")
	head.Wrong = nil
	s.SetPlayhead(head)
	page.wait(lines + " === 0")
	page.clean()
}
