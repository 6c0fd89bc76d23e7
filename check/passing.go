package check

import (
	"context"
	"math"

	"lampblack/check/finding"
	"lampblack/light"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// passingTells has the sentence of what this file finds.
var passingTells = finding.Tells{"uv-path": "ultraviolet at the eyes of whoever walks a path"}

// Who walks a path of a place has eyes at one of these heights, looks where he likes, and may
// stop. Common practice, no source.
const (
	childHeight = 1.0  // m
	eyeHeight   = 1.6  // m
	stepLength  = 0.25 // m between two looks
	strollSpeed = 0.3  // m/s: people in the dark who look about
	stopping    = 600. // s that somebody may stand at the worst point
)

// passing measures ultraviolet along every path, with every lamp at the most that its zone ever
// gives: whoever walks past a black-light flood is no seat and no performer.
func passing(ctx context.Context, p *show.Place, highs [][]float32) []finding.Finding {
	levels := most(highs, -1)
	var out []finding.Finding
	for _, path := range p.Room.Paths {
		points, length := along(path.Value.Points)
		if len(points) == 0 {
			continue
		}
		probe := room.Probe{Sense: room.UVA, Levels: levels, Upper: true}
		values := p.Transport.Probe(ctx, probe, points)
		worst := 0
		for i, v := range values {
			if v > values[worst] {
				worst = i
			}
		}
		if values[worst] <= 0 {
			continue
		}
		out = append(out, passingFinding(path.Name, values, points[worst], worst, length).At(path.Value.Pos))
	}
	return out
}

// passingFinding judges a path: the dose of a stop at its worst point against that of a day, for
// a child, as nobody knows who walks.
func passingFinding(name string, values []float64, at room.Point, worst int, length float64) finding.Finding {
	const limit = light.DailyUVA / 2
	mean := 0.
	for _, v := range values {
		mean += v / float64(len(values))
	}
	walk := mean * length / strollSpeed
	stop := values[worst] * stopping
	f := finding.Finding{ID: "uv-path", Severity: finding.Note, Place: finding.Thing("path", name), Value: walk + stop, Limit: limit, Unit: "J/m²",
		Source:  "ICNIRP 2004 and Directive 2006/25/EC annex I, table 1.1 b: 10 kJ/m² of UV-A in a day at the eye; halved for a child (common practice)",
		Assumed: "every lamp at the most that its zone ever gives, and the upper end of its output; eyes 1 m or 1.6 m over the floor that turn to every lamp; nothing shades them; once a day"}
	f.Says = finding.Say("who strolls along %s takes %s of UV-A, and %s more in ten minutes at its worst point, x %.1f m, y %.1f m, %.1f m high, where there are %s",
		f.Place, si.Of(walk, "J/m²"), si.Of(stop, "J/m²"), float64(at[0]), float64(at[1]), float64(at[2]), si.Of(values[worst], "W/m²"))
	switch {
	case values[worst] > 10: // W/m², for more than 1000 s: IEC 62471:2006 4.3.2
		f.Severity = finding.Stop
	case walk+stop > limit:
		f.Severity = finding.Warn
	}
	if f.Severity != finding.Note {
		f.Cure = finding.Say("turn or mask the lamp, lead the path round it, or bring it to %.0f %%", math.Floor(100*limit/f.Value))
	}
	f.Margin = (limit - f.Value) / limit
	return f
}

// along are the eyes along a path, and its length in m.
func along(corners []room.Point) (points []room.Point, length float64) {
	for i := 1; i < len(corners); i++ {
		a, b := corners[i-1], corners[i]
		d := math.Hypot(float64(b[0]-a[0]), float64(b[1]-a[1]))
		length += d
		n := min(int(d/stepLength)+1, 2000)
		for k := range n + 1 {
			x := si.Length(float64(k) / float64(n))
			for _, h := range []si.Length{childHeight, eyeHeight} {
				points = append(points, room.Point{a[0] + x*(b[0]-a[0]), a[1] + x*(b[1]-a[1]), a[2] + x*(b[2]-a[2]) + h})
			}
		}
	}
	return points, length
}
