package living

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"lampblack/soundtrack"
)

const second = time.Second

// counted is a track with sure beats each 0.5 s from one instant to another, in bars of four;
// hits as given, the first to be lit first.
func counted(from, to time.Duration, hits ...time.Duration) *soundtrack.Track {
	track := &soundtrack.Track{Duration: 60 * second}
	for i := 0; from+time.Duration(i)*second/2 < to; i++ {
		at := from + time.Duration(i)*second/2
		track.Moments = append(track.Moments, soundtrack.Moment{Kind: soundtrack.Beat, Time: at, Strength: .9, Bar: 1 + i/4, Beat: 1 + i%4})
	}
	for i, at := range hits {
		track.Moments = append(track.Moments, soundtrack.Moment{Kind: soundtrack.Hit, Time: at, Rank: i + 1})
	}
	return track
}

func all(e *Events) (out []float64) {
	for i := range e.Len() {
		out = append(out, e.Time(i).Seconds())
	}
	return out
}

func TestEventsOnTheBeat(t *testing.T) {
	track := counted(0, 8*second) // beats at 0 to 7.5: four bars
	for text, want := range map[string][]float64{
		"beat":              {0, .5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 6.5, 7, 7.5},
		"off-beat":          {.25, .75, 1.25, 1.75, 2.25, 2.75, 3.25, 3.75, 4.25, 4.75, 5.25, 5.75, 6.25, 6.75, 7.25},
		"bar":               {0, 2, 4, 6},
		"3 beats":           {0, 1.5, 3, 4.5, 6, 7.5},
		"2 bars":            {0, 4},
		"1 . 3 .":           {0, 1, 2, 3, 4, 5, 6, 7},
		". 2":               {.5, 2.5, 4.5, 6.5},
		"1 . . . | . 2 . 4": {0, 2.5, 3.5, 4, 6.5, 7.5},
	} {
		e := EventsOf(track, read(t, text), 8*second)
		if got := all(e); !slices.Equal(got, want) || len(e.Doubts()) > 0 {
			t.Errorf("%s: %v, doubts %v; wanted %v", text, got, e.Doubts(), want)
		}
	}
	if got := all(EventsOf(track, read(t, "bar"), 6*second)); !slices.Equal(got, []float64{0, 2, 4}) {
		t.Errorf("bars of a piece that ends with one: %v", got)
	}
	// A count that is taken up in the midst of a bar goes on from that bar's first beat.
	track.Moments = track.Moments[3:]
	if got := all(EventsOf(track, read(t, "2 beats"), 8*second)); !slices.Equal(got, []float64{2, 3, 4, 5, 6, 7}) {
		t.Errorf("from beat 4 on, each other beat: %v", got)
	}
}

func TestEventsInDoubt(t *testing.T) {
	faint := counted(0, 20*second)
	for i := range faint.Moments {
		if at := faint.Moments[i].Time; at > 8*second && at < 12*second {
			faint.Moments[i].Strength = .58
		}
	}
	noBars := counted(0, 20*second)
	for i := range noBars.Moments {
		noBars.Moments[i].Bar, noBars.Moments[i].Beat = 0, 0
	}
	for name, c := range map[string]struct {
		track  *soundtrack.Track
		every  string
		extra  []float64 // events off the beats, or all where there are none
		doubts []Doubt
	}{
		"no track":       {nil, "beat", []float64{0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20}, []Doubt{{0, 20 * second, SlowTime}}},
		"nothing at all": {&soundtrack.Track{}, "beat", []float64{2, 4, 6, 8, 10, 12, 14, 16, 18}, []Doubt{{0, 20 * second, SlowTime}}},
		"slow anyway":    {&soundtrack.Track{}, "2 bars", []float64{4, 8, 12, 16}, []Doubt{{0, 20 * second, SlowTime}}},
		"faint beats":    {faint, "beat", []float64{10}, []Doubt{{8 * second, 12 * second, SlowTime}}},
		"hits": {counted(8*second, 20*second, 2*second, 2100*time.Millisecond, 5*second, 7900*time.Millisecond), "beat", []float64{2, 5},
			[]Doubt{{0, 8 * second, Hits}}},
		// The hit at 1 s is first; those at 0.7 s and 1.2 s are too near to it.
		"hits in their order": {counted(4*second, 20*second, second, 700*time.Millisecond, 1200*time.Millisecond, 3*second), "beat", []float64{1, 3},
			[]Doubt{{0, 4 * second, Hits}}},
		"hits of the rate of bars": {counted(8*second, 20*second, 4*second, 3*second, 5*second, 6*second), "bar", []float64{4, 6},
			[]Doubt{{0, 8 * second, Hits}}},
		"hits, then nothing": {counted(12*second, 20*second, second, 3*second), "beat", []float64{1, 3, 5, 7, 9, 11},
			[]Doubt{{0, 3 * second, Hits}, {3 * second, 12 * second, SlowTime}}},
		"after the end": {counted(0, 14*second), "beat", []float64{15.5, 17.5, 19.5}, []Doubt{{13500 * time.Millisecond, 20 * second, SlowTime}}},
		"no bars":       {noBars, "bar", []float64{}, []Doubt{{0, 19500 * time.Millisecond, FourthBeats}}},
	} {
		e := EventsOf(c.track, read(t, c.every), 20*second)
		var extra []float64
		for i := 0; e.Time(i) <= 20*second; i++ {
			onBeat := c.track != nil && slices.ContainsFunc(c.track.Of(soundtrack.Beat), func(m soundtrack.Moment) bool { return m.Time == e.Time(i) && m.Strength > .6 })
			if !onBeat {
				extra = append(extra, e.Time(i).Seconds())
			}
		}
		if !slices.Equal(extra, c.extra) || !slices.Equal(e.Doubts(), c.doubts) {
			t.Errorf("%s: %v, doubts %v; wanted %v and %v", name, extra, e.Doubts(), c.extra, c.doubts)
		}
	}
	if got := all(EventsOf(noBars, read(t, "bar"), 20*second)); !slices.Equal(got, []float64{0, 2, 4, 6, 8, 10, 12, 14, 16, 18}) {
		t.Errorf("without bars, bars are at %v", got)
	}
}

// Hits that stand in for quick beats come no oftener than three in a second.
func TestHitsKeepApart(t *testing.T) {
	track := &soundtrack.Track{}
	for i := range 40 {
		track.Moments = append(track.Moments, soundtrack.Moment{Kind: soundtrack.Beat, Time: 4*second + time.Duration(i)*second/4, Strength: .9})
	}
	for i, at := range []time.Duration{2000, 2280, 2310, 1701, 1625} {
		track.Moments = append(track.Moments, soundtrack.Moment{Kind: soundtrack.Hit, Time: at * time.Millisecond, Rank: i + 1})
	}
	if got := all(EventsOf(track, read(t, "beat"), 10*second)); !slices.Equal(got[:4], []float64{1.625, 2, 2.31, 4}) {
		t.Errorf("hits stand in at %v", got[:4])
	}
}

// What goes by time needs no track, and has no end.
func TestEventsByTime(t *testing.T) {
	e := EventsOf(nil, read(t, "0.8 s"), 0)
	if e.Len() != -1 || len(e.Doubts()) > 0 || e.Before(-1) != -1 || e.Before(0) != 0 || e.Before(800*time.Millisecond-1) != 0 || e.Before(800*time.Millisecond) != 1 ||
		e.Time(5) != 4*second || e.Before(1000*time.Hour) != 4_500_000 || e.Time(math.MaxInt) != Never || e.Time(-1) != Never {
		t.Error("events each 0.8 s are wrong")
	}
}

// Of any track at all: events are in order, agree with Before, stand-ins keep 0.3 s from one another
// and from events; doubts are in order.
func TestEventsOfAnyTrack(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 4))
	forms := []string{"beat", "off-beat", "bar", "3 beats", "2 bars", "1 . 3 .", "1 | . 2 . 4"}
	for range 400 {
		track := &soundtrack.Track{Duration: time.Minute}
		at, bars := time.Duration(0), random.IntN(2)
		for i := 0; at < time.Minute; i++ {
			at += time.Duration(200+random.IntN(600)) * time.Millisecond
			if random.IntN(20) == 0 {
				at += time.Duration(random.IntN(15)) * second
			}
			m := soundtrack.Moment{Kind: soundtrack.Beat, Time: at, Strength: .5 + random.Float64()/2, Bar: bars * (1 + i/4), Beat: bars * (1 + i%4)}
			track.Moments = append(track.Moments, m)
		}
		for rank := range random.IntN(100) {
			track.Moments = append(track.Moments, soundtrack.Moment{Kind: soundtrack.Hit, Time: time.Duration(random.Int64N(int64(70 * second))), Rank: rank})
		}
		length := time.Duration(random.Int64N(int64(80 * second)))
		e := EventsOf(track, read(t, forms[random.IntN(len(forms))]), length)
		isBeat := func(at time.Duration) bool {
			return slices.ContainsFunc(track.Moments, func(m soundtrack.Moment) bool { return m.Kind == soundtrack.Beat && m.Time == at })
		}
		for i := range e.Len() {
			now := e.Time(i)
			if now < 0 || now > length || e.Before(now) != i || e.Before(now-1) != i-1 {
				t.Fatalf("event %d at %v of %v: Before says %d and %d", i, now, length, e.Before(now), e.Before(now-1))
			}
			if i > 0 && now-e.Time(i-1) < apart && !e.sure(now) && !isBeat(now) {
				t.Fatalf("what stands in at %v comes %v after another", now, now-e.Time(i-1))
			}
		}
		for i, d := range e.Doubts() {
			if d.From >= d.To || d.To > length || i > 0 && d.From < e.Doubts()[i-1].From {
				t.Fatalf("doubts %v", e.Doubts())
			}
		}
		if e.Before(-1) != -1 || e.Time(e.Len()) != Never || e.Before(Never) != e.Len()-1 {
			t.Fatal("out of range")
		}
	}
}

// sure tells whether no span of doubt holds an instant.
func (e *Events) sure(t time.Duration) bool {
	return !slices.ContainsFunc(e.doubts, func(d Doubt) bool { return d.Instead != FourthBeats && d.From < t && t < d.To })
}

func TestPulse(t *testing.T) {
	e := EventsOf(counted(second, 8*second), read(t, "bar"), 8*second) // 1, 3, 5, 7 s
	const rise, fall = 200 * time.Millisecond, 1900 * time.Millisecond
	for at, want := range map[time.Duration]float64{
		0: 0, 800 * time.Millisecond: 0, 900 * time.Millisecond: .5, second: 1, 1950 * time.Millisecond: .25,
		2900 * time.Millisecond: .5, 3 * second: 1, 2900*time.Millisecond - 1: .5, 8900 * time.Millisecond: 0, time.Hour: 0,
	} {
		if got := float64(Pulse(e, at, rise, fall)); math.Abs(got-want) > 1e-6 {
			t.Errorf("at %v: %.3f, not %.3f", at, got, want)
		}
	}
	if a, b, c := Pulse(e, second, 0, 0), Pulse(e, second-1, 0, 0), Pulse(e, second+1, 0, 0); a != 1 || b != 0 || c != 0 {
		t.Errorf("without rise and fall: %v at the event, %v before, %v after", a, b, c)
	}
	// A fall that lasts into the next rise: the greater of the two.
	if got := Pulse(e, 2900*time.Millisecond, rise, 10*second); math.Abs(float64(got)-.81*.81) > 1e-6 {
		t.Errorf("where two overlap: %v", got)
	}
	for _, events := range []Beats{e, EventsOf(nil, read(t, "0.7 s"), 0)} {
		last := Pulse(events, -second, rise, fall)
		for at := -second; at < 12*second; at += time.Millisecond {
			v := Pulse(events, at, rise, fall)
			if v < 0 || v > 1 || last-v > .003 || v-last > .013 {
				t.Fatalf("at %v: from %v to %v in 1 ms", at, last, v)
			}
			last = v
		}
		if n := testing.AllocsPerRun(100, func() { Pulse(events, 3*second, rise, fall) }); n > 0 {
			t.Errorf("%v allocations", n)
		}
	}
}

func BenchmarkPulse(b *testing.B) {
	track := counted(0, time.Hour)
	var every Every
	if err := every.UnmarshalText([]byte("beat")); err != nil {
		b.Fatal(err)
	}
	e := EventsOf(track, every, time.Hour)
	i := 0
	for b.Loop() {
		Pulse(e, time.Duration(i%3_600_000)*time.Millisecond, 50*time.Millisecond, 300*time.Millisecond)
		i++
	}
}
