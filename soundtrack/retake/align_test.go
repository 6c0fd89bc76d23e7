package retake

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"lampblack/soundfile"
)

func printOf(t testing.TB, x []float32, rate, channels int) *Print {
	t.Helper()
	var b bytes.Buffer
	if err := soundfile.WriteWAV(&b, rate, channels, 32, x); err != nil {
		t.Fatal(err)
	}
	p, err := Take(open(t, b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func open(t testing.TB, b []byte) soundfile.Stream {
	t.Helper()
	s, err := soundfile.Open(bytes.NewReader(b), "take")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// score is what becomes of cues under edits.
type score struct {
	errs             []float64 // ms, of cues placed without a flag
	placed, flagged  int       // of those kept
	missed           int       // kept, and called cut
	wrong            int       // off by 50 ms or more without a flag
	cut, falsePlaced int       // cut; of those, placed without a flag
	falseFlagged     int       // of those, placed with a flag
}

func (s *score) String() string {
	slices.Sort(s.errs)
	q := func(p float64) float64 {
		if len(s.errs) == 0 {
			return math.NaN()
		}
		return s.errs[int(p*float64(len(s.errs)-1))]
	}
	return fmt.Sprintf("%6d kept: %5d flagged, %4d missed, %3d wrong; error ms p50 %.3f p95 %.3f p99 %.3f p99.9 %.2f max %.2f; %5d cut: %d placed without, %d with a flag",
		s.placed, s.flagged, s.missed, s.wrong, q(0.5), q(0.95), q(0.99), q(0.999), q(1), s.cut, s.falsePlaced, s.falseFlagged)
}

// judge places cues at random old times and compares with the truth. Within 15 ms
// of a joint a cue may fall to either side.
func (s *score) judge(t *testing.T, e *edit, m Map, oldSeconds float64, rng *rand.Rand) {
	const cues = 60
	for range cues {
		old := rng.Float64() * oldSeconds
		truth := e.place(old)
		if e.nearCut(old, 0.015) {
			continue
		}
		got, confidence, ok := m.At(time.Duration(old * 1e9))
		if len(truth) == 0 {
			s.cut++
			switch {
			case ok && confidence >= Doubtful:
				s.falsePlaced++
				t.Logf("%s: the cue at %.3f was cut and is placed at %.3f, confidence %.2f", e.name, old, got.Seconds(), confidence)
			case ok:
				s.falseFlagged++
			}
			continue
		}
		s.placed++
		if !ok {
			s.missed++
			continue
		}
		off := math.Inf(1)
		for _, at := range truth {
			off = math.Min(off, math.Abs(at-got.Seconds())*1000)
		}
		if confidence < Doubtful {
			s.flagged++
			continue
		}
		s.errs = append(s.errs, off)
		if off > 50 {
			s.wrong++
			t.Logf("%s: the cue at %.3f is placed at %.3f, confidence %.2f: want %.3f", e.name, old, got.Seconds(), confidence, truth)
		}
	}
}

// TestConstructedEdits makes edits with known truth and reports where cues come
// to lie. LAMPBLACK_LONG=1 makes 504 of them.
func TestConstructedEdits(t *testing.T) {
	rounds := 1
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rounds = 7
	}
	same, speed := &score{}, &score{}
	byTreatment := map[string]*score{}
	for _, treatment := range treatments {
		byTreatment[treatment] = &score{}
	}
	var mu sync.Mutex // of the scores
	n := 0
	t.Run("edits", func(t *testing.T) {
		for round := range rounds {
			t.Run(fmt.Sprint(round), func(t *testing.T) {
				t.Parallel()
				editRound(t, round, rounds == 1, func(e *edit, treatment string, one *score) {
					mu.Lock()
					defer mu.Unlock()
					if e.speed != 1 {
						speed.add(one)
					} else {
						same.add(one)
					}
					byTreatment[treatment].add(one)
					n++
				})
			})
		}
	})
	var lines []string
	for _, treatment := range treatments {
		lines = append(lines, fmt.Sprintf("%-10s %v", treatment, byTreatment[treatment]))
	}
	t.Logf("%d edits\n%-10s %v\n%-10s %v\n\n%s", n, "same", same, "speed", speed, strings.Join(lines, "\n"))
	if p := same.percentile(0.99); p > 1 {
		t.Errorf("same sound: %.3f ms at the 99th percentile: want 1 ms", p)
	}
	if p := speed.percentile(0.99); p > 10 {
		t.Errorf("changed speed: %.3f ms at the 99th percentile: want 10 ms", p)
	}
	if w := same.wrong + speed.wrong + same.falsePlaced + speed.falsePlaced; w > 0 {
		t.Errorf("%d cues are wrong without a flag", w)
	}
	if all, lost := same.placed+speed.placed, same.missed+speed.missed+same.flagged+speed.flagged; lost*20 > all {
		t.Errorf("%d of %d cues that were kept are flagged or called cut", lost, all)
	}
}

// editRound makes edits of one track: all shapes under all treatments, or a third
// of them.
func editRound(t *testing.T, round int, third bool, report func(*edit, string, *score)) {
	const seconds = 80
	old := show(seconds, uint64(round))
	p := printOf(t, old, testRate, 1)
	for i, shape := range shapes {
		for k, treatment := range treatments {
			if third && (i+k)%3 != 0 {
				continue
			}
			seed := uint64(round*1000 + i*100 + k)
			e := newEdit(t, old, shape, treatment, seed)
			m, err := Align(p, open(t, e.file))
			if err != nil {
				t.Fatal(err)
			}
			one := &score{}
			one.judge(t, e, m, seconds, rand.New(rand.NewPCG(seed, 9)))
			report(e, treatment, one)
		}
	}
}

func (s *score) add(o *score) {
	s.errs = append(s.errs, o.errs...)
	s.placed, s.flagged, s.missed, s.wrong = s.placed+o.placed, s.flagged+o.flagged, s.missed+o.missed, s.wrong+o.wrong
	s.cut, s.falsePlaced, s.falseFlagged = s.cut+o.cut, s.falsePlaced+o.falsePlaced, s.falseFlagged+o.falseFlagged
}

func (s *score) percentile(p float64) float64 {
	slices.Sort(s.errs)
	if len(s.errs) == 0 {
		return math.Inf(1)
	}
	return s.errs[int(p*float64(len(s.errs)-1))]
}
