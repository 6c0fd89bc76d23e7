package described

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lampblack/light"
	"lampblack/si"
	"lampblack/wire/gdtf"
)

// spectrum is what is told of it, nearest to measurement first; s is nil where there is no table.
func (e *emitter) spectrum() (text string, s *light.Spectrum, ok bool) {
	if e.told == nil {
		return "", nil, false
	}
	if points := e.points(); len(points) >= 2 {
		if table, err := light.Table(points); err == nil && table.Power() > 0 {
			if line, ok := asLine(&table); ok {
				return line, &table, true
			}
			return "spectrum: [" + rows(thinned(points)) + "]", &table, true
		}
	}
	if w := e.told.Wavelength; w.Told && w.Value >= 300 && w.Value <= 780 && e.word != "white" && e.word != "warm white" && e.word != "cold white" {
		return fmt.Sprintf("peak: %v, width: %d nm", si.Wavelength(w.Value), widthAt(w.Value)), nil, true
	}
	if c := e.told.Color; c.Told && (e.word == "white" || e.word == "warm white" || e.word == "cold white" || e.word == "light") {
		if k := correlated(c.X, c.Y); k >= 2000 && k <= 20000 {
			return fmt.Sprintf("like: phosphor %.0f K", math.Round(k/100)*100), nil, true
		}
	}
	return "", nil, false
}

// widthAt is the full width at half maximum of common LEDs of a peak, in nm (from memory).
func widthAt(peak float64) int {
	switch {
	case peak < 430:
		return 14
	case peak < 490:
		return 22
	case peak < 560:
		return 33
	}
	return 18
}

// correlated is the colour temperature of a white by McCamy's formula (Color Res. Appl. 17, 142, 1992).
func correlated(x, y float64) float64 {
	n := (x - .3320) / (.1858 - y)
	return 449*n*n*n + 3525*n*n + 6823.3*n + 5520.33
}

// full is the measurement at the highest drive.
func (e *emitter) full() *gdtf.Measurement {
	if e.told == nil || len(e.told.Measurements) == 0 {
		return nil
	}
	best := &e.told.Measurements[0]
	for i := range e.told.Measurements {
		if m := &e.told.Measurements[i]; m.Physical.Value > best.Physical.Value {
			best = m
		}
	}
	return best
}

// mostRows bounds a spectrum that is written into a type.
const mostRows = 400

// points is the measured spectrum in the range that light is computed in.
func (e *emitter) points() []light.Point {
	m := e.full()
	if m == nil {
		return nil
	}
	var out []light.Point
	for _, p := range m.WaveLengths {
		if w := p.WaveLength.Value; w >= light.First && w <= light.Last && p.Energy.Value >= 0 {
			out = append(out, light.Point{At: si.Wavelength(w), Value: p.Energy.Value})
		}
	}
	slices.SortStableFunc(out, func(a, b light.Point) int { return int(math.Copysign(1, float64(a.At-b.At))) })
	out = slices.CompactFunc(out, func(a, b light.Point) bool { return a.At == b.At })
	for len(out) > mostRows {
		kept := out[:0]
		for i := range out {
			if i%2 == 0 {
				kept = append(kept, out[i])
			}
		}
		out = kept
	}
	return out
}

// asLine finds the single-colour LED that a spectrum is, within 2 % of its light.
func asLine(s *light.Spectrum) (text string, ok bool) {
	whole := *s
	whole.Normalise()
	best, off := "", .02
	top := light.First
	for nm := light.First; nm <= light.Last; nm++ {
		if whole[nm-light.First] > whole[top-light.First] {
			top = nm
		}
	}
	// Such lines are even to both sides.
	middle, about := math.Round(float64(whole.Mean())*2)/2, halfWidth(&whole, top)
	if about > 120 || math.Abs(middle-float64(top)) > 5 {
		return "", false
	}
	for peak := middle - .5; peak <= middle+.5; peak += .5 {
		for width := max(about-1, 5); width <= about+2; width++ {
			model, err := light.LED(si.Wavelength(peak), si.Wavelength(width))
			if err != nil {
				continue
			}
			d := 0.0
			for i := range model {
				d += math.Abs(model[i]-whole[i]) / 2
			}
			if d < off {
				best, off = fmt.Sprintf("peak: %v, width: %v", si.Wavelength(peak), si.Wavelength(width)), d
			}
		}
	}
	return best, best != ""
}

// halfWidth is how many nm have more than half of the highest value, in one piece about it.
func halfWidth(s *light.Spectrum, top int) float64 {
	half := s[top-light.First] / 2
	a, b := top, top
	for a > light.First && s[a-light.First] > half {
		a--
	}
	for b < light.Last && s[b-light.First] > half {
		b++
	}
	return float64(b - a - 1)
}

// thinned leaves out points that lie on the line between others, but for a four hundredth of the
// highest value.
func thinned(points []light.Point) []light.Point {
	top := 0.0
	for _, p := range points {
		top = max(top, p.Value)
	}
	out := points[:1:1]
	for i := 0; i < len(points)-1; {
		next := i + 1
		for k := i + 2; k < len(points) && straight(points[i:k+1], top/400); k++ {
			next = k
		}
		out = append(out, points[next])
		i = next
	}
	return out
}

func straight(points []light.Point, off float64) bool {
	a, b := points[0], points[len(points)-1]
	for _, p := range points[1 : len(points)-1] {
		at := a.Value + (b.Value-a.Value)*float64(p.At-a.At)/float64(b.At-a.At)
		if math.Abs(at-p.Value) > off {
			return false
		}
	}
	return true
}

// rows writes a spectrum relative to its highest value.
func rows(points []light.Point) string {
	top := 0.0
	for _, p := range points {
		top = max(top, p.Value)
	}
	var parts []string
	for _, p := range points {
		parts = append(parts, fmt.Sprintf("{at: %v, power: %s}", p.At, strconv.FormatFloat(math.Round(p.Value/top*1e4)/1e4, 'f', -1, 64)))
	}
	return strings.Join(parts, ", ")
}
