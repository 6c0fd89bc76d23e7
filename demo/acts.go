package demo

// TheLanternFish returns the plan of the demo's soundtrack: thirteen sections in not quite
// seven minutes. Some share their material, and with it a label, so that there is something
// to be found again.
func TheLanternFish() Plan {
	c := &composer{}
	c.leader()
	c.dusk()
	c.putOut()
	c.lanternFish()
	c.deepWater()
	c.windRises()
	c.storm()
	c.stillness()
	c.sinking()
	c.pearlBed()
	c.guideHome()
	c.home()
	c.harbour()
	return c.finish()
}

// leader is the silence at the head of the track.
func (c *composer) leader() {
	from := c.still("leader", "silence", 3)
	span(&c.plan.Hushes, from, c.now, "leader")
}

// dusk is the sea alone, and the narrator.
func (c *composer) dusk() {
	from := c.still("dusk", "sea", 25)
	c.surf(from, ramp{{0, -45}, {4, -26}, {22, -27}, {34, -40}, {70, -60}})
	c.narrate(from+samples(5.5), 17.5, 112, "who fishes at night")
	c.pad(from+samples(1), 26, -34, "D3", "A3")
	span(&c.plan.Swells, from, from+samples(4), "the sea comes up")
}

const (
	theme = `D4:1 F4:.5 G4:.5 A4:2 | C5:1 B4:.5 A4:.5 G4:2 | F4:1 G4:.5 A4:.5 E4:1 C4:1 | D4:3 A3:1 |
	         D4:1 F4:.5 G4:.5 A4:1 D5:1 | C5:1 A4:1 B4:1 G4:1 | A4:1 F4:1 E4:1 C4:1 | D4:4`
	themeChords = "Dm G F Dm | Dm Am F Dm"
	// The theme when it has come home, in major and with its second half sung out.
	home = `D4:1 F#4:.5 G4:.5 A4:2 | B4:1 A4:.5 G4:.5 A4:2 | D5:1 C#5:.5 B4:.5 A4:1 F#4:1 | E4:3 A3:1 |
	        D4:1 F#4:.5 G4:.5 A4:1 D5:1 | E5:1 D5:1 B4:1 G4:1 | A4:1 F#4:1 E4:1 C#4:1 | D4:4`
	homeChords = "D G Bm A | D G A D"
	glow       = `A5:2 C6:1 | B5:2 G5:1 | E5:2 G5:1 | F5:3 | A5:1 B5:1 C6:1 | E6:2 D6:1 | C6:2 B5:1 | A5:3`
	glowChords = "F G/F Am F | Dm Em G F"
)

// putOut is the theme on plucked strings: the boat leaves.
func (c *composer) putOut() {
	p := c.pulsed("the boat puts out", "theme", newPulse(c.now, 12, 4, 72, 72))
	chords := harmony(themeChords + " " + "Dm Am F Dm")
	c.sing(p, 0, tune(theme), -7)
	c.sing(p, 8, tune(theme)[20:], -7)
	c.broken(p, chords, -17)
	c.accent(p.at(0, 0), "harbour bell", bell{hertz("D4"), 4.5, castBell}, -7)
	c.accent(p.at(8, 0), "harbour bell", bell{hertz("D4"), 4.5, castBell}, -7)
	c.accent(p.at(4, 0), "high string", pluck{hertz("D5"), 2.5, .9}, -6)
	for bar := 4; bar < 12; bar += 2 {
		c.chordPad(p.at(bar, 0), p.at(bar+2, 0), chords[bar], -36)
	}
	c.swell(p.at(10, 0), p.end(), "the lamp is lit", -18, "D3", "A3", "C4", "F4")
}

// lanternFish is a slow waltz of chime bars: the creature comes.
func (c *composer) lanternFish() {
	p := c.pulsed("the lantern fish", "glow", newPulse(c.now, 24, 3, 96, 96))
	chords := harmony(glowChords + " " + glowChords + " " + glowChords)
	for phrase := range 3 {
		c.chime(p, 8*phrase, tune(glow), -12-float64(phrase%2))
		c.accent(p.at(8*phrase, 0), "lantern", bell{hertz("F4"), 3.6, castBell}, -5)
	}
	c.waltz(p, chords, -20)
	for bar := 0; bar < 24; bar += 2 {
		c.chordPad(p.at(bar, 0), p.at(bar+2, 0), chords[bar], -34)
	}
}

// deepWater is the narrator again, over a drone.
func (c *composer) deepWater() {
	from := c.still("deep water", "sea", 18)
	c.surf(from-samples(4), ramp{{0, -60}, {5, -31}, {20, -30}, {24, -36}})
	c.narrate(from+samples(2), 14, 108, "the light below")
	c.pad(from, 18, -33, "D2", "A2", "D3")
}

// windRises gathers speed: drums, an ostinato, the wind.
func (c *composer) windRises() {
	p := c.pulsed("the wind rises", "wind", newPulse(c.now, 16, 4, 80, 132))
	long := float64(p.end()-p.at(0, 0)) / Rate
	c.bed(p.at(0, 0), "wind", -.3, gale{ramp{{0, -60}, {long * .5, -38}, {long, -22}, {long + 44, -18}, {long + 50, -60}}})
	c.bed(p.at(0, 0), "wind", .4, gale{ramp{{0, -60}, {long * .6, -40}, {long, -23}, {long + 44, -18}, {long + 50, -60}}})
	c.surf(p.at(0, 0), ramp{{0, -36}, {long, -24}, {long + 40, -20}, {long + 50, -50}})
	for bar := range p.bars() {
		c.ostinato(p, bar, -20+float64(.4*float64(bar)))
		c.beatDrum(p, bar, 0, -16+float64(.35*float64(bar)))
		if bar >= 6 {
			c.beatDrum(p, bar, 2, -18+float64(.35*float64(bar)))
		}
	}
	for _, bar := range []int{4, 8, 12} {
		c.accent(p.at(bar, 0), "great drum", drum{52, 1.6, .5}, -3)
	}
	c.swell(p.at(12, 0), p.end(), "the storm breaks over the boat", -13, "D3", "A3", "D4", "Eb4")
}

// storm is drums and thunder.
func (c *composer) storm() {
	p := c.pulsed("the storm", "storm", newPulse(c.now, 24, 4, 132, 132))
	for bar := range p.bars() {
		c.ostinato(p, bar, -12)
		for beat, db := range []float64{-9, -16, -12, -15} {
			c.beatDrum(p, bar, float64(beat), db)
		}
		if bar%4 == 3 {
			c.beatDrum(p, bar, 3.5, -14)
		}
	}
	c.sing(p, 8, low(tune(theme)), -8)
	for _, at := range []struct{ bar, beat int }{{0, 0}, {2, 2}, {5, 0}, {8, 0}, {11, 2}, {14, 0}, {17, 2}, {20, 0}} {
		c.accent(p.at(at.bar, float64(at.beat)), "thunder", thunder{5, .8}, 2)
	}
	c.surf(p.at(0, 0), ramp{{0, -50}, {3, -21}, {46, -19}})
}

// stillness begins with the last blow, after which there is nothing.
func (c *composer) stillness() {
	from := c.still("stillness", "silence", 5.5)
	c.accent(from, "last thunder", thunder{3, 1}, 3)
	c.accent(from, "last thunder", drum{46, 1.5, .6}, 0)
	c.cuts = append(c.cuts, cut{from + samples(1.2), c.now})
	span(&c.plan.Hushes, from+samples(1.25), c.now, "under water")
}

// sinking is the sea bed: no pulse, far bells, the narrator.
func (c *composer) sinking() {
	from := c.still("sinking", "deep", 27)
	c.pad(from, 28, -27, "D2", "A2")
	c.pad(from+samples(6), 22, -31, "F3", "C4")
	for _, b := range []struct {
		at   float64
		note string
	}{{2, "A4"}, {5.3, "F4"}, {8.1, "D4"}, {24.2, "A4"}} {
		c.add(sound{at: from + samples(b.at), name: "far bell", plays: bell{hertz(b.note), 4, castBell}, db: -21, accent: b.at < 3, pan: .3, room: .8})
	}
	c.narrate(from+samples(9.5), 13.5, 106, "all that falls comes here")
}

// pearlBed is slow chords, the theme in long notes, and nine pearls.
func (c *composer) pearlBed() {
	p := c.pulsed("the pearl bed", "pearls", newPulse(c.now, 16, 4, 60, 60))
	chords := harmony("D Bm Gmaj Asus D F#m Gmaj A D Bm Gmaj Asus Bm Gmaj A D")
	for bar, chord := range chords {
		c.chordPad(p.at(bar, 0), p.at(bar+1, 0), chord, -30)
		for beat, tone := range []int{0, 2, 3, 2} {
			c.add(sound{at: p.at(bar, float64(beat)), name: "harp", plays: pluck{hertz(chord[tone]), 2.2, .3}, db: -18, pan: -.2, room: .5})
		}
	}
	for i, note := range []string{"D5", "F#5", "A5", "B5", "A5", "D6", "B5", "F#5", "D6"} {
		at := []struct{ bar, beat int }{{0, 2}, {2, 0}, {3, 2}, {5, 0}, {6, 2}, {8, 0}, {10, 0}, {11, 2}, {13, 0}}[i]
		pan := float64(i%3-1) * .5
		c.add(sound{at: p.at(at.bar, float64(at.beat)), name: "pearl", plays: bell{hertz(note), 4, chimeBar}, db: -6, accent: true, pan: pan, room: .6})
	}
	c.swell(p.at(14, 0), p.end(), "towards the light", -14, "D3", "A3", "D4", "F#4", "A4")
}

// guideHome is the lantern fish again.
func (c *composer) guideHome() {
	p := c.pulsed("the lantern fish leads", "glow", newPulse(c.now, 16, 3, 96, 96))
	chords := harmony(glowChords + " " + glowChords)
	for phrase, db := range []float64{-2, -5} {
		c.chime(p, 8*phrase, tune(glow), -12)
		c.accent(p.at(8*phrase, 0), "lantern", bell{hertz("F4"), 3.6, castBell}, db)
	}
	c.waltz(p, chords, -19)
	for bar := 0; bar < 16; bar += 2 {
		c.chordPad(p.at(bar, 0), p.at(bar+2, 0), chords[bar], -33)
	}
}

// home is the theme in major, twice, the second time with all there is.
func (c *composer) home() {
	p := c.pulsed("home", "theme", newPulse(c.now, 16, 4, 72, 72))
	chords := harmony(homeChords + " " + homeChords)
	c.sing(p, 0, tune(home), -7)
	c.sing(p, 8, tune(home), -6)
	c.chime(p, 8, high(tune(home)), -17)
	c.broken(p, chords, -16)
	for bar := range 16 {
		c.chordPad(p.at(bar, 0), p.at(bar+1, 0), chords[bar], -34+float64(.4*float64(bar)))
		if bar >= 8 {
			c.beatDrum(p, bar, 0, -14)
			c.beatDrum(p, bar, 2, -17)
		}
	}
	for _, bar := range []int{0, 8} {
		c.accent(p.at(bar, 0), "harbour bell", bell{hertz("D4"), 4.5, castBell}, -7)
	}
}

// harbour is the last chord, left to ring out, and silence.
func (c *composer) harbour() {
	from := c.still("harbour", "sea", 16)
	c.accent(from, "last bell", bell{hertz("D4"), 6, castBell}, -6)
	c.accent(from, "last bell", bell{hertz("D3"), 6, castBell}, -10)
	for i, note := range []string{"D3", "A3", "D4", "F#4", "A4"} {
		c.add(sound{at: from, name: "last bell", plays: pluck{hertz(note), 3, .5}, db: -9, pan: float64(i-2) * .2, room: .5})
	}
	c.surf(from-samples(6), ramp{{0, -60}, {7, -33}, {17.6, -35}, {18.5, -85}})
	c.cuts = append(c.cuts, cut{c.now - samples(3.5), c.now})
	span(&c.plan.Hushes, c.now-samples(3.45), c.now, "end")
}
