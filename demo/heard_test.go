package demo

import (
	"bytes"
	"context"
	"testing"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack"
)

// heard synthesises a plan and listens to it.
func heard(t testing.TB, p Plan) *soundtrack.Track {
	t.Helper()
	var wav bytes.Buffer
	if err := Synthesise(&wav, p, nil); err != nil {
		t.Fatal(err)
	}
	s, err := soundfile.Open(bytes.NewReader(wav.Bytes()), "sound.wav")
	if err != nil {
		t.Fatal(err)
	}
	track, err := soundtrack.Analyse(context.Background(), s, soundtrack.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return track
}

// What package soundtrack hears in the piece, against what is in it.
func TestWhatIsHeard(t *testing.T) {
	if testing.Short() {
		t.Skip("left out: synthesises and listens to seven minutes")
	}
	p := TheLanternFish()
	track := heard(t, p)
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
	t.Logf("all attacks, ±%v: precision %.3f, recall %.3f of those with a rise under 20 ms; %d attacks, %d hits", window, precision, recall, len(p.Attacks), len(track.Hits()))
	ranking := averagePrecision(track, p)
	t.Logf("ranking: average precision of the planned accents %.3f", ranking)
	if precision < .9 || recall < .95 || ranking < .9 {
		t.Errorf("precision %.3f, recall %.3f, ranking %.3f: want .9, .95 and .9", precision, recall, ranking)
	}
	swells := 0
	for _, s := range p.Swells {
		for _, m := range track.Of(soundtrack.Swell) {
			if (m.End - s.To).Abs() < time.Second {
				swells++
				break
			}
		}
	}
	t.Logf("swells: the ends of %d of %d within 1 s", swells, len(p.Swells))
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

// averagePrecision is the area under precision against recall of the ranked
// hits, where a hit within 15 ms of a planned accent is right.
func averagePrecision(track *soundtrack.Track, p Plan) float64 {
	accents, right, sum := 0, 0, 0.0
	for _, a := range p.Attacks {
		if a.Accent {
			accents++
		}
	}
	for i, h := range track.Ranked(-1) {
		for _, a := range p.Attacks {
			if a.Accent && (a.Time-h.Time).Abs() <= 15*time.Millisecond {
				right++
				sum += float64(right) / float64(i+1)
				break
			}
		}
	}
	return sum / float64(accents)
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
