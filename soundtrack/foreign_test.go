package soundtrack

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"lampblack/soundfile"
)

// Collages of sound that others made: music out of games (Debian packages singularity-music,
// hyperrogue-music) and people who speak (asterisk-core-sounds-*-wav, five languages). How they
// are laid out shares nothing with package truth.

const foreignRate = 44100

// foreignCollage is sound with what is known of it.
type foreignCollage struct {
	samples []float32
	turns   []time.Duration
	swells  [][2]time.Duration
	voices  [][2]time.Duration
}

// foreignSources decodes a file to one channel at foreignRate, once.
type foreignSources struct {
	t     *testing.T
	music []string
	talk  []string
	kept  map[string][]float32
}

func newForeignSources(t *testing.T) *foreignSources {
	s := &foreignSources{t: t, kept: map[string][]float32{}}
	for _, glob := range []string{"/usr/share/games/singularity/music/*.ogg", "/usr/share/hyperrogue/music/*.ogg"} {
		found, _ := filepath.Glob(glob)
		s.music = append(s.music, found...)
	}
	for _, glob := range []string{"/usr/share/asterisk/sounds/*/*.wav"} {
		found, _ := filepath.Glob(glob)
		s.talk = append(s.talk, found...)
	}
	if len(s.music) < 8 || len(s.talk) < 100 {
		t.Skip("outside check left out: needs Debian packages singularity-music, hyperrogue-music and asterisk-core-sounds-*-wav")
	}
	return s
}

// sound returns a file's sound.
func (s *foreignSources) sound(path string) []float32 {
	if x, ok := s.kept[path]; ok {
		return x
	}
	f, err := soundfile.OpenFile(context.Background(), path)
	if err != nil {
		s.t.Fatal(err)
	}
	defer f.Close()
	c, rate := f.Format().Channels, f.Format().Rate
	var x []float32
	buf := make([]float32, 4096*c)
	for len(x) < 150*rate {
		n, err := f.Read(buf)
		for i := range n {
			sum := float32(0)
			for _, v := range buf[i*c : (i+1)*c] {
				sum += v / float32(c)
			}
			x = append(x, sum)
		}
		if err == io.EOF {
			break
		}
		if err != nil {
			s.t.Fatal(err)
		}
	}
	out := make([]float32, int(float64(len(x))*foreignRate/float64(rate)))
	for i := range out {
		at := float64(i) * float64(rate) / foreignRate
		k, part := int(at), float32(at-math.Floor(at))
		if k+1 < len(x) {
			out[i] = x[k]*(1-part) + x[k+1]*part
		}
	}
	s.kept[path] = out
	return out
}

// collage lays out about four minutes.
func (s *foreignSources) collage(seed uint64) foreignCollage {
	r := rand.New(rand.NewPCG(seed, 0xf0))
	var c foreignCollage
	now := func() time.Duration { return time.Duration(float64(len(c.samples)) / foreignRate * 1e9) }
	add := func(x []float32, level func(u float64) float64) {
		n := len(x)
		for i, v := range x {
			edge := min(1, float64(min(i, n-i))/(0.01*foreignRate))
			c.samples = append(c.samples, v*float32(level(float64(i)/float64(n))*edge))
		}
	}
	last := -1
	for k := 0; k < 9; k++ {
		kind := k % 3
		if kind != 1 {
			kind = []int{0, 2}[r.IntN(2)]
		}
		at := now()
		if k > 0 {
			c.turns = append(c.turns, at)
		}
		switch kind {
		case 1: // a swell out of a piece of music: up by 18 to 30 dB within 4 to 8 s, then on
			x := s.cut(r, &last, 14)
			up := 4 + 4*r.Float64()
			by := 18 + 12*r.Float64()
			rise := x[:int(up*foreignRate)]
			add(rise, func(u float64) float64 { return math.Pow(10, -by*(1-u)/20) })
			c.swells = append(c.swells, [2]time.Duration{at, now()})
			add(x[len(rise):], func(float64) float64 { return 1 })
		case 0:
			add(s.cut(r, &last, 12+14*r.Float64()), func(float64) float64 { return 1 })
		case 2:
			add(s.people(r, 10+10*r.Float64()), func(float64) float64 { return 1 })
			c.voices = append(c.voices, [2]time.Duration{at, now()})
		}
	}
	return c
}

// cut takes a stretch of another piece of music than the last, at -20 dB.
func (s *foreignSources) cut(r *rand.Rand, last *int, seconds float64) []float32 {
	for {
		k := r.IntN(len(s.music))
		x := s.sound(s.music[k])
		n := int(seconds * foreignRate)
		if k == *last || len(x) < n+20*foreignRate {
			continue
		}
		from := 10*foreignRate + r.IntN(len(x)-n-20*foreignRate)
		out := slices.Clone(x[from : from+n])
		if rms(out) < 0.003 {
			continue
		}
		*last = k
		return loudened(out, 0.1)
	}
}

// people are sentences of one language one after another, at -24 dB.
func (s *foreignSources) people(r *rand.Rand, seconds float64) []float32 {
	dir := filepath.Dir(s.talk[r.IntN(len(s.talk))])
	var of []string
	for _, f := range s.talk {
		if filepath.Dir(f) == dir {
			of = append(of, f)
		}
	}
	var out []float32
	for float64(len(out)) < seconds*foreignRate {
		x := s.sound(of[r.IntN(len(of))])
		if len(x) < foreignRate/2 {
			continue
		}
		out = append(out, x...)
		out = append(out, make([]float32, int((0.1+0.3*r.Float64())*foreignRate))...)
	}
	return loudened(out, 0.063)
}

func rms(x []float32) float64 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(max(len(x), 1)))
}

func loudened(x []float32, to float64) []float32 {
	g := float32(to / max(rms(x), 1e-6))
	for i := range x {
		x[i] *= g
	}
	return x
}

// wholeSwells counts the swells that are told as one: a rise that covers at least three quarters
// of it alone, and how far its end lies off.
func wholeSwells(c foreignCollage, found []Moment) (whole int, ends []time.Duration) {
	for _, s := range c.swells {
		long := 0
		var off time.Duration
		pieces := 0
		for _, m := range found {
			a, b := max(m.Time, s[0]), min(m.End, s[1])
			if m.After < m.Before || b-a < (s[1]-s[0])/10 {
				continue
			}
			pieces++
			if b-a >= (s[1]-s[0])*6/10 {
				long++
				off = m.End - s[1]
			}
		}
		if long == 1 && pieces == 1 {
			whole++
			ends = append(ends, off)
		}
	}
	return whole, ends
}

func TestForeignCollages(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("makes and hears twenty collages: set LAMPBLACK_LONG=1")
	}
	sources := newForeignSources(t)
	const count = 20
	var swells, whole, near, far, claimed int
	var turned, right, wanted float64
	var said, saidRight, saidTrue time.Duration
	for seed := range uint64(count) {
		c := sources.collage(seed)
		track := analyse(t, mono(c.samples))
		n, ends := wholeSwells(c, track.Of(Swell))
		swells, whole = swells+len(c.swells), whole+n
		for _, e := range ends {
			if e.Abs() <= 250*time.Millisecond {
				near++
			} else {
				far++
			}
		}
		for _, m := range track.Of(Swell) {
			if m.After > m.Before {
				claimed++
			}
		}
		got := times(track.Of(Turn))
		if len(got) > 0 && got[0] == 0 {
			got = got[1:]
		}
		for _, w := range c.turns {
			wanted++
			for _, g := range got {
				if (g - w).Abs() <= 500*time.Millisecond {
					right++
					break
				}
			}
		}
		turned += float64(len(got))
		for _, m := range track.Of(Voice) {
			said += m.End - m.Time
			for _, v := range c.voices {
				saidRight += max(min(m.End, v[1])-max(m.Time, v[0]), 0)
			}
		}
		for _, v := range c.voices {
			saidTrue += v[1] - v[0]
		}
	}
	t.Logf("%d collages: %d of %d swells whole (%d rises claimed), ends within 0.25 s %d, further %d", count, whole, swells, claimed, near, far)
	t.Logf("turns: %.0f of %.0f within 0.5 s, %.0f claimed; voice precision %.3f recall %.3f", right, wanted, turned, saidRight.Seconds()/max(said.Seconds(), 1), saidRight.Seconds()/saidTrue.Seconds())
	// Bounds below the figures of docs/measured (50 of 60, 140 of 160, .98 and .93), not what is wanted.
	if whole < 46 || right/wanted < .8 || saidRight.Seconds() < .95*said.Seconds() || saidRight.Seconds() < .9*saidTrue.Seconds() {
		t.Error("it hears less than it did")
	}
}
