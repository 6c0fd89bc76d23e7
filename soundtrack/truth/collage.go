package truth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"
)

// Span is a stretch of a collage.
type Span struct {
	From, To time.Duration
	Label    string
}

// Play is a collage laid out like the soundtrack of a play.
type Play struct {
	Samples  []float32
	Sections []Span // back to back; one label, one material
	Hushes   []Span
	Swells   []Span // to the loudest instant
	Voices   []Span
	Shocks   []time.Duration // thunder: what a designer would light first
}

// Collage lays sections of music, beds, speech, speech over music and silence
// end to end, with swells between them and thunder over them.
func Collage(seed uint64, length time.Duration) Play {
	r := rand.New(rand.NewPCG(seed, 0xc011))
	c := collage{r: r, end: length}
	c.out.Samples = make([]float32, int(length.Seconds()*Rate))
	c.materials()
	last := ""
	// What is left at the end is long enough for a section.
	for c.at < length-8*time.Second {
		// No two of a kind in a row, and no silence first: those edges could not be heard.
		kind := []string{"music a", "music b", "bed a", "bed b", "speech", "speech over a", "silence", "swell"}[r.IntN(8)]
		if kind == last || (c.at == 0 && kind == "silence") {
			continue
		}
		last = kind
		c.section(kind)
	}
	if last == "bed a" {
		last = "bed b"
	} else {
		last = "bed a"
	}
	// The last section takes what is left, with another bed than the one before it, or the two
	// would be one section.
	c.section(last) // what is left
	c.thunder(4 + r.IntN(4))
	for i := range c.out.Samples { // the room's noise floor: -72 dBFS RMS
		c.out.Samples[i] += float32(0.00025 * r.NormFloat64())
	}
	return c.out
}

// collage is one being made: at is where the next section goes.
type collage struct {
	r     *rand.Rand
	at    time.Duration
	end   time.Duration
	out   Play
	music [2][]float32
	beds  [2][]float32
}

// materials makes two pieces of music and two beds that the sections use over
// and over.
func (c *collage) materials() {
	for i := range c.music {
		// Music lies at -20 to -24 dB, beds at -28 to -36 dB, speech at -24 dB.
		g := Groove{Seed: c.r.Uint64(), Length: 3 * time.Minute, BPM: 70 + 80*c.r.Float64(),
			Meter: 3 + c.r.IntN(2), Drums: c.r.IntN(3) > 0}
		c.music[i] = scaled(g.Play().Samples, -20-4*c.r.Float64())
		c.beds[i] = make([]float32, 90*Rate)
		bed(c.r, c.beds[i], 1)
		c.beds[i] = scaled(c.beds[i], -28-8*c.r.Float64())
	}
}

// scaled brings samples to an RMS level in dB re full scale, in place. Silence stays so.
func scaled(x []float32, db float64) []float32 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	g := float32(math.Pow(10, db/20) / math.Sqrt(sum/float64(len(x))+1e-20))
	for i := range x {
		x[i] *= g
	}
	return x
}

// section lays one section of a kind from at on, and notes it under what it is. Lengths are
// 12 s to 42 s, silences and swells shorter.
func (c *collage) section(kind string) {
	length := 12 + 30*c.r.Float64()
	switch kind {
	case "silence":
		length = 1.2 + 4*c.r.Float64()
	case "swell":
		length = 4 + 5*c.r.Float64()
	}
	from := c.at
	to := min(from+time.Duration(length*float64(time.Second)), c.end)
	dst := c.out.Samples[int(from.Seconds()*Rate):int(to.Seconds()*Rate)]
	label := kind
	switch kind {
	case "music a", "music b":
		c.loop(dst, c.music[kind[6]-'a'], 1)
	case "bed a", "bed b":
		c.loop(dst, c.beds[kind[4]-'a'], 1)
	case "speech":
		c.speak(dst, from, to)
	case "speech over a":
		c.loop(dst, c.music[0], 0.25) // ducked by 12 dB
		c.speak(dst, from, to)
	case "silence":
		c.out.Hushes = append(c.out.Hushes, Span{from, to, kind})
	case "swell":
		c.swell(dst)
		c.out.Swells = append(c.out.Swells, Span{from, to, kind})
	}
	edges(dst)
	c.out.Sections = append(c.out.Sections, Span{from, to, label})
	c.at = to
}

// edges fades 30 ms in and out, as an editor would.
func edges(dst []float32) {
	n := min(int(0.03*Rate), len(dst)/2)
	for i := range n {
		g := float32(i) / float32(n)
		dst[i] *= g
		dst[len(dst)-1-i] *= g
	}
}

// loop plays a material from anywhere in it, over and over.
func (c *collage) loop(dst, src []float32, gain float32) {
	from := c.r.IntN(len(src))
	for i := range dst {
		dst[i] += gain * src[(from+i)%len(src)]
	}
}

// speak lays speech over what is there.
func (c *collage) speak(dst []float32, from, to time.Duration) {
	voice := make([]float32, len(dst))
	speech(c.r, voice, 1)
	scaled(voice, -24)
	for i, v := range voice {
		dst[i] += v
	}
	c.out.Voices = append(c.out.Voices, Span{from, to, "speech"})
}

// swell rises by 24 dB, evenly, on noise with a chord or without. The noise goes through a
// low-pass of one pole, low += a·(x - low), whose output has a/(2-a) of the power: hence the
// gain, here as in every voice of the package. 1.498 is a fifth, a little mistuned.
func (c *collage) swell(dst []float32) {
	a, low := 0.02+0.3*c.r.Float64(), 0.0
	gain := 0.07 * math.Sqrt((2-a)/a)
	hz, chord := 150*math.Exp2(2*c.r.Float64()), 0.2*float64(c.r.IntN(2))
	for i := range dst {
		low += a * (2*c.r.Float64() - 1 - low)
		w := 2 * math.Pi * hz / Rate * float64(i)
		v := gain*low + chord*(math.Sin(w)+0.5*math.Sin(1.498*w))*0.5
		dst[i] += float32(v * math.Pow(10, (float64(i)/float64(len(dst))-1)*24/20))
	}
}

// thunder strikes n times, away from silence and from each other; fewer where no place
// is left after 200 tries.
func (c *collage) thunder(n int) {
	for try := 0; try < 200 && len(c.out.Shocks) < n; try++ {
		at := time.Duration((5 + (c.end.Seconds()-15)*c.r.Float64()) * float64(time.Second))
		if c.quietPlace(at) {
			c.strike(at)
		}
	}
}

// quietPlace tells whether thunder there would hit no hush, no swell and no other thunder.
func (c *collage) quietPlace(at time.Duration) bool {
	for _, s := range c.out.Shocks {
		if (s - at).Abs() < 15*time.Second {
			return false
		}
	}
	for _, s := range append(append([]Span{}, c.out.Hushes...), c.out.Swells...) {
		if at > s.From-6*time.Second && at < s.To+time.Second {
			return false
		}
	}
	return true
}

// strike is thunder: a crack of noise that is gone in a second, over a rumble that stays.
func (c *collage) strike(at time.Duration) {
	dst := c.out.Samples[int(at.Seconds()*Rate):]
	dst = dst[:min(len(dst), 5*Rate)]
	low, rumble := 0.0, 0.0
	for i := range dst {
		t := float64(i) / Rate
		v := 2*c.r.Float64() - 1
		low += 0.3 * (v - low)
		rumble += 0.015 * (v - rumble)
		dst[i] += float32(0.5*low*math.Exp(-t/0.25) + 2.2*rumble*math.Exp(-t/1.5)*min(1, t/0.01))
	}
	c.out.Shocks = append(c.out.Shocks, at)
}

// String names the span.
func (s Span) String() string { return fmt.Sprintf("%s %v to %v", s.Label, s.From, s.To) }
