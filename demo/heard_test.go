package demo

import (
	"bytes"
	"context"
	"testing"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack"
)

// What package soundtrack hears in the piece, against what is in it.
func TestWhatIsHeard(t *testing.T) {
	if testing.Short() {
		t.Skip("left out: synthesises and listens to seven minutes")
	}
	p := TheLanternFish()
	var wav bytes.Buffer
	if err := Synthesise(&wav, p, nil); err != nil {
		t.Fatal(err)
	}
	s, err := soundfile.Open(bytes.NewReader(wav.Bytes()), fishSound)
	if err != nil {
		t.Fatal(err)
	}
	track, err := soundtrack.Analyse(context.Background(), s, soundtrack.Options{})
	if err != nil {
		t.Fatal(err)
	}
	accents, recalled, worst := 0, 0, time.Duration(0)
	highest := 0
	for _, a := range p.Attacks {
		if !a.Accent {
			continue
		}
		accents++
		m, ok := track.Nearest(soundtrack.Hit, a.Time, 15*time.Millisecond)
		if !ok {
			t.Errorf("%s at %v was not heard within 15 ms", a.Name, a.Time)
			continue
		}
		recalled++
		worst = max(worst, (m.Time - a.Time).Abs())
		highest = max(highest, m.Rank)
	}
	const window = 50 * time.Millisecond
	precision, recall := overlap(track.Hits(), p.Attacks, window)
	t.Logf("planned accents: %d of %d within 15 ms, worst %v; the last of them has rank %d", recalled, accents, worst, highest)
	t.Logf("all attacks, ±%v: precision %.3f, recall %.3f of %d with a rise under 20 ms; %d hits", window, precision, recall, len(p.Attacks), len(track.Hits()))
	t.Logf("programme loudness %.1f LUFS, range %.1f LU", track.Programme, track.Range)
	if track.Programme < -23 || track.Programme > -16 {
		t.Errorf("programme loudness %.1f LUFS, want -23 to -16", track.Programme)
	}
	for _, h := range p.Hushes {
		if m, ok := track.Nearest(soundtrack.Hush, h.From, 2*time.Second); !ok {
			t.Errorf("the hush at %v was not heard: nearest %v", h.From, m.Time)
		}
	}
}

// overlap gives the share of hits that are planned, and of planned attacks
// that are sharp enough to be heard as such that were hit.
func overlap(hits []soundtrack.Moment, attacks []Attack, window time.Duration) (precision, recall float64) {
	planned, sharp, found := 0, 0, 0
	for _, h := range hits {
		for _, a := range attacks {
			if (a.Time - h.Time).Abs() <= window {
				planned++
				break
			}
		}
	}
	for _, a := range attacks {
		if a.Rise > 20*time.Millisecond {
			continue
		}
		sharp++
		for _, h := range hits {
			if (a.Time - h.Time).Abs() <= window {
				found++
				break
			}
		}
	}
	return float64(planned) / float64(max(len(hits), 1)), float64(found) / float64(max(sharp, 1))
}
