package truth

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"
)

// Band says who plays a song.
type Band struct {
	Seed  uint64
	Held  bool // the instruments that are kept for testing, instead of all others
	Drums bool // a kit, and sometimes a bass, play along; their patterns are invented
}

// heldProgram says whether a General MIDI program is kept for testing: every sixth.
func heldProgram(p int) bool { return p%6 == 1 }

// accompanists can carry a piano's part, tunes a tune: General MIDI programs.
var (
	accompanists = slices.Concat(span(0, 31), span(44, 51), span(88, 91))
	tunes        = slices.Concat(span(0, 31), span(40, 46), span(48, 53), span(56, 82))
	basses       = span(32, 39)
)

func span(a, b int) (out []int) {
	for ; a <= b; a++ {
		out = append(out, a)
	}
	return out
}

// draw draws a program that is on the right side of the split.
func (b Band) draw(r *rand.Rand, from []int) int {
	for {
		if p := from[r.IntN(len(from))]; heldProgram(p) == b.Held {
			return p
		}
	}
}

// Arranged gives each of a song's parts an instrument, moves it to another key, and has a kit
// join if asked for.
func (s Song) Arranged(b Band) Song {
	r := rand.New(rand.NewPCG(b.Seed, 0xa44))
	program := [3]int{b.draw(r, tunes), b.draw(r, tunes), b.draw(r, accompanists)}
	level := [3]float64{0.5 + 0.5*r.Float64(), 0.4 + 0.6*r.Float64(), 0.6 + 0.4*r.Float64()}
	silent := [3]bool{r.Float64() < 0.15, r.Float64() < 0.3, false}
	up, human := r.IntN(12)-6, []float64{0, 0, 0.006, 0.012}[r.IntN(4)]
	var notes []Note
	for _, n := range s.Notes {
		c := n.Channel
		if c > 2 || silent[c] {
			continue
		}
		n.Program, n.Key = program[c], min(max(n.Key+up, 21), 108)
		n.Velocity = min(max(int(float64(n.Velocity)*level[c]), 1), 127)
		n.Time = max(n.Time+time.Duration(r.NormFloat64()*human*float64(time.Second)), 0)
		notes = append(notes, n)
	}
	k := kit{r: r, song: s, human: human}
	if b.Drums {
		k.play()
		if r.Float64() < 0.6 {
			k.bass(b.draw(r, basses), up)
		}
	}
	s.Notes = append(notes, k.notes...)
	slices.SortStableFunc(s.Notes, func(a, b Note) int { return int(a.Time - b.Time) })
	return s
}

// kit plays drums along a song's beats.
type kit struct {
	r     *rand.Rand
	song  Song
	human float64
	notes []Note
}

// Keys of General MIDI's percussion.
const (
	kickKey, snareKey, sideKey, hatKey, openKey, rideKey, crashKey, shakerKey, tambourineKey = 36, 38, 37, 42, 46, 51, 49, 70, 54
)

// play draws a feel and keeps it, with a fill or a crash now and then, and bars without drums.
func (k *kit) play() {
	feel := k.feel()
	rest := 0
	for i, t := range k.song.Beats {
		if k.song.First[i] {
			if rest = max(rest-1, 0); rest == 0 && k.r.Float64() < 0.04 {
				rest = 1 + k.r.IntN(4)
			}
			if rest == 0 && k.r.Float64() < 0.12 {
				k.hit(t, crashKey, 95)
			}
		}
		if rest == 0 {
			k.beat(i, t, k.period(i), feel)
		}
	}
}

// period is the time from a beat to the next.
func (k *kit) period(i int) time.Duration {
	b := k.song.Beats
	switch {
	case i+1 < len(b):
		return b[i+1] - b[i]
	case i > 0:
		return b[i] - b[i-1]
	}
	return 500 * time.Millisecond
}

// feel is what a kit does in a bar, by sixteenths of four beats or of three.
type feel struct {
	kick, back   [16]float64 // chances
	hats         int         // a beat: 0 to 4
	offHats      bool        // only between the beats
	swing        float64     // share of half a beat by which the off-beat is late
	hat, snare   int
	loud, hatted int
}

// feel draws one: backbeats on two and four, half time, four to the floor, or any.
func (k *kit) feel() feel {
	r := k.r
	f := feel{hats: []int{0, 1, 2, 2, 2, 4, 4}[r.IntN(7)], hat: []int{hatKey, hatKey, rideKey, shakerKey, tambourineKey, openKey}[r.IntN(6)],
		snare: []int{snareKey, snareKey, sideKey, 39, 40}[r.IntN(5)], loud: 60 + r.IntN(60), hatted: 35 + r.IntN(60)}
	f.offHats = f.hats == 2 && r.Float64() < 0.25
	if r.Float64() < 0.25 {
		f.swing = 0.34 * r.Float64()
	}
	for i := range f.kick {
		f.kick[i] = 0.5 * r.Float64() * float64(btoi(r.Float64() < []float64{0.15, 0.05, 0.3, 0.1}[i%4]))
	}
	f.kick[0] = 0.97
	switch r.IntN(5) {
	case 0, 1:
		f.back[4], f.back[12], f.kick[8] = 0.98, 0.98, 0.6*r.Float64()
	case 2:
		f.back[8] = 0.98
	case 3:
		f.kick[4], f.kick[8], f.kick[12] = 0.97, 0.97, 0.97
		f.back[4], f.back[12] = 0.7, 0.7
	default:
		for range 3 {
			f.back[2*r.IntN(8)] = 0.9
		}
	}
	return f
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// beat plays the four sixteenths of one beat.
func (k *kit) beat(i int, t, period time.Duration, f feel) {
	place := 0
	for j := i; j > 0 && !k.song.First[j]; j-- {
		place++
	}
	fill := k.r.Float64() < 0.02
	for s := range 4 {
		at := t + period*time.Duration(s)/4
		if s == 2 {
			at += time.Duration(f.swing * float64(period) / 2)
		}
		n := (4*place + s) % 16
		if k.r.Float64() < f.kick[n] {
			k.hit(at, kickKey, f.loud)
		}
		if k.r.Float64() < f.back[n] {
			k.hit(at, f.snare, f.loud)
		}
		if fill {
			k.hit(at, []int{snareKey, 45, 48, 41}[k.r.IntN(4)], f.loud-10)
		}
		if f.hats > 0 && s%(4/f.hats) == 0 && (!f.offHats || s == 2) && k.r.Float64() < 0.95 {
			k.hit(at, f.hat, f.hatted-15*(s%2))
		}
	}
}

// hit adds a stroke.
func (k *kit) hit(t time.Duration, key, velocity int) {
	t += time.Duration(k.r.NormFloat64() * math.Min(k.human, 0.005) * float64(time.Second))
	k.notes = append(k.notes, Note{Time: max(t, 0), Length: 100 * time.Millisecond, Channel: 9, Key: key,
		Velocity: min(max(velocity+int(8*k.r.NormFloat64()), 10), 127)})
}

// bass doubles the lowest note about each beat, in the rhythm that it draws.
func (k *kit) bass(program, up int) {
	every := []int{1, 1, 2, 4}[k.r.IntN(4)]
	eighths := k.r.Float64() < 0.3
	for i, t := range k.song.Beats {
		if i%every != 0 && !k.song.First[i] {
			continue
		}
		key := k.lowest(t, k.period(i))
		if key == 0 {
			continue
		}
		n := Note{Time: t, Length: k.period(i) * 9 / 10, Channel: 3, Program: program, Key: 28 + (key+up+8)%12, Velocity: 80 + k.r.IntN(35)}
		k.notes = append(k.notes, n)
		if eighths {
			n.Time += k.period(i) / 2
			k.notes = append(k.notes, n)
		}
	}
}

// lowest is the lowest key that begins within a beat, 0 for none.
func (k *kit) lowest(t, period time.Duration) int {
	low := 0
	for _, n := range k.song.Notes {
		if n.Time >= t-20*time.Millisecond && n.Time < t+period/2 && (low == 0 || n.Key < low) {
			low = n.Key
		}
	}
	return low
}
