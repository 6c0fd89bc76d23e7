package soundtrack

import (
	"fmt"
	"time"
)

// alike is the distance under which sections share a label.
const alike = 0.32

// label gives each section the letter of the nearest earlier one that is
// alike, or a new one.
func label(out []section, edges []int, c *colours) {
	letters := 0
	for i := range out {
		best, found := alike, false
		for j := range i {
			if d := c.distance(edges[i], edges[i+1], edges[j], edges[j+1]); d < best {
				best, out[i].label, found = d, out[j].label, true
			}
		}
		if !found {
			out[i].label = letter(letters)
			letters++
		}
	}
}

// letter counts A, B, … Z, A2, B2, …
func letter(n int) string {
	s := string(rune('A' + n%26))
	if n >= 26 {
		s += fmt.Sprint(n/26 + 1)
	}
	return s
}

// turns makes moments of sections; a turn is moved to a hit or the opening of a
// bar that lies near.
func turns(all []section, peaks []peak, bars []time.Duration) []Moment {
	var out []Moment
	for i, s := range all {
		at := s.from
		if i > 0 {
			at = snapped(at, peaks, bars)
		}
		m := Moment{Kind: Turn, Time: at, End: s.to, Label: s.label, Strength: min(1, s.change/4),
			Why: fmt.Sprintf("section %s begins, %.1f s long", s.label, (s.to - at).Seconds())}
		if i > 0 {
			m.Why += fmt.Sprintf("; the sound's colour changes by %.1f deviations", s.change)
			out[len(out)-1].End = at
		}
		out = append(out, m)
	}
	return out
}

// snapped returns the surest hit within 150 ms, else the nearest bar within
// 250 ms, else at itself.
func snapped(at time.Duration, peaks []peak, bars []time.Duration) time.Duration {
	best, where := 0.0, at
	for _, p := range peaks {
		d := (time.Duration(p.Time*float64(time.Second)) - at).Abs()
		if d > 150*time.Millisecond {
			continue
		}
		if v := p.Score - 0.5*d.Seconds()/0.15; v > best {
			best, where = v, time.Duration(p.Time*float64(time.Second))
		}
	}
	if best > 0 {
		return where
	}
	nearest := 250 * time.Millisecond
	for _, b := range bars {
		if d := (b - at).Abs(); d < nearest {
			nearest, where = d, b
		}
	}
	return where
}
