package dose

import (
	"slices"
	"testing"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/subject"
	"lampblack/room"
	"lampblack/show"
)

// What somebody who crosses takes is the sum of what they take at every moment where they are
// then, with a little more for the safe side; and it is not what they would take at home.
func TestDoseOfWhoCrosses(t *testing.T) {
	s := checktest.Solved(t, checktest.DemoFolder())
	r := open(&subject.Run{Subject: subject.Of(s), Ctx: t.Context(), Show: s})
	e := slices.IndexFunc(s.Transport.Eyes, func(p int) bool { return s.Transport.Places[p].Name == "fish hand" })
	stays := s.Stays(e)
	if len(stays) == 0 || stays[0].From != 0 || stays[len(stays)-1].To != s.Length {
		t.Fatalf("the fish hand's stays are %d", len(stays))
	}
	for i := 1; i < len(stays); i++ {
		if stays[i].From != stays[i-1].To {
			t.Fatalf("between %v and %v the fish hand is nowhere", stays[i-1].To, stays[i].From)
		}
	}
	x := r.exposure(e, room.UVA)
	const step = 250 * time.Millisecond
	f, sum, peak := s.NewFrame(), 0.0, 0.0
	for at := step / 2; at < s.Length; at += step {
		s.Light(f, at)
		_, most := (&stretch{ends: []*room.Transport{s.Seen(at)}}).rows(e, room.UVA)
		now := 0.0
		for d, v := range most {
			now += v * float64(f.Levels[d])
		}
		sum += now * step.Seconds()
		peak = max(peak, now)
	}
	if x.Most < sum*.995 || x.Most > sum*1.05 {
		t.Errorf("UV-A over the show is %.2f J/m², summed step by step %.2f", x.Most, sum)
	}
	if x.Peak < peak*.999 {
		t.Errorf("the peak is %.4f W/m², and at some moment there are %.4f", x.Peak, peak)
	}
	home := r.homeOnly(e)
	if ratio := x.Most / home.Most; ratio > .98 && ratio < 1.02 {
		t.Errorf("the dose of who crosses is %.4f of that at home: the test shows nothing", ratio)
	}
}

// homeOnly is the exposure as if nobody crossed.
func (r *limits) homeOnly(e int) Exposure {
	still := open(&subject.Run{Subject: unmoved{r.Subject}, Ctx: r.Ctx, Show: r.Show})
	return still.exposure(e, room.UVA)
}

type unmoved struct{ subject.Subject }

func (unmoved) Stays(int) []show.Stay { return nil }
