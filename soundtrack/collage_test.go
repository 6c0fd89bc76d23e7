package soundtrack

import (
	"os"
	"testing"
	"time"

	"lampblack/soundtrack/truth"
)

// tally counts over collages.
type tally struct {
	half, three         truth.Score // turns at 0.5 s and at 3 s
	hushes, hushesFound int
	falseHushes         int
	swells, swellsFound int
	shocks, shocksAtTop int
	hits                int
	voice, said, voiced time.Duration // true and found, said to be, true
}

// Collages like the soundtrack of a play. Seeds 1 to 10 were used for setting
// thresholds and weights; 11 to 20 for nothing but this test.
func TestCollages(t *testing.T) {
	// Two short ones are too few to hold to the figures that the twenty reach.
	from, to, length := uint64(11), uint64(12), 5*time.Minute
	half, three, found := 0.5, 0.6, 0.85
	if os.Getenv("LAMPBLACK_LONG") != "" {
		from, to, length = 1, 20, 10*time.Minute
		half, three, found = 0.65, 0.75, 0.95
	}
	var tuned, unseen tally
	for seed := from; seed <= to; seed++ {
		into := &unseen
		if seed <= 10 {
			into = &tuned
		}
		into.add(t, seed, truth.Collage(seed, length))
	}
	if tuned.hits > 0 {
		tuned.report(t, "seeds 1 to 10")
	}
	unseen.report(t, "seeds 11 and up")
	if unseen.half.F() < half || unseen.three.F() < three {
		t.Errorf("turns: F %.3f at 0.5 s and %.3f at 3 s, want %g and %g", unseen.half.F(), unseen.three.F(), half, three)
	}
	for _, c := range []struct {
		what         string
		found, there int
	}{{"hushes and swells", unseen.hushesFound + unseen.swellsFound, unseen.hushes + unseen.swells}, {"shocks", unseen.shocksAtTop, unseen.shocks}} {
		if share(int64(c.found), int64(c.there)) < found {
			t.Errorf("%s: %d of %d, want %g", c.what, c.found, c.there, found)
		}
	}
}

func (y *tally) add(t *testing.T, seed uint64, c truth.Play) {
	track := analyse(t, mono(c.Samples))
	var want []time.Duration
	for _, s := range c.Sections[1:] {
		want = append(want, s.From)
	}
	got := times(track.Of(Turn))[1:]
	y.half = y.half.Plus(truth.Match(want, got, 500*time.Millisecond))
	y.three = y.three.Plus(truth.Match(want, got, 3*time.Second))
	y.addSpans(t, seed, c, track)
	y.hits += len(track.Hits())
	for _, s := range c.Shocks {
		y.shocks++
		m, ok := track.Nearest(Hit, s, 50*time.Millisecond)
		if ok && m.Rank*50 <= len(track.Hits()) {
			y.shocksAtTop++
		} else {
			t.Logf("seed %d: shock at %v found %v, rank %d of %d", seed, s, ok, m.Rank, len(track.Hits()))
		}
	}
}

func (y *tally) addSpans(t *testing.T, seed uint64, c truth.Play, track *Track) {
	y.falseHushes += len(track.Of(Hush)) - len(c.Hushes)
	for _, s := range c.Hushes {
		y.hushes++
		m, ok := track.Nearest(Hush, s.From, 500*time.Millisecond)
		if ok && (m.End-s.To).Abs() < 500*time.Millisecond {
			y.hushesFound++
		} else {
			t.Logf("seed %d: hush not found: %v", seed, s)
		}
	}
	for _, s := range c.Swells {
		y.swells++
		found := false
		for _, m := range track.Of(Swell) {
			found = found || ((m.Time-s.From).Abs() < 2*time.Second && (m.End-s.To).Abs() < time.Second)
		}
		if found {
			y.swellsFound++
		} else {
			t.Logf("seed %d: swell not found: %v", seed, s)
		}
	}
	const step = 100 * time.Millisecond
	for at := time.Duration(0); at < track.Duration; at += step {
		a, b := spanAt(c.Voices, at), momentAt(track.Of(Voice), at)
		if a {
			y.voiced += step
		}
		if b {
			y.said += step
		}
		if a && b {
			y.voice += step
		}
	}
}

func spanAt(spans []truth.Span, at time.Duration) bool {
	for _, s := range spans {
		if at >= s.From && at < s.To {
			return true
		}
	}
	return false
}

func momentAt(ms []Moment, at time.Duration) bool {
	for _, m := range ms {
		if at >= m.Time && at < m.End {
			return true
		}
	}
	return false
}

func (y *tally) report(t *testing.T, name string) {
	t.Logf("%s: turns F %.3f at 0.5 s, %.3f at 3 s (P %.3f R %.3f); hushes %d of %d and %d more; swells %d of %d; "+
		"voice precision %.3f recall %.3f; shocks in the top 2 %% of %d hits: %d of %d",
		name, y.half.F(), y.three.F(), y.three.Precision(), y.three.Recall(), y.hushesFound, y.hushes, y.falseHushes,
		y.swellsFound, y.swells, y.voice.Seconds()/max(y.said.Seconds(), 1), y.voice.Seconds()/max(y.voiced.Seconds(), 1),
		y.hits, y.shocksAtTop, y.shocks)
}

// Sections of one material share a label.
func TestLabels(t *testing.T) {
	a := truth.Groove{Seed: 1, Length: 20 * time.Second, BPM: 100, Drums: true}.Play().Samples
	b := truth.Groove{Seed: 2, Length: 20 * time.Second, BPM: 100}.Play().Samples
	x := append(append(append([]float32{}, a...), b...), a...)
	turns := analyse(t, mono(x)).Of(Turn)
	if len(turns) != 3 || turns[0].Label != turns[2].Label || turns[0].Label == turns[1].Label {
		for _, m := range turns {
			t.Logf("%v to %v: %s", m.Time, m.End, m.Label)
		}
		t.Error("want three sections, the first and last alike")
	}
}
