package showreport

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/dose"
	"lampblack/check/subject"
	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/clock"
	"lampblack/room"
	"lampblack/show"
	"lampblack/web/admit"
)

const score = `looks:
  half: {parts: [{system: all, emitters: {uv: 50 %, white: 20 %}}]}
  none: {purpose: dark}
cues:
  - {cue: 1, at: 0 s, look: half, up: 0 s}
  - {cue: 2, at: 10:00, look: none, up: 10 s}
`

var booth = sync.OnceValue(func() *show.Show { return checktest.Booth(score) })

// journal writes events of a zone as lines.
func journal(zone string, events ...evening.Event) *bytes.Reader {
	var b bytes.Buffer
	l := evening.NewLog(zone, evening.State{}, func(e evening.Event) {
		text, _ := json.Marshal(e)
		b.Write(append(text, '\n'))
	})
	for _, e := range events {
		l.Append(e)
	}
	return bytes.NewReader(b.Bytes())
}

var begin = time.Date(2026, 11, 28, 19, 30, 0, 0, time.UTC)

func at(seconds float64, kind evening.Kind, place, speed float64, text string) evening.Event {
	p := time.Duration(place * 1e9)
	return evening.Event{Time: begin.Add(time.Duration(seconds * 1e9)), Kind: kind, At: p, From: p, Speed: speed, Text: text}
}

func of(t *testing.T, s *show.Show, orders string, events ...evening.Event) *Report {
	t.Helper()
	p := s.Alone(nil)
	r, err := Of(t.Context(), Night{Name: "2026-11-28", Journal: journal(p.Zones[0].Name, events...), Orders: strings.NewReader(orders), Place: p})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-3*math.Abs(want)+1e-9 {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// By hand: the lamp stands at half black light and a fifth of white for ten minutes of the show
// and a hold of thirty, fades straight over ten seconds, and is off after.
func TestHoursAndDosesByHand(t *testing.T) {
	s := booth()
	r := of(t, s, "", at(0, evening.Began, 0, 1, ""), at(0, evening.Cue, 0, 1, "1"), at(300, evening.Hold, 300, 0, ""), at(2100, evening.Go, 300, 1, ""),
		at(2400, evening.Cue, 600, 1, "2"), at(3000, evening.Ended, 1200, 1, "frames late by nothing"))
	p := s.Alone(nil)
	row := p.Transport.MostRow(0, room.UVA)
	want := 0.0
	for d := range row {
		level := .2
		if s.Rig.Emitter(d).Light.BlackLight() {
			level = .5
		}
		want += level * (2400 + 5) * row[d] * p.Transport.Spread[d].High
	}
	near(t, "dose, J/m²", r.People[0].Dose, want)
	near(t, "lit, h", r.Lamps[0].Lit, 2410./3600)
	near(t, "with black light, h", r.Lamps[0].Violet, 2410./3600)
	near(t, "as at full, h", r.Lamps[0].Full, (.5+.2)/2*2405./3600)
	near(t, "took, s", r.Zones[0].Steps[0].Length, 3000)
	if got := r.Zones[0].Lines; len(got) != 1 || got[0] != "held once, 30 min in all" && !strings.HasPrefix(got[0], "held once") {
		t.Errorf("in sum: %q", got)
	}
	if len(r.Frames) != 1 || r.Zones[0].Steps[0].Cues != 2 || r.Zones[0].Steps[0].Cut {
		t.Errorf("%+v", r)
	}
}

// A night in which nothing was beside the plan gives what package dose works out beforehand for
// one show: its integrals are trapezia over the show's corners.
func TestQuietNightIsWhatWasComputed(t *testing.T) {
	s := checktest.Booth(`looks:
  a: {parts: [{system: all, emitters: {uv: 80 %}}]}
  b: {parts: [{system: all, emitters: {white: 60 %}}]}
cues:
  - {cue: 1, at: 0:05, look: a, up: 7 s}
  - {cue: 2, at: 0:40, look: b, up: 3 s, down: 12 s}
  - {cue: 3, at: 1:30, look: a, up: 0.1 s, hold: 1 s, returns: 4 s}
`)
	r := of(t, s, "", at(0, evening.Began, 0, 1, ""), at(s.Length.Seconds(), evening.Ended, s.Length.Seconds(), 1, ""))
	full := 0.0
	for _, v := range dose.Integrals(t.Context(), subject.Of(s)) {
		full += v / 3600 / 2
	}
	if got := r.Lamps[0].Full; math.Abs(got-full) > .005*full {
		t.Errorf("as at full %v h, worked out beforehand %v h", got, full)
	}
}

// The journal of a real run, in simulated time, gives what its frames gave.
func TestReportOfARealRun(t *testing.T) {
	s := booth()
	synctest.Test(t, func(t *testing.T) {
		var b bytes.Buffer
		commands := make(chan play.Command, 4)
		lit := 0.0
		began := time.Now()
		last := began
		go func() {
			for _, c := range []struct {
				at time.Duration
				do play.Action
			}{{time.Minute, play.Hold}, {3 * time.Minute, play.LightsUp}, {4 * time.Minute, play.LightsDown}, {5 * time.Minute, play.Go}} {
				time.Sleep(time.Until(began.Add(c.at)))
				commands <- play.Command{Do: c.do}
			}
		}()
		_, err := play.Run(t.Context(), s, play.Options{Zone: s.Bill.Title, Clock: &clock.Wall{}, Commands: commands, For: 8 * time.Minute, Rate: 10,
			Journal: func(e evening.Event) { text, _ := json.Marshal(e); b.Write(append(text, '\n')) },
			Report: func(st play.Status) {
				now := time.Now()
				for _, v := range st.Levels {
					lit += float64(v) * now.Sub(last).Seconds()
				}
				last = now
			}})
		if err != nil {
			t.Error(err)
			return
		}
		p := s.Alone(nil)
		r, err := Of(t.Context(), Night{Journal: bytes.NewReader(b.Bytes()), Place: p})
		if err != nil {
			t.Error(err)
			return
		}
		if got, want := r.Lamps[0].Full*3600*2, lit; math.Abs(got-want) > .01*want {
			t.Errorf("the report has %v s of full light, the frames had %v", got, want)
		}
		if r.To.Sub(began) < 8*time.Minute || len(r.Happened) != 4 {
			t.Errorf("from %v to %v: %+v", r.From, r.To, r.Happened)
		}
	})
}

// Who asked is found by the list of orders; a key of the keyboard is nobody's.
func TestWhoAsked(t *testing.T) {
	line := func(s float64, who, order, said string) string {
		text, _ := json.Marshal(admit.Asked{Time: begin.Add(time.Duration(s * 1e9)), Who: who, Order: order, Said: said, Times: 1})
		return string(text) + "\n"
	}
	r := of(t, booth(), line(29.9, "phone 2", "hold", admit.Done)+line(59.5, "phone 1", "go", "not allowed")+"half a li\n"+line(89.8, "laptop", "sound freeze light", admit.Done),
		at(0, evening.Began, 0, 1, ""), at(30, evening.Hold, 30, 0, ""), at(60, evening.Go, 30, 1, ""), at(90, evening.Froze, 60, 1, ""), at(100, "output lost", 70, 1, "hall: no cable"), at(110, evening.Ended, 80, 1, ""))
	var got []string
	for _, h := range r.Happened {
		got = append(got, h.What+"/"+h.Who)
		if h.Bad != (h.What == "output lost") {
			t.Errorf("%+v", h)
		}
	}
	if text := strings.Join(got, " "); text != "hold/phone 2 go/ freeze light/laptop output lost/" {
		t.Errorf("who asked: %s", text)
	}
	if len(r.Asked) != 3 || len(r.Doubts) != 1 || !strings.Contains(r.Doubts[0], "1 lines of the list") {
		t.Errorf("%+v %q", r.Asked, r.Doubts)
	}
}

// A run that was killed and another that began: what was between is not counted.
func TestKilledRun(t *testing.T) {
	s := booth()
	p := s.Alone(nil)
	var b bytes.Buffer
	for _, run := range [][]evening.Event{
		{at(0, evening.Began, 0, 1, ""), at(60, evening.Cue, 60, 1, "1")},
		{at(1000, evening.Began, 0, 1, ""), at(1060, evening.Cue, 60, 1, "1"), at(1120, evening.Ended, 120, 1, "")},
	} {
		_, _ = journal(p.Zones[0].Name, run...).WriteTo(&b)
	}
	r, err := Of(t.Context(), Night{Journal: bytes.NewReader(b.Bytes()), Place: p})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lit, h", r.Lamps[0].Lit, 180./3600)
	if steps := r.Zones[0].Steps; len(steps) != 2 || !steps[0].Cut || steps[1].Cut || steps[0].Length != 60 {
		t.Errorf("%+v", steps)
	}
	if _, err := Of(t.Context(), Night{Journal: strings.NewReader("{}\nnonsense\n"), Place: p}); err == nil {
		t.Error("a report of nothing")
	}
}

func TestAgainst(t *testing.T) {
	s := booth()
	a := of(t, s, "", evening.Event{Time: begin, Kind: evening.Began, Speed: 1, Version: "aaa"}, at(10, evening.ClockLost, 10, 0, "no timecode"), at(600, evening.Ended, 600, 1, ""))
	b := of(t, s, "", evening.Event{Time: begin, Kind: evening.Began, Speed: 1, Version: "bbb"}, at(10, "output lost", 10, 1, "hall: no cable"), at(20, evening.ByHand, 20, 1, "3 is out (flickers)"), at(700, evening.Ended, 700, 1, ""))
	got := strings.Join(b.Against(a, Files{"score.yaml": "2", "new.yaml": "1", "rig.yaml": "1"}, Files{"score.yaml": "1", "rig.yaml": "1", "old.yaml": "1"}), "\n")
	want := `another version of: the show
files changed: score.yaml
files added: new.yaml
files gone: old.yaml
the show took 11:40, longer by 1:40
new this night: output lost: hall: no cable
no more: clock lost: no timecode
by hand: nothing then, 3 is out (flickers) this night`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if same := a.Against(a, nil, nil); len(same) > 0 {
		t.Errorf("against itself: %q", same)
	}
}

// The table has as many fields in each row, and no name is a formula.
func TestCSVIsATable(t *testing.T) {
	r := of(t, booth(), "", at(0, evening.Began, 0, 1, ""), at(5, evening.Missed, 5, 1, "=cmd()"), at(700, evening.Ended, 700, 1, ""))
	var b, text bytes.Buffer
	if err := r.CSV(&b, []string{"files changed: a, \"b\""}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll() // which holds rows to the length of the first
	if err != nil || len(rows) != 7 {
		t.Errorf("%v: %d rows", err, len(rows))
	}
	for _, row := range rows {
		for _, f := range row {
			if strings.HasPrefix(f, "=") {
				t.Errorf("a formula: %q", f)
			}
		}
	}
	if err := r.Say(&text, nil); err != nil || !strings.Contains(text.String(), "| =cmd() |") {
		t.Errorf("%v %s", err, text.String())
	}
}

// No journal makes it panic or take long.
func FuzzOf(f *testing.F) {
	s := booth()
	p := s.Alone(nil)
	text := make([]byte, 4096)
	n, _ := journal(p.Zones[0].Name, at(0, evening.Began, 0, 1, ""), at(1e6, evening.Hold, 1e5, 1e9, "x"), at(2e6, evening.Resumed, -5, -3, "")).Read(text)
	f.Add(text[:n], []byte(`{"time":"2026-11-28T19:30:00Z","who":"x","order":"go","said":"done"}`))
	f.Fuzz(func(t *testing.T, text, orders []byte) {
		r, err := Of(t.Context(), Night{Journal: bytes.NewReader(text), Orders: bytes.NewReader(orders), Place: p})
		if err == nil {
			_ = r.Say(&bytes.Buffer{}, r.Against(r, nil, nil))
		}
	})
}
