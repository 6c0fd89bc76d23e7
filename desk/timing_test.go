package desk

import (
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"
)

// desks are three that differ in what delays their light and how it comes.
var desks = []struct {
	name      string
	change    []string // of the demo's desk
	line      time.Duration
	low, high time.Duration // from the last byte to the light
}{
	// MIDI 1.0: 31 250 baud, ten bits a byte; a note has 3 bytes, a program change 2.
	{"snaps", []string{"latency: 30 ms", "latency: 25 ms to 35 ms"}, 960 * time.Microsecond, 25 * time.Millisecond, 35 * time.Millisecond},
	{"each scene fades", []string{"{kind: none}", "{kind: each scene, longest: 30 s}", "latency: 30 ms", "latency: 80 ms", "note: 36, to: 75", "program: 0, to: 45"},
		640 * time.Microsecond, 80 * time.Millisecond, 80 * time.Millisecond},
	{"one time for all", []string{"{kind: none}", "{kind: one time, shortest: 0.2 s, longest: 10 s}", "latency: 30 ms", "latency: 4 ms to 6 ms"},
		960 * time.Microsecond, 4 * time.Millisecond, 6 * time.Millisecond},
}

// peaks are the cues of the demo that are brightest on a moment, or complete on
// it, copied from its score by hand: number, moment in seconds, look.
var peaks = []struct {
	cue    string
	moment float64
	look   string
}{
	{"15", 54.667, "bell"}, {"25", 82.998, "lantern turns"}, {"42", 142.124, "great drum"}, {"50", 167.993, "lightning"}, {"51", 172.538, "lightning"},
	{"71", 246.129, "pearl"}, {"77", 284.129, "pearl"}, {"79", 296.129, "pearl"}, {"80", 308.127, "towards the light"}, {"87", 323.129, "lantern turns"}, {"100", 391.462, "last bell"},
}

// sheetScenes reads the names and fades of sheet.csv, by what recalls them.
func sheetScenes(t *testing.T, p *Plan) (names map[string]string, fades map[string]time.Duration) {
	t.Helper()
	_, table, _ := written(t, p)
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	names, fades = map[string]string{}, map[string]time.Duration{}
	for _, row := range rows[1:] {
		recall := strings.Replace(row[4], ", channel", " of channel", 1)
		seconds, _ := strconv.ParseFloat(row[5], 64)
		names[recall], fades[recall] = row[3], time.Duration(seconds*float64(time.Second))
		if p.Desk.Fade.Kind == FadeOneTime {
			fades[recall] = p.Fade
		}
	}
	return names, fades
}

// Light of every cue that peaks on a moment is at the centre seat 0 to 40 ms
// before the sound of the moment, whatever the delays are inside their
// intervals. The notes are read by a reader of our own; the demo's show.yaml
// says 5 m from the speaker (343.2 m/s) and 12 to 22 ms of sound delay.
func TestPeaksLandAtTheSeat(t *testing.T) {
	air := 14569 * time.Microsecond // 5 m at 343.2 m/s
	for _, d := range desks {
		p := reduced(t, strings.NewReplacer(d.change...).Replace(small))
		names, fades := sheetScenes(t, p)
		events := notes(t, p)
		left := 0
		for _, want := range peaks {
			light := time.Duration(-1)
			cue := ""
			for _, e := range events {
				if strings.HasPrefix(e.text, "cue ") {
					cue = e.text
				} else if cue == "cue cue "+want.cue && (names[e.text] == want.look || strings.HasPrefix(names[e.text], want.look+" over ")) {
					light = e.at + fades[e.text]
				}
			}
			if light < 0 {
				left++ // a desk of so few scenes may do without one
				t.Logf("%s: no note of cue %s recalls %q", d.name, want.cue, want.look)
				continue
			}
			sound := time.Duration(want.moment * float64(time.Second))
			least := sound + air + 12*time.Millisecond - (light + d.line + d.high)
			most := sound + air + 22*time.Millisecond - (light + d.line + d.low)
			// A tick is 1 ms, and demo times are written to 1 ms.
			if least < -2*time.Millisecond || most > 42*time.Millisecond {
				t.Errorf("%s: light of cue %s leads its sound by %v to %v", d.name, want.cue, least, most)
			}
		}
		if left > 1 {
			t.Errorf("%s: %d of %d cues that peak on a moment are left out", d.name, left, len(peaks))
		}
	}
}

// A desk with one fade time begins early enough that changes are over on their
// moment: 2 s before 0:20 for the bump, which peaks there, and not before what
// was to be over at 0:10 is over.
func TestOneTimeBeginsAhead(t *testing.T) {
	s := tinyShow(t, "at: 0:10, look: night", "at: 0:10, look: night, up: 2 s, lands: completes", "up: 0.1 s, hold: 1 s, returns: 0.2 s", "up: 2 s, hold: 1 s, returns: 2 s",
		"at: 0:30, look: sea", "at: 0:30, look: sea, up: 2 s, lands: starts")
	p := fit(t, s, strings.Replace(five, "slots: 5", "slots: 8\nfade: {kind: one time, longest: 10 s}", 1))
	if p.Fade != 2*time.Second || p.Harm > 0 {
		t.Fatalf("the fade is %v, harm %v", p.Fade, p.Harm)
	}
	var got []string
	for _, m := range notes(t, p) {
		if strings.HasPrefix(m.text, "note") {
			got = append(got, fmt.Sprint(m.at.Seconds()))
		}
	}
	// 51 ms ahead: see TestNotesByHand.
	if want := "0 7.949 17.949 20.949 29.949"; strings.Join(got, " ") != want {
		t.Errorf("notes at %v, want %v", got, want)
	}
}

// A fade that is shorter or longer than the one asked for is moved so that it is
// over on its moment: by the longest of 1 s from 0:19 on, where the cue's own 2 s
// begin at 0:18; by the shortest of 3 s from 0:17 on.
func TestFadeIsOverOnItsMoment(t *testing.T) {
	s := tinyShow(t, "up: 0.1 s, hold: 1 s, returns: 0.2 s", "up: 2 s, hold: 1 s, returns: 2 s")
	for fade, want := range map[string]time.Duration{"longest: 1 s": 18949 * time.Millisecond, "shortest: 3 s, longest: 9 s": 16949 * time.Millisecond} {
		p := fit(t, s, strings.Replace(five, "slots: 5", "slots: 8\nfade: {kind: each scene, "+fade+"}", 1))
		cue := ""
		for _, m := range notes(t, p) {
			if cue == "cue cue 3" && m.at != want {
				t.Errorf("%s: the fade of cue 3 is sent at %v, want %v", fade, m.at, want)
			}
			cue = m.text
		}
	}
}

// Two changes that want to land nearer to one another than the desk takes
// recalls: the second waits, and losses.txt says by how much and why. A return
// between two bumps gives way instead.
func TestNearRecalls(t *testing.T) {
	near := "at: 0:30, look: sea"
	slow := strings.Replace(five, "slots: 5", "slots: 8\nshortest gap: 200 ms", 1)
	p := fit(t, tinyShow(t, near, "at: 0:30, look: sea}\n  - {cue: 5, at: 0:30.100, look: open"), slow)
	if _, _, losses := written(t, p); !strings.Contains(losses, "it comes 100 ms late: the desk takes no recalls nearer than 200ms") {
		t.Errorf("nothing of the wait in\n%s", losses)
	}
	p = fit(t, tinyShow(t, near, "at: 0:21.150, look: sea, up: 0.1 s, returns: 0 s, lands: peaks"), slow)
	last := notes(t, p)
	for _, m := range last {
		if m.at > 21*time.Second && m.at < 21150*time.Millisecond-52*time.Millisecond {
			t.Errorf("%v at %v, where it keeps the next from landing", m.text, m.at)
		}
	}
}
