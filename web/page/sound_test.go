package page

import (
	"slices"
	"testing"
	"time"

	"lampblack/soundtrack"
)

// The outline has a step each 50 ms and keeps the loudest that falls into it. Of
// ten values 20 ms apart, those at 0, 20 and 40 ms fall into the first step, 60
// and 80 ms into the second, 100 to 140 ms into the third, 160 and 180 ms into
// the fourth; 0.2 s of sound end with the fifth, and what lies beyond is left.
func TestSoundOutline(t *testing.T) {
	const ms = time.Millisecond
	track := &soundtrack.Track{Duration: 200 * ms}
	track.Overview = soundtrack.Overview{Hop: 20 * ms,
		Low:  []uint8{9, 1, 2, 3, 8, 4, 7, 5, 6, 1, 11, 0, 0, 99},
		Mid:  []uint8{1, 2, 3},
		High: []uint8{0, 0, 0, 0, 0, 0, 0, 0, 0, 255},
	}
	got := soundOf(track)
	if got.Hop != .05 {
		t.Errorf("a step of %v s", got.Hop)
	}
	for _, c := range []struct {
		name      string
		got, want []byte
	}{
		{"low", got.Low, []byte{9, 8, 7, 6, 11}},
		{"mid", got.Mid, []byte{3, 0, 0, 0, 0}},
		{"high", got.High, []byte{0, 0, 0, 255, 0}},
	} {
		if !slices.Equal(c.got, c.want) {
			t.Errorf("%s is %v, want %v", c.name, c.got, c.want)
		}
	}
}

// What was heard, as columns in the order of time: the bench's five moments.
func TestMoments(t *testing.T) {
	m := benchBook(t).moments
	for _, c := range []struct {
		name string
		ok   bool
		got  any
	}{
		{"kind", slices.Equal(m.Kind, []string{"turn", "hit", "bar", "beat", "swell"}), m.Kind},
		{"time", slices.Equal(m.Time, []float64{0, 20.12, 35, 35.5, 40}), m.Time},
		{"end", slices.Equal(m.End, []float64{60, 20.52, 35, 35.5, 49.9}), m.End},
		{"strength", slices.Equal(m.Strength, []float64{1, .612, 0, 0, .5}), m.Strength},
		// -18.5 - (-30.04) = 11.54 LU louder over the hit; the swell falls by 6 LU.
		{"change", slices.Equal(m.Change, []float64{0, 11.5, 0, 0, -6}), m.Change},
		{"why", slices.Equal(m.Why, []string{"it begins", "struck low", "", "", ""}), m.Why},
		{"label", slices.Equal(m.Label, []string{"A", "", "", "", ""}), m.Label},
		{"bar", slices.Equal(m.Bar, []int{0, 0, 3, 3, 0}), m.Bar},
		{"beat", slices.Equal(m.Beat, []int{0, 0, 1, 2, 0}), m.Beat},
	} {
		if !c.ok {
			t.Errorf("%s: %v", c.name, c.got)
		}
	}
}

// Before the soundtrack was listened to, its page is empty.
func TestSoundUnknown(t *testing.T) {
	s, m := soundOf(nil), momentsOf(nil)
	if s.Hop != .05 || s.Low == nil || len(s.Low)+len(s.Mid)+len(s.High) > 0 {
		t.Errorf("%+v", s)
	}
	if m.Kind == nil || len(m.Kind)+len(m.Time)+len(m.End)+len(m.Beat) > 0 {
		t.Errorf("%+v", m)
	}
}
