package truth

import (
	"math"
	"math/rand/v2"
	"time"
)

// Groove says what beat music to make.
type Groove struct {
	Seed   uint64
	Length time.Duration
	BPM    float64
	End    float64 // BPM at the end; 0 for no change
	Meter  int     // beats a bar; 4 when 0
	Swing  float64 // share of a beat by which off-beats come late, 0 to 0.2
	Drop   bool    // the drums fall silent for a bar or two now and then
	Rubato float64 // depth of a slow breathing of the tempo, 0 to 0.15
	Drums  bool
	// OffBeat has chords and high drums stress the off-beats; only the bass is
	// on the beats.
	OffBeat bool
}

// Beaten is a sound with its beats.
type Beaten struct {
	Samples []float32
	Beats   []time.Duration
	First   []bool // of each beat: it opens a bar
}

// Play synthesises the groove: drums if asked for, a bass that marks the bars,
// chords that change with them, a melody over all. Only the first of each bar is sure to
// have a bass note; the others have one in a third of all cases.
func (g Groove) Play() Beaten {
	p := player{g: g, r: rand.New(rand.NewPCG(g.Seed, 0x9b))}
	if p.g.Meter == 0 {
		p.g.Meter = 4
	}
	p.out.Samples = make([]float32, int(g.Length.Seconds()*Rate))
	p.melody = 0.3 + 0.5*p.r.Float64()
	// Neither the first beat nor the last is at an edge, where none could be found.
	at, beat := 0.4, 0
	for at < g.Length.Seconds()-0.5 {
		period := 60 / p.tempo(at)
		p.beat(at, period, beat)
		at += period
		beat++
	}
	return p.out
}

// player is a groove being played.
type player struct {
	g      Groove
	r      *rand.Rand
	out    Beaten
	root   int
	melody float64
	quiet  bool // in a bar without drums
}

// tempo is the speed at a time, in beats a minute: a straight way to End, breathing by
// Rubato every 11 s.
func (p *player) tempo(at float64) float64 {
	bpm := p.g.BPM
	if p.g.End > 0 {
		bpm += (p.g.End - bpm) * at / p.g.Length.Seconds()
	}
	return bpm * (1 + p.g.Rubato*math.Sin(2*math.Pi*at/11))
}

// beat plays beat n, which begins at a time and lasts a period, with the off-beat behind it.
// A new bar draws a new chord, and whether the drums fall silent.
func (p *player) beat(at, period float64, n int) {
	place := n % p.g.Meter
	p.out.Beats = append(p.out.Beats, time.Duration(at*float64(time.Second)))
	p.out.First = append(p.out.First, place == 0)
	if place == 0 {
		p.root = []int{0, 5, 7, -2, 3}[p.r.IntN(5)]
		p.quiet = p.g.Drop && n > 4*p.g.Meter && p.r.Float64() < 0.2
		p.chord(at, period*float64(p.g.Meter))
	}
	// Swing delays the off-beat, at most to seven tenths of the beat.
	half := at + period*(0.5+p.g.Swing)
	if p.g.OffBeat {
		p.note(at, 45+p.root-12+7*(place%2), 0.22, 0.6*period)
		p.stab(half, 0.3*period)
	}
	if p.g.Drums && !p.quiet {
		p.kit(at, half, place)
	}
	if place == 0 || p.r.Float64() < 0.35 {
		p.note(at, 45+p.root-12, 0.22, 0.9*period)
	}
	if p.r.Float64() < p.melody {
		p.note(at, 69+p.root+scale[p.r.IntN(7)], 0.1, 0.8*period)
	}
	if p.r.Float64() < 0.7*p.melody {
		p.note(half, 69+p.root+scale[p.r.IntN(7)], 0.07, 0.4*period)
	}
}

// kit is the drums: a low one on one, and on the half of an even bar, something bright
// between, a hat on all and on most off-beats.
func (p *player) kit(at, half float64, place int) {
	if place == 0 || (p.g.Meter%2 == 0 && place == p.g.Meter/2) {
		p.strike(drum, at, 0.35, 0.3)
	} else if place%2 == 1 || p.g.Meter%2 == 1 {
		p.strike(click, at, 0.2, 0.15)
		p.strike(wood, at, 0.1, 0.1)
	}
	p.strike(click, at, 0.05, 0.05)
	if p.r.Float64() < 0.8 {
		p.strike(click, half, 0.05, 0.05)
	}
}

// stab is a short chord with a hat, louder than what is on the beat.
func (p *player) stab(at, length float64) {
	for _, up := range []int{0, 4, 7} {
		p.note(at, 69+p.root+up, 0.1, length)
	}
	p.strike(click, at, 0.12, 0.1)
}

// strike plays a voice at a time; what reaches past the end is cut off.
func (p *player) strike(v voice, at, level, length float64) {
	i := int(at * Rate)
	if i >= len(p.out.Samples) {
		return
	}
	v(p.r, p.out.Samples[i:min(i+int(length*Rate), len(p.out.Samples))], level)
}

// note is a plucked tone: five harmonics that weaken with the square of their number, the
// higher ones dying sooner. Keys are those of MIDI, 69 being 440 Hz.
func (p *player) note(at float64, key int, level, length float64) {
	i := int(at * Rate)
	if i >= len(p.out.Samples) {
		return
	}
	dst := p.out.Samples[i:min(i+int(length*Rate), len(p.out.Samples))]
	hz := 440 * math.Exp2(float64(key-69)/12)
	for k := 1; k <= 5; k++ {
		partial(dst, hz*float64(k), level/float64(k*k), 0.6/float64(k))
	}
}

// chord is three soft tones that last a bar, with 20 ms of rise and 30 ms of fall, so that
// it has no attack that a listener must find.
func (p *player) chord(at, length float64) {
	for _, up := range []int{0, 4, 7} {
		i := int(at * Rate)
		if i >= len(p.out.Samples) {
			return
		}
		dst := p.out.Samples[i:min(i+int(length*Rate), len(p.out.Samples))]
		hz := 440 * math.Exp2(float64(57+p.root+up-69)/12)
		for n := range dst {
			t := float64(n) / Rate
			shape := min(1, t/0.02) * min(1, (float64(len(dst))/Rate-t)/0.03)
			v := math.Sin(2*math.Pi*hz*t) + 0.4*math.Sin(4*math.Pi*hz*t)
			dst[n] += float32(0.05 * shape * v)
		}
	}
}

// Grooves are the generated pieces that beats are tested on, a minute each. The seed of
// each follows from its name, so that one more piece changes none of the others.
func Grooves() map[string]Groove {
	g := map[string]Groove{
		"steady":       {BPM: 120, Drums: true},
		"slow":         {BPM: 70, Drums: true},
		"fast":         {BPM: 165, Drums: true},
		"ramp up":      {BPM: 90, End: 140, Drums: true},
		"ramp down":    {BPM: 150, End: 100, Drums: true},
		"swing":        {BPM: 125, Swing: 0.16, Drums: true},
		"dropouts":     {BPM: 110, Drop: true, Drums: true},
		"three":        {BPM: 132, Meter: 3, Drums: true},
		"five":         {BPM: 140, Meter: 5, Drums: true},
		"six":          {BPM: 150, Meter: 6, Drums: true},
		"seven":        {BPM: 145, Meter: 7, Drums: true},
		"rubato":       {BPM: 96, Rubato: 0.12, Drums: true},
		"no drums":     {BPM: 104},
		"rubato piano": {BPM: 80, Rubato: 0.08},
		"waltz":        {BPM: 90, Meter: 3},
		"off-beat":     {BPM: 108, OffBeat: true},
		"off-beat kit": {BPM: 126, OffBeat: true, Drums: true},
		"off-beat six": {BPM: 88, Meter: 6, OffBeat: true},
	}
	for name, v := range g {
		for _, c := range []byte(name) {
			v.Seed = v.Seed*31 + uint64(c)
		}
		v.Length = time.Minute
		g[name] = v
	}
	return g
}
