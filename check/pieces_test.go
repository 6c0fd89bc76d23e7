package check

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/check/flash"
	"lampblack/room"
	"lampblack/show"
)

// A margin is the share of the limit that is left: (3 - 5)/3, (4 - 1)/4, and
// nothing where there is no limit.
func TestMargins(t *testing.T) {
	for _, c := range []struct{ value, limit, want float64 }{{5, 3, -.6667}, {1, 4, .75}, {4, 4, 0}, {7, 0, 0}} {
		r := &report{}
		r.add(Finding{ID: "blackout", Value: c.value, Limit: c.limit})
		if got := r.list[0].Margin; got != c.want {
			t.Errorf("%v of %v: margin %v, want %v", c.value, c.limit, got, c.want)
		}
	}
}

// How values read beside their limits.
func TestInWords(t *testing.T) {
	for _, c := range []struct {
		value, limit, low, high, margin float64
		unit, text, want                string
	}{
		{110, 2, 0, 0, -54, "s", "", "110 s; limit 2 s; 55 times the limit"},
		{5, 3, 0, 0, -.667, "flashes in a second", "", "5 flashes in a second; limit 3 flashes in a second; 67 % over the limit"},
		{1, 3, 0, 0, .667, "flashes in a second", "", "1 flash in a second; limit 3 flashes in a second; 33 % of it"},
		{5.16, 10.764, 0, 0, -.52, "lx", "", "5.2 lx; at least 11 lx wanted; 48 % of it"},
		{15, 10.764, 0, 0, .39, "lx", "", "15 lx; at least 11 lx wanted; 139 % of it"},
		{44.8, 10000, 0, 0, .996, "W/(m² sr)", "", "45 W/(m² sr); limit 10 kW/(m² sr); under 1 % of it"},
		{1046, 10000, 264, 1046, .9, "J/m²", "up to 1 kJ/m²", "1 kJ/m² (264 J/m² to 1 kJ/m²); limit 10 kJ/m²; 10 % of it"},
		{5.9, 2, 0, 0, -1.95, "s", "it is dark for 5.9 s", "limit 2 s; 3 times the limit"},
		{.64, 0, 0, 0, 0, "m", "keep 0.64 m away", ""},
		{.64, 0, 0, 0, 0, "m", "keep away", "0.64 m"},
		{0, 0, 0, 0, 0, "", "", ""},
	} {
		f := Finding{Value: c.value, Limit: c.limit, Low: c.low, High: c.high, Margin: c.margin, Unit: c.unit, Text: c.text}
		if got := f.inWords(); got != c.want {
			t.Errorf("%v of %v: %q, want %q", c.value, c.limit, got, c.want)
		}
	}
}

// Five like notes are one note with five places: what is true of all is told
// once; another hint or another severity is told apart.
func TestLikeFindingsAreToldOnce(t *testing.T) {
	var list []Finding
	for i := range 5 {
		list = append(list, Finding{ID: "uv-keep-out", Severity: Note, Place: fmt.Sprintf("unit %d", i), Text: fmt.Sprintf("keep away from unit %d", i), Source: "ICNIRP 2004", Assumed: "an eye that stays", Hint: "mark it"})
	}
	list = append(list, Finding{ID: "uv-keep-out", Severity: Note, Place: "unit 9", Text: "keep away from unit 9", Source: "ICNIRP 2004", Assumed: "an eye that stays", Hint: "mark it well"})
	var b strings.Builder
	WriteText(&b, list, 100, false)
	for text, times := range map[string]int{"by: ICNIRP 2004": 2, "assumed: an eye": 2, "5 places": 1, "Keep away from unit": 6, "DO THIS": 0, "KNOW THIS": 1, "6 notes": 1} {
		if n := strings.Count(b.String(), text); n != times {
			t.Errorf("%q stands there %d times, want %d:\n%s", text, n, times, b.String())
		}
	}
}

// A day's shows that fit beside its rehearsal: (10 000 - 2 h at 0.5 W/m2 of an
// hour's 1800 J/m2 that is on all the time)/1800.
func TestAllowedShows(t *testing.T) {
	x := Exposure{Most: 1800, On: time.Hour}
	within(t, "shows", allowed(dailyUVA, x, Day{Shows: 9, Rehearsal: 2 * time.Hour}), (10000-2*1800)/1800., 1e-9)
	if n := allowed(dailyUVA, x, Day{Rehearsal: 20 * time.Hour}); n != 0 {
		t.Errorf("after 20 h of rehearsal %v shows are allowed", n)
	}
	if n := allowed(dailyUVA, Exposure{}, Day{Shows: 1}); n != 0 {
		t.Errorf("of no dose %v", n)
	}
}

func TestStayInWords(t *testing.T) {
	for s, want := range map[float64]string{7200: "2 h", 7199: "120 min", 120: "2 min", 119: "119 s", 36000: "10 h", .25: "0.25 s"} {
		if got := seconds(s); got != want {
			t.Errorf("%v s: %s, want %s", s, got, want)
		}
	}
}

// The sign and the announcement speak of flashing from two in a second on: one
// accent is none.
func TestFlashingIsAnnounced(t *testing.T) {
	s := &show.Show{Room: &room.Room{}}
	for value, want := range map[float64]bool{1: false, 2: true, 3: true} {
		for _, id := range []string{"flash-rate", "flash-red", "flash-union"} {
			var sign strings.Builder
			Sign(&sign, s, []Finding{{ID: id, Severity: Note, Place: "seat a", Value: value}})
			if got := strings.Contains(sign.String(), "**flashing light**"); got != want {
				t.Errorf("%v of %s: announced %v", value, id, got)
			}
		}
	}
}

// The longest run of flashing: events no more than half a second apart, and
// units that flash by themselves faster than that.
func TestLongestRun(t *testing.T) {
	at := func(ms ...int) []flash.Event {
		var out []flash.Event
		for _, m := range ms {
			out = append(out, flash.Event{At: time.Duration(m) * time.Millisecond})
		}
		return out
	}
	s := time.Second
	for _, c := range []struct {
		name     string
		events   []flash.Event
		trains   []flash.Train
		from, to time.Duration
	}{
		{"nothing", nil, nil, 0, 0},
		{"one", at(1000), nil, 0, 0},
		{"two near", at(1000, 1400), nil, s, 1400 * time.Millisecond},
		{"two apart", at(1000, 1501), nil, 0, 0},
		{"the longer of two runs", at(0, 400, 5000, 5500, 5900), nil, 5 * s, 5900 * time.Millisecond},
		{"a train joins them", at(900, 3400), []flash.Train{{From: s, To: 3 * s, Rate: 5}}, 900 * time.Millisecond, 3400 * time.Millisecond},
		{"a slow train is none", at(900), []flash.Train{{From: s, To: 9 * s, Rate: 1.9}}, 0, 0},
		{"a train alone, at 2 Hz", nil, []flash.Train{{From: s, To: 9 * s, Rate: 2}}, s, 9 * s},
	} {
		if from, to := flash.Longest(c.events, c.trains, slowest); from != c.from || to != c.to {
			t.Errorf("%s: %v to %v, want %v to %v", c.name, from, to, c.from, c.to)
		}
	}
}

// Two lamps at half light, one of which jumps to full for a tenth of a second
// twice: the unit, the cues and the second are named, the other lamp is not.
func TestCulprits(t *testing.T) {
	dir := bench("  - {cue: 1, at: 0 s, look: half, up: 0 s}\n  - {cue: 5, at: 10 s, look: kick, up: 0 s, hold: 0.1 s, returns: 0 s}\n  - {cue: 6, at: 10.4 s, look: kick, up: 0 s, hold: 0.1 s, returns: 0 s}\n  - {cue: 9, at: 20 s, look: half, up: 0 s}\n",
		"  half:\n    parts:\n      - {system: uv, emitters: {uv: 50 %}}\n  kick:\n    parts:\n      - {units: [a], emitters: {uv: 100 %}}\n")
	rig := string(dir["rig.yaml"].Data) + "  - {unit: b, type: lamp, address: 11, at: [1 m, 2 m, 1.2 m], aim: [1 m, 0 m, 1.2 m], systems: [uv]}\n"
	dir["rig.yaml"].Data = []byte(rig)
	list, err := Run(context.Background(), solved(t, dir), Options{Only: []string{"flash-union"}})
	if err != nil || len(list) != 1 {
		t.Fatalf("%v, %v", list, err)
	}
	f := list[0]
	if f.Value != 2 || !slices.Equal(f.Units, []string{"a"}) || !slices.Equal(f.Cues, []string{"5", "6"}) || f.From > 10.1 || f.To < 10.4 {
		t.Errorf("%+v", f)
	}
}

// Equal lines are found as a table of all longest common subsequences finds
// them, for texts that share a beginning, an end, both, or nothing.
func TestLongestCommon(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 300 {
		text := func(n int) []string {
			out := make([]string, n)
			for i := range out {
				out[i] = string(rune('a' + r.IntN(3)))
			}
			return out
		}
		a, b := text(r.IntN(9)), text(r.IntN(9))
		if r.IntN(3) == 0 {
			b = append(slices.Clone(a), b...)
		}
		pairs := longestCommon(a, b)
		for i, p := range pairs {
			if a[p[0]] != b[p[1]] || i > 0 && (p[0] <= pairs[i-1][0] || p[1] <= pairs[i-1][1]) {
				t.Fatalf("%v and %v: %v", a, b, pairs)
			}
		}
		best := make([][]int, len(a)+1)
		for i := range best {
			best[i] = make([]int, len(b)+1)
		}
		for i := range a {
			for j := range b {
				best[i+1][j+1] = max(best[i][j+1], best[i+1][j])
				if a[i] == b[j] {
					best[i+1][j+1] = max(best[i+1][j+1], best[i][j]+1)
				}
			}
		}
		if len(pairs) != best[len(a)][len(b)] {
			t.Fatalf("%v and %v: %d pairs, want %d", a, b, len(pairs), best[len(a)][len(b)])
		}
	}
}
