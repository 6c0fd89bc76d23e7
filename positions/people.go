package positions

import (
	"math"

	"lampblack/room"
	"lampblack/score"
	"lampblack/si"
)

// people finds where people are and go: on stage, at marks, from mark to mark, in the seats.
func (g *ground) people(sc *score.Score) {
	r := g.room
	for i := range r.People {
		g.crowd = append(g.crowd, r.People[i].At)
	}
	for i := range r.Marks {
		g.crowd = append(g.crowd, r.Marks[i].Value)
	}
	for i := range sc.Crosses {
		g.crossed(sc.Crosses[i].Value)
	}
	g.seating = [4]float64{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	for i := range r.Seats {
		x, y := float64(r.Seats[i].At[0]), float64(r.Seats[i].At[1])
		s := &g.seating
		*s = [4]float64{min(s[0], x-aroundSeats), max(s[1], x+aroundSeats), min(s[2], y-aroundSeats), max(s[3], y+aroundSeats)}
	}
}

// crossed adds the ways of one thing, each from where the last one led.
func (g *ground) crossed(ways score.Crossings) {
	var now *room.Point
	to := func(s *score.Spot) {
		next := g.room.Marks.Get(s.Mark.Name)
		if s.Mark.Name == "" {
			p := room.Point(s.At)
			next = &p
		}
		if now != nil && next != nil {
			g.walked(*now, *next)
		}
		now = next
	}
	for i := range ways {
		if ways[i].From != nil {
			now = nil
			to(ways[i].From)
		}
		for k := range ways[i].Through {
			to(&ways[i].Through[k])
		}
		if ways[i].To != nil {
			to(ways[i].To)
		}
	}
}

// walked adds points along a way.
func (g *ground) walked(a, b room.Point) {
	const stride = .4 // m
	n := int(math.Hypot(float64(b[0]-a[0]), float64(b[1]-a[1]))/stride) + 1
	for k := range n + 1 {
		p := a
		for i := range p {
			p[i] += (b[i] - a[i]) * si.Length(k) / si.Length(n)
		}
		g.crowd = append(g.crowd, p)
	}
}

// look lists the lines of sight that nothing may stand in: from each seat to things and people on stage.
func (g *ground) look() {
	var seen []room.Point
	for i := range g.room.Objects {
		seen = append(seen, g.room.Objects[i].Value.Centre)
	}
	for i := range g.room.People {
		seen = append(seen, g.room.People[i].At)
	}
	for i := range g.room.Surfaces {
		if s := &g.room.Surfaces[i].Value; s.Width < 1.5 && g.targets[g.room.Surfaces[i].Name] != nil {
			seen = append(seen, s.Centre)
		}
	}
	for i := range g.room.Seats {
		for _, to := range seen {
			g.sights = append(g.sights, [2]room.Point{g.room.Seats[i].At, to})
		}
	}
}
