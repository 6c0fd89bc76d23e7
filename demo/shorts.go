package demo

// The sounds of the two short demos: the first and the last piece of the
// evening, and the cave of the walk where water drips.

// ferryBell returns the plan of the evening's first piece: a quay, two bars that
// may be heard again and again until the passenger is aboard, and the crossing.
func ferryBell() Plan {
	c := &composer{}
	c.still("leader", "silence", 1)
	c.surf(c.now, ramp{{0, -50}, {2, -33}, {20, -34}, {24, -70}})
	p := c.pulsed("the quay", "quay", newPulse(c.now, 2, 4, 90, 90))
	c.broken(p, harmony("Dm Am"), -14)
	c.sing(p, 0, tune("D4:1 F4:.5 G4:.5 A4:2 | C5:1 B4:.5 A4:.5 E4:2"), -7)
	c.accent(p.at(0, 0), "ferry bell", bell{hertz("D4"), 4, castBell}, -6)
	p = c.pulsed("the ferry waits", "waits", newPulse(c.now, 2, 4, 90, 90))
	c.broken(p, harmony("Dm Dm"), -14)
	p = c.pulsed("the crossing", "crossing", newPulse(c.now, 4, 4, 90, 90))
	c.broken(p, harmony(homeChords)[:4], -14)
	c.sing(p, 0, tune(home)[:16], -7)
	c.accent(p.at(0, 0), "ferry bell", bell{hertz("D4"), 4, castBell}, -6)
	c.add(sound{at: p.at(3, 0), name: "far shore", plays: bell{hertz("A4"), 3, chimeBar}, db: -6, room: .35})
	c.still("the far shore", "silence", 3.5)
	return c.finish()
}

// springTide returns the plan of the evening's last piece: the sea comes up, and a
// waltz of chime bars goes out on it.
func springTide() Plan {
	c := &composer{}
	c.still("leader", "silence", 1)
	from := c.still("the tide turns", "sea", 6)
	c.surf(from, ramp{{0, -50}, {5, -24}, {9, -32}, {20, -38}, {24, -80}})
	c.swell(from, c.now, "the tide comes up", -16, "F3", "A3", "C4", "F4")
	p := c.pulsed("pearls are washed ashore", "waltz", newPulse(c.now, 8, 3, 96, 96))
	c.waltz(p, harmony(glowChords), -18)
	c.chime(p, 0, tune(glow), -12)
	for i, bar := range []int{0, 2, 4, 7} {
		c.accent(p.at(bar, 0), "pearl", bell{hertz([]string{"F4", "A4", "C5", "F5"}[i]), 4, chimeBar}, -5)
	}
	c.still("ebb", "silence", 4)
	return c.finish()
}

// drippingCave returns the plan of the sound in the walk's last cave: a drone, and
// drops that fall when they like.
func drippingCave() Plan {
	c := &composer{}
	from := c.still("the cave", "cave", 27)
	c.pad(from, 26, -30, "D2", "A2", "D3")
	for i, at := range []float64{4, 7.3, 9.1, 12.6, 15.2, 19.4} {
		note := []string{"D5", "A5", "F#5", "B5", "D6", "A5"}[i]
		c.add(sound{at: from + samples(at), name: "drop", plays: bell{hertz(note), 3, chimeBar}, db: -7, accent: true, pan: float64(i%3-1) * .6, room: .8})
	}
	c.still("end", "silence", 3)
	return c.finish()
}

// harbourDance returns the plan of a minute of dance: lanterns, a tune on strings, the drum,
// a breath, and everything once more.
func harbourDance() Plan {
	c := &composer{}
	c.still("leader", "silence", 1)
	p := c.pulsed("the lanterns", "lanterns", newPulse(c.now, 4, 4, 116, 116))
	c.broken(p, harmony("D G A D"), -15)
	c.accent(p.at(0, 0), "quay bell", bell{hertz("D4"), 3.5, castBell}, -8)
	p = c.pulsed("the first steps", "tune", newPulse(c.now, 8, 4, 116, 116))
	c.broken(p, harmony(homeChords), -16)
	c.sing(p, 0, tune(home), -7)
	p = c.pulsed("the drum", "drum", newPulse(c.now, 8, 4, 116, 116))
	c.round(p, -12)
	c.sing(p, 0, high(tune(home)), -10)
	p = c.pulsed("a breath", "breath", newPulse(c.now, 4, 4, 116, 116))
	c.broken(p, harmony("Bm A G A"), -18)
	c.surf(p.at(0, 0), ramp{{0, -50}, {3, -30}, {8, -34}, {11, -60}})
	p = c.pulsed("the last round", "drum", newPulse(c.now, 4, 4, 116, 116))
	c.round(p, -11)
	c.sing(p, 0, tune(home)[14:], -6)
	c.accent(c.now, "last chord", bell{hertz("D4"), 3.5, castBell}, -6)
	c.still("the quay", "silence", 4)
	return c.finish()
}

// round is the drum with its strings below, and the small shells between.
func (c *composer) round(p pulse, db float64) {
	c.broken(p, harmony(homeChords)[:p.bars()], db-5)
	for bar := range p.bars() {
		c.beatDrum(p, bar, 0, db+3)
		c.beatDrum(p, bar, 1.5, db-6)
		c.beatDrum(p, bar, 2, db)
		for beat := range 4 {
			c.add(sound{at: p.at(bar, float64(beat)+.5), name: "shells", plays: rattle{.25}, db: db - 6, pan: .4, room: .2})
		}
	}
}
