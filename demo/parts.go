package demo

import "strings"

// The parts of the orchestra: each turns harmony and melody into sounds.

// accent adds a sound that is meant to be lit.
func (c *composer) accent(at int64, name string, plays instrument, db float64) {
	c.add(sound{at: at, name: name, plays: plays, db: db, accent: true, room: .35})
}

// sing plays a melody on plucked strings.
func (c *composer) sing(p pulse, bar int, melody []tone, db float64) {
	for i, t := range melody {
		beat := t.beat - melody[0].beat
		lift := 0.0
		if i%4 == 0 {
			lift = 1
		}
		ring := 1.2 + float64(0.5*min(t.long, 3))
		c.add(sound{at: p.at(bar, beat), name: "string", plays: pluck{hertz(t.note), ring, .75}, db: db + lift, pan: .15, room: .35})
	}
}

// chime plays a melody on chime bars.
func (c *composer) chime(p pulse, bar int, melody []tone, db float64) {
	for _, t := range melody {
		c.add(sound{at: p.at(bar, t.beat), name: "chime", plays: bell{hertz(t.note), 1.8, chimeBar}, db: db, pan: -.25, room: .5})
	}
}

// broken plays each chord as eighth notes, up and down.
func (c *composer) broken(p pulse, chords [][]string, db float64) {
	for bar, chord := range chords {
		for i, step := range []int{0, 1, 2, 3, 2, 1, 2, 1} {
			quieter := 0.0
			if i > 0 {
				quieter = 2
			}
			c.add(sound{at: p.at(bar, float64(i)/2), name: "low string", plays: pluck{hertz(chord[step]), 1.6, .35}, db: db - quieter, pan: -.35, room: .3})
		}
	}
}

// waltz plays bass, chord, chord.
func (c *composer) waltz(p pulse, chords [][]string, db float64) {
	for bar, chord := range chords {
		for beat, steps := range [][]int{{0}, {2, 3}, {2, 3}} {
			for _, step := range steps {
				c.add(sound{at: p.at(bar, float64(beat)), name: "harp", plays: pluck{hertz(chord[step]), 1.4, .3}, db: db, pan: .35, room: .4})
			}
		}
	}
}

// ostinato drives a bar on low strings.
func (c *composer) ostinato(p pulse, bar int, db float64) {
	notes := []string{"D2", "D2", "A2", "D2", "F2", "D2", "Eb2", "D2"}
	if bar%4 == 3 {
		notes = []string{"D2", "D2", "Bb2", "A2", "G2", "F2", "Eb2", "C#2"}
	}
	for i, note := range notes {
		c.add(sound{at: p.at(bar, float64(i)/2), name: "bass string", plays: pluck{hertz(note), .8, .5}, db: db, pan: -.1, room: .15})
	}
}

// beatDrum strikes the small drum.
func (c *composer) beatDrum(p pulse, bar int, beat, db float64) {
	c.add(sound{at: p.at(bar, beat), name: "drum", plays: drum{78, .5, .35}, db: db, pan: .1, room: .2})
}

// surf lays two beaches, left and right.
func (c *composer) surf(at int64, loud ramp) {
	c.bed(at, "surf", -.7, sea{loud, 7.9, 2600})
	c.bed(at, "surf", .7, sea{loud, 9.1, 3100})
}

// narrate adds a span of murmur. Each syllable is an attack, if a soft one.
func (c *composer) narrate(at int64, lasts, pitch float64, name string) {
	m := speak(lasts, pitch, dice(at))
	c.add(sound{at: at, name: "murmur", plays: m, db: -8, slow: true, room: .08})
	rise, decay := m.shape()
	for _, s := range m.syllables {
		c.plan.Attacks = append(c.plan.Attacks, Attack{Time: moment(at + int64(s.from)), Name: "syllable", Loudness: -14, Rise: rise, Decay: decay})
	}
	span(&c.plan.Voice, at, at+samples(lasts), name)
}

// pad holds notes for some seconds.
func (c *composer) pad(at int64, lasts, db float64, notes ...string) {
	for i, note := range notes {
		loud := ramp{{0, -70}, {3, db}, {lasts - 3, db}, {lasts, -70}}
		c.bed(at, "bowed", float64(i%3-1)*.4, bow{hertz(note), loud, hollow})
	}
}

// chordPad holds a chord from one sample to the next chord's.
func (c *composer) chordPad(from, to int64, chord []string, db float64) {
	lasts := float64(to-from) / Rate
	for i, note := range chord {
		loud := ramp{{0, -70}, {.5, db - 3}, {1.1, db}, {lasts, db - 1}, {lasts + .9, -70}}
		c.bed(from, "bowed", float64(i%3-1)*.4, bow{hertz(note), loud, bowed})
	}
}

// swell grows on held notes by more than 20 dB and breathes in just before the
// sample that it leads to.
func (c *composer) swell(from, until int64, name string, db float64, notes ...string) {
	lasts := float64(until-from) / Rate
	for i, note := range notes {
		loud := ramp{{0, db - 34}, {lasts * .5, db - 16}, {lasts - .15, db}, {lasts - .02, db - 16}, {lasts + 1, -80}}
		c.bed(from, "bowed", float64(i%3-1)*.5, bow{hertz(note), loud, bowed})
	}
	span(&c.plan.Swells, from, until, name)
}

// low and high move a melody by an octave.
func low(melody []tone) []tone  { return shift(melody, -1) }
func high(melody []tone) []tone { return shift(melody, 1) }

// shift changes the digit that ends each note's name.
func shift(melody []tone, octaves int) []tone {
	out := make([]tone, len(melody))
	for i, t := range melody {
		last := len(t.note) - 1
		t.note = strings.TrimRight(t.note, "0123456789") + string(rune(int(t.note[last])+octaves))
		out[i] = t
	}
	return out
}
