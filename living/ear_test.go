package living

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/soundtrack"
)

// roomSaid plays what a [soundtrack.Live] says of music with a beat to an ear: known so much later, and
// said in steps of 10 ms, while frames are made 44 times a second.
type roomSaid struct {
	bpm    float64
	sure   float64
	hits   []time.Duration
	silent func(t time.Duration) bool
	gone   func(t time.Duration) bool
}

const knownLate = 35 * time.Millisecond

func (r *roomSaid) at(t time.Duration) soundtrack.Heard {
	h := soundtrack.Heard{At: t, Sure: r.sure}
	if r.bpm > 0 {
		h.Period = time.Duration(60 / r.bpm * float64(time.Second))
		h.Beats = int(t/h.Period) + 1
		h.Beat = time.Duration(h.Beats-1) * h.Period
	}
	for _, at := range r.hits {
		if at <= t {
			h.Hits++
			h.Hit = at
		}
	}
	h.Silent = r.silent != nil && r.silent(t)
	h.Share = [4]float32{.2, .4, .6, .8}
	return h
}

// frames lets an ear hear the room for a time, and calls each for every frame.
func (r *roomSaid) frames(e *Ear, length time.Duration, each func(t time.Duration)) {
	told := time.Duration(0)
	const period = time.Second / 44
	for t := time.Duration(0); t < length; t += period {
		for ; told <= t-knownLate; told += earHop {
			if r.gone == nil || !r.gone(told) {
				e.Hear(r.at(told), told)
			}
		}
		e.Go(t)
		each(t)
	}
}

// Of a sure beat the events are those that a file's are, of bars of four from the first beat on, each
// within a frame of its beat; nothing that has come moves.
func TestEarGoesByTheBeat(t *testing.T) {
	for _, text := range []string{"beat", "2 beats", "off-beat", "bar", "2 bars", "1 . 3 .", "1 . . . | . 2 . 4"} {
		for _, bpm := range []float64{70, 118, 163.7} {
			every := read(t, text)
			e := NewEar()
			r := roomSaid{bpm: bpm, sure: .9}
			var got []time.Duration
			var b Beats
			r.frames(e, 40*time.Second, func(now time.Duration) {
				b = e.Beats(every)
				k := b.Before(now)
				if k < 0 || b.Time(k) < time.Second {
					return
				}
				if n := len(got); n == 0 || b.Time(k) != got[n-1] {
					if n > 0 && b.Time(k) < got[n-1]+100*time.Millisecond {
						t.Fatalf("%s at %g: an event at %v after one at %v", text, bpm, b.Time(k), got[n-1])
					}
					if now-b.Time(k) > 30*time.Millisecond {
						t.Fatalf("%s at %g: the event at %v comes with the frame at %v", text, bpm, b.Time(k), now)
					}
					got = append(got, b.Time(k))
				}
			})
			beat := time.Duration(60 / bpm * float64(time.Second))
			var first, rate = got[0], 0.
			n := int(40 * time.Second / beat)
			for i := range 8 * 4 {
				if every.happens(i) {
					rate++
				}
			}
			if want := rate / 32 * float64(n); math.Abs(float64(len(got))-want) > 4 {
				t.Errorf("%s at %g: %d events in %d beats", text, bpm, len(got), n)
			}
			for _, at := range got { // on beats, or halfway
				place := float64(at) / float64(beat)
				if every.off {
					place += .5
				}
				if off := math.Abs(place - math.Round(place)); off > .02 {
					t.Fatalf("%s at %g: an event at %v is %.2f of a beat beside", text, bpm, at, off)
				}
			}
			if text == "bar" {
				for _, at := range got[1:] {
					if d := at - first; (d+beat/2)/beat%4 != 0 {
						t.Fatalf("%s at %g: %v after the first", text, bpm, d)
					}
				}
			}
		}
	}
}

// The next beat is said ahead, so that light may rise before it.
func TestEarSaysTheNextBeatAhead(t *testing.T) {
	e := NewEar()
	r := roomSaid{bpm: 120, sure: .9}
	b := e.Beats(read(t, "beat"))
	r.frames(e, 10*time.Second, func(now time.Duration) {
		if now < 2*time.Second {
			return
		}
		next := b.Time(b.Before(now) + 1)
		if want := now/(500*time.Millisecond)*(500*time.Millisecond) + 500*time.Millisecond; next != want {
			t.Fatalf("at %v the next is said at %v", now, next)
		}
		rest := float32(now%(500*time.Millisecond)) / float32(500*time.Millisecond)
		if v := Pulse(b, now, 500*time.Millisecond, 0); math.Abs(float64(v-rest*rest*(3-2*rest))) > 1e-3 && v != 1 {
			t.Fatalf("at %v it has risen to %v of %v", now, v, rest)
		}
	})
}

// While the beat is not sure a hit lights up the very frame at which it is known, at full; between
// hits that come too fast none does, and without any, slow time goes on.
func TestEarFallsBackToHits(t *testing.T) {
	e := NewEar()
	random := rand.New(rand.NewPCG(9, 9))
	r := roomSaid{}
	for at := 10 * time.Second; at < 30*time.Second; {
		at += time.Duration(.05e9 + random.Float64()*1.2e9)
		r.hits = append(r.hits, at)
	}
	b := e.Beats(read(t, "beat"))
	last, hits := time.Duration(0), 0
	seen := 0
	r.frames(e, 45*time.Second, func(now time.Duration) {
		k := b.Before(now)
		at := b.Time(k)
		for hits < len(r.hits) && r.hits[hits] <= now-knownLate-20*time.Millisecond {
			if r.hits[hits]-last >= 450*time.Millisecond && at < r.hits[hits] {
				t.Fatalf("the hit at %v is not there at %v", r.hits[hits], now)
			}
			hits++
		}
		if at != last {
			if seen > 0 && at-last < 370*time.Millisecond {
				t.Fatalf("events at %v and %v", last, at)
			}
			if v := Pulse(b, now, 0, 300*time.Millisecond); v != 1 || at != now {
				t.Fatalf("at %v the event of %v is at %v", now, at, v)
			}
			last = at
			seen++
		}
		if now-at > slowest+100*time.Millisecond {
			t.Fatalf("nothing from %v to %v", at, now)
		}
	})
	if seen < 25 || e.String() != "hears sound, no beat and no hits" {
		t.Errorf("%d events; it %s", seen, e)
	}
}

// In silence, or when nothing comes in any more, the light goes slowly to what stands then, and
// is back within about a second of sound; and the words say so.
func TestEarInSilence(t *testing.T) {
	quiet := func(now time.Duration) bool { return now > 10*time.Second && now < 30*time.Second }
	for name, r := range map[string]*roomSaid{"silent": {bpm: 118, sure: .9, silent: quiet}, "hears nothing": {bpm: 118, sure: .9, gone: quiet}} {
		e := NewEar()
		loud := e.Loud(Low, 0, 0)
		before := float32(0)
		r.frames(e, 40*time.Second, func(now time.Duration) {
			h := e.Hushed()
			if h-before > .01 || before-h > .03 {
				t.Fatalf("%s: at %v it goes from %v to %v", name, now, before, h)
			}
			before = h
			says := e.String()
			switch {
			case now > 5*time.Second && now < 10*time.Second && (h != 0 || says != "hears 118 beats a minute, sure" || loud.At(0) != .2),
				now > 17*time.Second && now < 30*time.Second && (h != 1 || !strings.HasPrefix(says, name)),
				now > 32*time.Second && h != 0:
				t.Fatalf("%s: at %v it is at %v and says %q, level %v", name, now, h, says, loud.At(0))
			}
		})
	}
	// The beat is lost for long, and no hit comes.
	e := NewEar()
	r := roomSaid{}
	r.frames(e, 40*time.Second, func(now time.Duration) {
		if h := e.Hushed(); (now < 30*time.Second && h != 0) || (now > 36*time.Second && h != 1) {
			t.Fatalf("at %v it is at %v", now, h)
		}
	})
}

// A level rises and falls with the times that were asked for, from 10 to 90 %.
func TestEarFollows(t *testing.T) {
	e := NewEar()
	loud := e.Loud(All, 200*time.Millisecond, 600*time.Millisecond)
	var values []float32
	for i := range 600 {
		h := soundtrack.Heard{At: time.Duration(i) * earHop}
		if i >= 100 && i < 300 {
			h.Share[3] = 1
		}
		e.Hear(h, h.At)
		e.Go(h.At)
		values = append(values, loud.At(0))
	}
	rise := slices.IndexFunc(values, func(v float32) bool { return v >= .9 }) - slices.IndexFunc(values, func(v float32) bool { return v >= .1 })
	late := values[300:]
	fall := slices.IndexFunc(late, func(v float32) bool { return v <= .1 }) - slices.IndexFunc(late, func(v float32) bool { return v <= .9 })
	if math.Abs(float64(rise-20)) > 1 || math.Abs(float64(fall-60)) > 1 {
		t.Errorf("it rises in %d and falls in %d steps of 10 ms", rise, fall)
	}
}

// Whatever is told, in whatever order, an ear stays within its bounds, and its events go on in order.
func TestEarTakesAnything(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 8))
	weird := []float64{0, -1, 1, math.NaN(), math.Inf(1), .5, 1e300}
	span := func() time.Duration {
		return []time.Duration{0, -time.Hour, time.Hour, time.Duration(random.Int64N(int64(time.Second))), Never, -Never, time.Millisecond}[random.IntN(7)]
	}
	for range 200 {
		e := NewEar()
		var all []Beats
		for _, text := range []string{"beat", "off-beat", "4 bars", ". 2 . 4 | 1"} {
			all = append(all, e.Beats(read(t, text)))
		}
		loud := e.Loud(Centre, 0, time.Second)
		now := time.Duration(0)
		last := slices.Repeat([]int{-1}, len(all))
		for range 300 {
			for range random.IntN(100) {
				h := soundtrack.Heard{At: span(), Beat: span(), Period: span(), Sure: weird[random.IntN(len(weird))], Hits: random.IntN(5) - 1, Silent: random.IntN(3) == 0, Centre: float32(weird[random.IntN(len(weird))])}
				e.Hear(h, span())
			}
			now += time.Duration(random.Int64N(int64(2 * time.Second)))
			e.Go(now)
			for i, b := range all {
				k := b.Before(now)
				if k < last[i] {
					t.Fatalf("events went back from %d to %d", last[i], k)
				}
				if last[i] = k; k >= 0 && b.Time(k) > now {
					t.Fatalf("event %d at %v is the last at %v", k, b.Time(k), now)
				}
			}
			if v := loud.At(now); !(v >= 0 && v <= 1) || !(e.Hushed() >= 0 && e.Hushed() <= 1) {
				t.Fatalf("level %v, hushed %v", v, e.Hushed())
			}
			_ = e.String()
		}
	}
}

func TestEarAllocatesNothing(t *testing.T) {
	e := NewEar()
	r := roomSaid{bpm: 120, sure: .9}
	every := []Every{read(t, "beat"), read(t, "1 . 3 ."), read(t, "2 bars")}
	now := time.Duration(0)
	frame := func() {
		e.Hear(r.at(now), now)
		e.Go(now)
		for _, v := range every {
			Pulse(e.Beats(v), e.Now(), 100*time.Millisecond, 300*time.Millisecond)
		}
		e.Loud(Low, 50*time.Millisecond, 300*time.Millisecond).At(now)
		now += earHop
	}
	frame()
	if n := testing.AllocsPerRun(500, frame); n != 0 {
		t.Errorf("%v allocations a frame", n)
	}
}
