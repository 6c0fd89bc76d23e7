package truth

import (
	"math/rand/v2"
	"slices"
	"time"
)

// Compose invents a score of the given length: a few parts of random
// instruments over chords, with drums or without, in a random tempo that may
// bend. It is music to a detector, hardly to a person.
func Compose(seed uint64, length time.Duration) []Note {
	r := rand.New(rand.NewPCG(seed, 0xc0))
	c := composer{r: r, beat: 0.3 + 0.6*r.Float64(), root: 36 + r.IntN(12), end: length.Seconds()}
	// By a machine, by a good player, by a loose one.
	c.human = []float64{0, 0.004, 0.012}[r.IntN(3)]
	for part := range 1 + r.IntN(4) {
		c.part(part)
	}
	if r.Float64() < 0.6 {
		c.drums()
	}
	slices.SortStableFunc(c.notes, func(a, b Note) int { return int(a.Time - b.Time) })
	return c.notes
}

// composer is a score being made.
type composer struct {
	r     *rand.Rand
	beat  float64 // s
	root  int
	end   float64 // s
	human float64 // standard deviation of played times, s
	notes []Note
}

// instrument draws a General MIDI program, a pad or an effect that goes on
// moving within the note about once in five.
func (c *composer) instrument() int {
	if c.r.Float64() < 0.2 {
		return 88 + c.r.IntN(16)
	}
	return c.r.IntN(120)
}

// scale is the natural minor, in semitones over the root.
var scale = []int{0, 2, 3, 5, 7, 8, 10}

// part adds one instrument: chords of one to four notes in thirds, in even steps of which
// some are left out.
func (c *composer) part(channel int) {
	program, octave := c.instrument(), 12*c.r.IntN(4)
	step := c.beat * []float64{0.25, 0.5, 0.5, 1, 1, 2, 4}[c.r.IntN(7)]
	voices := 1 + c.r.IntN(4)*c.r.IntN(2)
	loud, density, hold := 45+c.r.IntN(70), 0.4+0.6*c.r.Float64(), 0.3+0.9*c.r.Float64()
	for t := 0.5; t < c.end-2; t += step {
		if c.r.Float64() > density {
			continue
		}
		degree := c.r.IntN(len(scale))
		for v := range voices {
			key := c.root + octave + scale[(degree+2*v)%len(scale)] + 12*((degree+2*v)/len(scale))
			c.add(t, step*hold, channel, program, key, loud)
		}
	}
}

// Percussion keys of General MIDI: kicks, snares, hats, toms, cymbals, hand drums.
var drumKeys = []int{35, 36, 38, 40, 42, 44, 46, 41, 45, 48, 49, 51, 54, 56, 60, 63, 69, 75}

// drums adds a pattern of sixteen steps, over and over, on the percussion channel.
func (c *composer) drums() {
	step := c.beat * []float64{0.25, 0.5, 0.5, 1}[c.r.IntN(4)]
	var pattern [16][]int
	for i := range pattern {
		for range c.r.IntN(3) {
			pattern[i] = append(pattern[i], drumKeys[c.r.IntN(len(drumKeys))])
		}
	}
	loud, i := 50+c.r.IntN(65), 0
	for t := 0.5; t < c.end-2; t += step {
		for _, key := range pattern[i%16] {
			c.add(t, 0.1, 9, 0, key, loud)
		}
		i++
	}
}

// add adds a note with a player's unevenness of time and loudness. Times are whole
// milliseconds, as MIDI writes them.
func (c *composer) add(t, length float64, channel, program, key, loud int) {
	t += c.r.NormFloat64() * c.human
	velocity := min(max(loud+int(10*c.r.NormFloat64()), 15), 127)
	c.notes = append(c.notes, Note{
		Time: time.Duration(max(t, 0)*1000) * time.Millisecond, Length: time.Duration(length*1000) * time.Millisecond,
		Channel: channel, Program: program, Key: min(max(key, 21), 108), Velocity: velocity,
	})
}

// Transposed returns a MIDI file's notes as heard in another key and tempo:
// up by semitones (percussion stays), times divided by speed. Notes as ReadMIDI gives them
// have no length, and get a fifth of a second.
func Transposed(notes []Note, semitones int, speed float64) []Note {
	out := slices.Clone(notes)
	for i := range out {
		n := &out[i]
		n.Time = time.Duration(float64(n.Time.Milliseconds())/speed) * time.Millisecond
		n.Length = time.Duration(float64(n.Length) / speed)
		if n.Length == 0 {
			n.Length = 200 * time.Millisecond
		}
		if n.Channel != 9 {
			n.Key = min(max(n.Key+semitones, 0), 127)
		}
	}
	return out
}
