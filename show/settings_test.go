package show

import (
	"context"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"lampblack/room"
	"lampblack/score"
)

// curtainRoom has a front curtain between the lamps and the audience on one side and all the rest
// on the other, and a flat.
var curtainRoom = strings.Replace(hall["room.yaml"], "surfaces:\n", `surfaces:
  tabs: {material: grey cloth, centre: [0 m, 0.5 m, 2 m], width: 9 m, height: 4 m, faces: [0 m, -1 m, 0 m], opens: to the sides}
  flat: {material: white paint, centre: [2 m, 2.5 m, 1 m], width: 2 m, height: 2 m, faces: [0 m, -1 m, 0 m]}
`, 1)

const curtainScore = `
looks:
  lit: {system: front, level: 50 %}
  sea: {system: front, lux: 4, on: backdrop}
  on the cloth: {system: front, lux: 4, on: tabs}
cues:
  - {cue: 1, at: 0:00, look: on the cloth}
  - {cue: 2, at: 0:10, look: sea}
  - {cue: 3, at: 0:30, look: lit}
  - {cue: 4, at: 0:40, look: sea}
on stage:
  flat: cue 4
opens:
  tabs:
    - {cue: 2, to: open, takes: 4 s}
    - {at: 0:30, to: 40 %, takes: 2 s, pace: steady}
`

// curtainShow is one show for all tests: its settings are dear.
func curtainShow(t *testing.T) *Show {
	t.Helper()
	s, err := theCurtainShow()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var theCurtainShow = sync.OnceValues(func() (*Show, error) {
	files, faults := Read(hallWith(map[string]string{"room.yaml": curtainRoom, "score.yaml": curtainScore}))
	s, more := New(context.Background(), files, nil)
	return s, append(faults, more...).Err()
})

// How far a curtain is open, at what share of it the room is known, and what of it and of a flat is
// seen to be away.
func TestCurtainOpens(t *testing.T) {
	s := curtainShow(t)
	for at, want := range map[float64]float64{0: 0, 10: 0, 12: .5, 14: 1, 29: 1, 31: .7, 32: .4, 100: .4} {
		if got := s.open(&s.curtains[1], time.Duration(at*float64(time.Second))); math.Abs(got-want) > 1e-9 {
			t.Errorf("at %v s it is open by %v, want %v", at, got, want)
		}
	}
	away := func(at time.Duration) map[string]int {
		out := map[string]int{}
		for i, gone := range s.Absent(at) {
			if gone {
				out[s.Transport.Panels[i].Name]++
			}
		}
		return out
	}
	all := away(20 * time.Second)["tabs"]
	if n := away(0)["tabs"]; n != 0 || all == 0 {
		t.Errorf("closed, %d pieces are away; open, %d", n, all)
	}
	if n := away(40 * time.Second); n["tabs"] == 0 || n["tabs"] == all || n["flat"] != 0 || away(0)["flat"] == 0 {
		t.Errorf("in the end %v are away of %d", n, all)
	}
}

// A closed curtain keeps the light from the backdrop, an open one lets it through, and on the way it
// goes from one to the other. What a look asks of the backdrop it gets with the curtain open, and
// what it asks of the curtain with that closed.
func TestLightByCurtain(t *testing.T) {
	s := curtainShow(t)
	lux := func(name string, at time.Duration) float64 {
		f := s.Light(s.NewFrame(), at)
		return float64(s.Seen(at).Lux(name, f.Levels))
	}
	if v := lux("tabs", 5*time.Second); math.Abs(v-4) > .1 {
		t.Errorf("the closed curtain has %v lx, asked for 4", v)
	}
	before := 0.
	for at := 10 * time.Second; at <= 14*time.Second; at += time.Second {
		v := lux("backdrop", at)
		if v < before*.999 {
			t.Errorf("at %v the backdrop has %v lx, and %v before", at, v, before)
		}
		before = v
	}
	if v := lux("backdrop", 5*time.Second); v > .01 {
		t.Errorf("behind the closed curtain the backdrop has %v lx", v)
	}
	if v := lux("backdrop", 20*time.Second); math.Abs(v-4) > .1 {
		t.Errorf("the backdrop has %v lx, asked for 4", v)
	}
	// With the flat there, and the curtain half closed, the same look needs more.
	if v := lux("backdrop", 45*time.Second); math.Abs(v-4) > .1 {
		t.Errorf("with the flat the backdrop has %v lx, asked for 4", v)
	}
	for i := range s.Looks {
		if len(s.Looks[i].Misses) > 0 {
			t.Errorf("%s: %v", s.Looks[i].Name, s.Looks[i].Misses[0].Text)
		}
	}
}

// Stretches of the show in which nothing opens have one room, others two; eyes go by them.
func TestStandings(t *testing.T) {
	s := curtainShow(t)
	all := s.Standings()
	if all[0].From != 0 || all[len(all)-1].To != s.Length {
		t.Errorf("they go from %v to %v", all[0].From, all[len(all)-1].To)
	}
	for i, one := range all {
		if i > 0 && one.From != all[i-1].To {
			t.Errorf("one begins at %v after %v", one.From, all[i-1].To)
		}
		moves := one.From >= 10*time.Second && one.To <= 14*time.Second || one.From >= 30*time.Second && one.To <= 32*time.Second
		if moves != (len(one.Ends) == 2) {
			t.Errorf("from %v to %v there are %d rooms", one.From, one.To, len(one.Ends))
		}
	}
	stays := s.Stays(0)
	if len(stays) != len(all) {
		t.Fatalf("%d stretches of an eye, %d of the room", len(stays), len(all))
	}
	full := make([]float32, len(s.Rig.Drives))
	for d := range full {
		full[d] = 1
	}
	at := func(tr *room.Transport) float64 { return float64(tr.Lux("third row", full)) }
	if closed, open := at(stays[0].Ends[0]), at(stays[5].Ends[0]); closed == open {
		t.Errorf("an eye has %v lx before a closed curtain and an open one", closed)
	}
	if still := wayShow(t, ""); still.Stays(0) != nil || len(still.Standings()) != 1 {
		t.Error("a room in which nothing opens stands in several ways")
	}
}

// What cannot be is told where it is written.
func TestOpeningFaults(t *testing.T) {
	base := curtainShow(t)
	for more, want := range map[string]string{
		"opens:\n  tabs: [{cue: 9, to: open}]\n":                                 "there is no cue 9",
		"opens:\n  tabs: [{to: open}]\n":                                         "has no one beginning",
		"opens:\n  tabs: [{cue: 1}]\n":                                           "to",
		"opens:\n  tabs: [{cue: 1, to: 130 %}]\n":                                "does not say how far it is open",
		"opens:\n  tabs: [{cue: 2, to: open}, {cue: 1, to: closed}]\n":           "the opening that is written before it begins at",
		"opens:\n  curtain: [{cue: 1, to: open}]\n":                              `the room has no surface "curtain"`,
		"opens:\n  backdrop: [{cue: 1, to: open}]\n":                             "how backdrop opens is not said",
		"opens:\n  tabs: [{at: 9:00, to: open}]\n":                               "the piece is over at",
		"on stage:\n  tent: cue 1\n":                                             `the room has no object, performer, surface or box "tent"`,
		"on stage:\n  tabs: cues 1 to 2\nopens:\n  tabs: [{cue: 1, to: 50 %}]\n": "",
	} {
		text := strings.Split(curtainScore, "on stage:")[0] + more
		sc, faults := score.Read("score.yaml", []byte(text))
		_, more := base.With(sc)
		said := ""
		for _, f := range append(faults, more...) {
			said += f.Error() + "\n"
		}
		if !strings.Contains(said, want) || want == "" && said != "" {
			t.Errorf("%q tells %q, want %q", text[strings.Index(text, "cue: 4"):], said, want)
		}
	}
}

// In an evening a curtain that a piece opens is closed before it and after, as the room has it, and
// stands in the evening as one show as in its steps.
func TestCurtainOfAnEvening(t *testing.T) {
	f, faults := Read(hallWith(map[string]string{
		"room.yaml":  strings.Split(curtainRoom, "  flat:")[0] + "  backdrop:" + strings.Split(curtainRoom, "  backdrop:")[1],
		"score.yaml": "looks:\n  sea: {system: front, lux: 4, on: tabs}\ncues:\n  - {cue: 1, at: 0:00, look: sea}\n  - {cue: 2, at: 0:20, look: sea}\nopens:\n  tabs: [{at: 0:10, to: open}]\n",
		"order.yaml": "order:\n  - {standing: first, look: sea, at most: 60 s, usually: 60 s}\n  - {piece: its own}\n  - {standing: last, look: sea, at most: 60 s, usually: 60 s}\n",
		"show.yaml":  "title: Hall\n",
	}))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := New(t.Context(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	e, _ := s.Evening(f.Order, nil)
	whole := e.Whole()
	lux := func(s *Show, at time.Duration) float64 {
		return float64(s.Seen(at).Lux("tabs", s.Light(s.NewFrame(), at).Levels))
	}
	if v := lux(e.Steps[0].Show, 30*time.Second); math.Abs(v-4) > .1 {
		t.Errorf("before the piece the closed curtain has %v lx, asked for 4", v)
	}
	length := e.Steps[1].Usual()
	for at, want := range map[time.Duration]bool{30 * time.Second: false, 65 * time.Second: false, 60*time.Second + length - time.Millisecond: true, 61*time.Second + length: false} {
		if got := whole.Absent(at) != nil; got != want {
			t.Errorf("at %v of the evening it is open: %v, want %v", at, got, want)
		}
	}
	if v := lux(whole, 61*time.Second+length); math.Abs(v-4) > .1 {
		t.Errorf("after the piece the closed curtain has %v lx, asked for 4", v)
	}
}
