package demo

// clicks is the plan of the soundtrack that a new show begins with: four bars
// of clicks, with a bell on the first of the third, to be replaced by one's
// own.
func clicks() Plan {
	c := &composer{}
	c.still("leader", "silence", 2)
	p := c.pulsed("clicks", "clicks", newPulse(c.now, 4, 4, 90, 90))
	for bar := range 4 {
		for beat := range 4 {
			db := -16.0
			if beat == 0 {
				db = -10
			}
			c.add(sound{at: p.at(bar, float64(beat)), name: "click", plays: rattle{.12}, db: db, room: .1})
		}
	}
	c.accent(p.at(2, 0), "bell", bell{hertz("A4"), 3, castBell}, -6)
	c.still("end", "silence", 3)
	return c.finish()
}
