package show

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/soundtrack"
	"lampblack/source"
)

// A cue on the end of a swell lands where it ends, one on the swell where it
// begins, and each is told how far that is from where it was looked for.
func TestEndOfMoment(t *testing.T) {
	track := &soundtrack.Track{Moments: []soundtrack.Moment{{Kind: soundtrack.Swell, Time: 10 * time.Second, End: 14 * time.Second}}}
	for _, c := range []struct {
		end          bool
		near, moment time.Duration
	}{
		{false, 9900 * time.Millisecond, 10 * time.Second},
		{true, 14300 * time.Millisecond, 14 * time.Second},
	} {
		s := &Show{Track: track}
		p := Cue{Cue: &score.Cue{On: &score.Anchor{Kind: "swell", Near: c.near, End: c.end}}}
		var faults source.Faults
		s.moment(&p, &faults)
		if faults.Err() != nil || p.Moment != c.moment || p.OffBy != c.moment-c.near {
			t.Errorf("end %v: lands on %v, off by %v, want %v: %v", c.end, p.Moment, p.OffBy, c.moment, faults)
		}
	}
	// A second away is near, more is not.
	for near, want := range map[time.Duration]bool{9 * time.Second: true, 8999 * time.Millisecond: false} {
		if _, ok := Find(track, &score.Anchor{Kind: "swell", Near: near}); ok != want {
			t.Errorf("from %v: found %v", near, ok)
		}
	}
}

// The cue that stands is the last that has started, as looking at all of them
// finds it.
func TestCueAt(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	for range 200 {
		s := &Show{}
		for range r.IntN(7) {
			s.Cues = append(s.Cues, Cue{Start: time.Duration(r.IntN(10)) * time.Second})
		}
		slices.SortFunc(s.Cues, func(a, b Cue) int { return int(a.Start - b.Start) })
		for at := -time.Second; at <= 10*time.Second; at += 500 * time.Millisecond {
			want := -1
			for i := range s.Cues {
				if s.Cues[i].Start <= at {
					want = i
				}
			}
			if got := s.CueAt(at); got != want {
				t.Fatalf("at %v of %d cues: %d, want %d", at, len(s.Cues), got, want)
			}
		}
	}
}

// A day has 24 hours, and a hundred shows are many.
func TestDays(t *testing.T) {
	for _, c := range []struct {
		day  Day
		want int // faults
	}{
		{Day{Shows: 100, Rehearsal: si.Stretch(24 * time.Hour)}, 0},
		{Day{Shows: 101}, 1},
		{Day{Shows: -1}, 1},
		{Day{Rehearsal: si.Stretch(24*time.Hour + time.Minute)}, 1},
		{Day{Shows: 2, Visitor: new(2)}, 0},
		{Day{Shows: 2, Visitor: new(3)}, 1},
	} {
		b := Bill{Days: []Day{c.day}}
		var faults source.Faults
		if b.checkDays(&faults); len(faults) != c.want {
			t.Errorf("%+v: %v, want %d faults", c.day, faults, c.want)
		}
	}
}
