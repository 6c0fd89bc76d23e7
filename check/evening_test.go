package check

import (
	"context"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

func booth() *show.Show {
	return checktest.Booth(`looks:
  black light: {parts: [{system: all, emitters: {uv: 100 %}}]}
  white: {parts: [{system: all, emitters: {white: 50 %}}]}
cues:
  - {cue: 1, at: 0:00, look: black light}
  - {cue: 2, at: 1:00, look: white}
`)
}

func ref(name string) source.Ref { return source.Ref{Name: name} }

func eveningOf(t *testing.T, s *show.Show, steps ...show.OrderStep) []finding.Finding {
	t.Helper()
	e, faults := s.Evening(&show.Order{Steps: steps}, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	list, err := Evening(context.Background(), e, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// highest is the highest day's dose of UV-A that is told.
func highest(list []finding.Finding) float64 {
	most := 0.
	for _, f := range list {
		if f.ID == "uv-dose" && strings.Contains(f.Text, "UV-A") {
			most = max(most, f.Value)
		}
	}
	return most
}

// A dose is a sum over time: that of a minute of black light in the piece and
// nine in a standing look is ten times that of the piece alone.
func TestEveningAddsDoses(t *testing.T) {
	s := booth()
	s.Bill.Days = []show.Day{{Name: "one", Shows: 1}}
	piece := show.OrderStep{Piece: ref("piece")}
	alone := highest(eveningOf(t, s, piece))
	all := highest(eveningOf(t, s,
		show.OrderStep{Standing: ref("preshow"), Look: ref("black light"), Usually: si.Stretch(time.Minute), Most: si.Stretch(9 * time.Minute)},
		piece,
		show.OrderStep{Standing: ref("bows"), Look: ref("white"), Most: si.Stretch(time.Hour)}))
	if alone == 0 || all < 9.99*alone || all > 10.01*alone {
		t.Errorf("the evening gives %v J/m², its piece alone %v", all, alone)
	}
	list, err := Run(context.Background(), s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if of := highest(list); of != alone {
		t.Errorf("as an evening the piece gives %v, as a show %v", alone, of)
	}
}

// An evening of the folder's own piece alone finds what the show finds, in the
// same places.
func TestEveningOfOnePieceChecksAlike(t *testing.T) {
	keys := func(list []finding.Finding) (out []string) {
		for _, f := range list {
			out = append(out, string(f.Severity)+" "+f.Key())
		}
		slices.Sort(out)
		return out
	}
	s := booth()
	list, err := Run(context.Background(), s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	one := eveningOf(t, s, show.OrderStep{Piece: ref("all")})
	if a, b := keys(list), keys(one); !slices.Equal(a, b) {
		t.Errorf("the show has %q, the evening %q", a, b)
	}
}

// What moves in a look that stands is told of the look, by the name of its step, and what moves in
// a cue of the cue.
func TestMovementIsToldOfWhatMoves(t *testing.T) {
	s := checktest.Booth(`looks:
  fast: {parts: [{system: all, emitters: {white: 100 %}, on the beat: {every: 0.2 s, fall: 80 ms}}]}
  none: {}
cues:
  - {cue: 1, at: 0:00, look: fast}
  - {cue: 2, at: 0:30, look: none}
`)
	var told []string
	for _, f := range eveningOf(t, s,
		show.OrderStep{Standing: ref("interval"), Look: ref("fast"), Most: si.Stretch(time.Minute)},
		show.OrderStep{Piece: ref("piece")}) {
		if f.ID == "movement-softened" {
			told = append(told, f.Place+": "+f.Text[:strings.Index(f.Text, ", and ")])
		}
	}
	if want := []string{"cue 1: cue 1 moves by itself", "what moves, interval: the standing look interval moves by itself"}; !slices.Equal(told, want) {
		t.Errorf("%q, want %q", told, want)
	}
}

// A movement that is made smaller under a bump alone says where, and how much of it is left.
func TestDipsAreTold(t *testing.T) {
	s := checktest.Booth(`looks:
  moves: {parts: [{system: all, emitters: {white: 100 %}, on the beat: {every: 0.4 s, fall: 150 ms}}]}
  hit: {parts: [{system: all, emitters: {white: 100 %}}]}
  none: {}
cues:
  - {cue: 1, at: 0:00, look: moves}
  - {cue: 2, at: 0:20.1, look: hit, hold: 0.1 s, returns: 0.05 s}
  - {cue: 3, at: 0:20.5, look: hit, hold: 0.1 s, returns: 0.05 s}
  - {cue: 4, at: 0:20.9, look: hit, hold: 0.1 s, returns: 0.05 s}
  - {cue: 5, at: 0:50, look: none}
`)
	list, err := Run(context.Background(), s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		switch {
		case f.ID == "movement-softened":
			if !regexp.MustCompile(`^cue 1 moves by itself, and (keeps \d+ % of its movement|stands) from 0:(19|20)\.\d* to 0:2[12]\.\d*: as it is written`).MatchString(f.Text) {
				t.Errorf("it says %q", f.Text)
			}
			return
		case f.Severity == finding.Stop && strings.HasPrefix(f.ID, "flash-"):
			t.Errorf("it flashes too often: %s", f.Text)
		}
	}
	t.Error("nothing is said of it")
}

// What is measured over the whole evening says where in its step it is.
func TestEveningSaysWhere(t *testing.T) {
	s := booth()
	list := eveningOf(t, s,
		show.OrderStep{Standing: ref("preshow"), Look: ref("white"), Most: si.Stretch(10 * time.Minute)},
		show.OrderStep{Piece: ref("piece")})
	said := false
	for _, f := range list {
		if f.ID == "uv-dose" || f.ID == "uv-irradiance" {
			said = said || strings.HasSuffix(f.Text, " of piece")
			if f.From > 0 && f.From < 600 {
				t.Errorf("%s at %v s, before the piece: %s", f.ID, f.From, f.Text)
			}
		}
	}
	if !said {
		t.Errorf("no finding says where in its step it is")
	}
}

// Flashes on both sides of a wait come close together when go comes at once: two before it and
// two after it are four in a second (WCAG 2.2, 2.3.1: no more than three), though the line on
// which the wait lasts has them a minute apart.
func TestFlashesAreCountedWhereNothingIsWaitedFor(t *testing.T) {
	score := `looks:
  white: {parts: [{system: all, emitters: {white: 100 %}}]}
  none: {parts: [{system: all, emitters: {white: 0 %}}]}
cues:
  - {cue: 1, at: 0:00, look: none}
  - {cue: 2, at: 0:09.600, look: white, hold: 0.1 s, returns: 0 s}
  - {cue: 3, at: 0:09.800, look: white, hold: 0.1 s, returns: 0 s}
  - {cue: 4, at: 0:10.000, look: white, hold: 0.1 s, returns: 0 s}
  - {cue: 5, at: 0:10.200, look: white, hold: 0.1 s, returns: 0 s}
  - {cue: 6, at: 0:12, look: none}
`
	flashes := func(score string) (n int, says string) {
		s := checktest.Booth(score)
		for _, run := range []func() ([]finding.Finding, error){
			func() ([]finding.Finding, error) { return Run(context.Background(), s, Options{}) },
			func() ([]finding.Finding, error) {
				e, _ := s.Evening(&show.Order{Steps: []show.OrderStep{{Piece: ref("piece")}}}, nil)
				return Evening(context.Background(), e, Options{})
			},
		} {
			list, err := run()
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range list {
				if f.Severity == finding.Stop && strings.HasPrefix(f.ID, "flash") {
					n++
					says = f.Text
				}
			}
		}
		return n, says
	}
	waits := "waits: [{at: 0:10, usually: 20 s, at most: 1 min}]\n"
	if n, says := flashes(score + waits); n < 2 || !strings.Contains(says, "go comes at once") {
		t.Errorf("%d findings: %q", n, says)
	}
	if n, _ := flashes(score); n < 2 {
		t.Errorf("without the wait there are %d findings", n)
	}
	calm := strings.NewReplacer("0:09.800", "0:08.600", "0:10.200", "0:11.600").Replace(score)
	if n, says := flashes(calm + waits); n != 0 {
		t.Errorf("two flashes in a second are told: %s", says)
	}
}

// People leave in the look that ends an evening: it must light their ways, whatever came before it.
func TestPeopleLeave(t *testing.T) {
	checktest.Coarse(t)
	s := checktest.Booth(`looks:
  black light: {parts: [{system: all, emitters: {uv: 100 %}}]}
  dim: {parts: [{system: all, emitters: {white: 50 %}}]}
  white: {parts: [{system: all, emitters: {white: 100 %}}]}
cues:
  - {cue: 1, at: 0:00, look: black light}
`)
	piece := show.OrderStep{Piece: ref("piece")}
	for look, want := range map[string]finding.Severity{"black light": finding.Stop, "dim": finding.Warn, "white": ""} {
		list := eveningOf(t, s, piece, show.OrderStep{Standing: ref("after"), Look: ref(look), Most: si.Stretch(time.Minute)})
		f := byID(list)["leave-dark"]
		if f.Severity != want {
			t.Errorf("people leave in %s: %q %s", look, f.Severity, f.Text)
		}
	}
	if f, told := byID(eveningOf(t, s, show.OrderStep{Standing: ref("before"), Look: ref("black light"), Most: si.Stretch(time.Minute)}, piece))["leave-dark"]; told {
		t.Errorf("nobody leaves in the first look: %s", f.Text)
	}
}

// The darkest point of a way counts where it is darker than the floor on the mean, and the mean where it is not.
func TestPeopleLeaveByAWay(t *testing.T) {
	checktest.Coarse(t)
	for y, want := range map[string]string{"0.45": "path way", "-0.4": "the floor on the mean"} {
		texts := maps.Clone(small)
		texts["room.yaml"] += "paths: {way: {points: [[-0.1 m, " + y + " m, 0 m], [0.1 m, " + y + " m, 0 m]]}}\n"
		texts["score.yaml"] = strings.Replace(texts["score.yaml"], "off: {system: all, emitters: {white: 0 %}}", "off: {system: all, emitters: {white: 4 %}}", 1)
		s := checktest.Solved(t, folderOf(texts))
		list := eveningOf(t, s, show.OrderStep{Piece: ref("piece")}, show.OrderStep{Standing: ref("after"), Look: ref("off"), Most: si.Stretch(time.Minute)})
		if f := byID(list)["leave-dark"]; !strings.Contains(f.Text, " on "+want) {
			t.Errorf("a way at %s: %s", y, f.Text)
		}
	}
}

// What is asked for alone is what a whole run finds of it.
func TestOnlyIsAPart(t *testing.T) {
	checktest.Coarse(t)
	s := checktest.Solved(t, checktest.DemoFolder())
	whole := ran(t, s)
	for _, id := range Identifiers() {
		var want []string
		for _, f := range whole {
			if f.ID == id {
				want = append(want, f.Place+": "+f.Text)
			}
		}
		var is []string
		for _, f := range ran(t, s, id) {
			is = append(is, f.Place+": "+f.Text)
		}
		if !slices.Equal(is, want) {
			t.Errorf("%s alone is %q, and with all others %q", id, is, want)
		}
	}
}
