package measure

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
)

// Options says what can be measured with, and how much.
type Options struct {
	NoUVA bool // there is no UV-A meter
	Most  int  // readings at most; 12 when 0
	// Worth is the least share of all uncertainty that a reading must take
	// away to be proposed; 0.002 when 0.
	Worth  float64
	Meters Meters
}

// candidate is a reading that could be taken.
type candidate struct {
	emitter int // unknown
	place   string
	sense   room.Sense
	value   float64
}

// Plan proposes readings, the most telling first: each is the one that takes
// most away from the uncertainty of what matters (illuminance of every surface
// and object, glow, UV-A at every pair of eyes, all emitters at full), given
// those before it. How uncertain the rest is does not depend on what a reading will show,
// only on where it is taken, so the whole plan can be made before the first. Each step is
// the best by itself; the set may not be the best of all sets.
func Plan(t *room.Transport, rg *rig.Rig, o Options) []Reading {
	if o.Most == 0 {
		o.Most = 12
	}
	if o.Worth == 0 {
		o.Worth = .002
	}
	u := newUnknowns(rg)
	cov := mat.DenseCopyOf(u.prior(&o.Meters, nil))
	matters := u.matters(t)
	all := u.candidates(t, o)
	var out []Reading
	whole := weighted(cov, matters)
	for len(out) < o.Most {
		best, gain := -1, o.Worth*whole
		for i := range all {
			if g := u.gainOf(cov, matters, &all[i], &o.Meters); g > gain {
				best, gain = i, g
			}
		}
		if best < 0 {
			break
		}
		out = append(out, u.reading(t, cov, &all[best]))
		u.take(cov, &all[best], &o.Meters)
		all = slices.Delete(all, best, best+1) // twice the same finds the same slip
	}
	return out
}

// matters weighs the unknowns: the sum over all that is asked of a room of
// (relative share of each emitter) times (the same of each other).
func (u *unknowns) matters(t *room.Transport) *mat.Dense {
	w := mat.NewDense(u.n, u.n, nil)
	add := func(row []float64) {
		share := make([]float64, len(u.names))
		u.addUp(share, row)
		total := sum(share)
		if total <= 0 {
			return
		}
		for i, a := range share {
			for j, b := range share {
				w.Set(i, j, w.At(i, j)+a*b/(total*total))
			}
		}
	}
	for _, name := range u.where(t) {
		add(t.MeanRow(name, room.Photopic))
		if own, _, _ := t.GlowRows(name); own != nil {
			add(own)
		}
	}
	for e := range t.Eyes {
		add(t.MostRow(e, room.UVA))
	}
	// A little for every emitter by itself, so that none is forgotten.
	for i := range u.names {
		w.Set(i, i, w.At(i, i)+.02)
	}
	return w
}

// addUp brings a row by drive to one by emitter: the cells of an emitter are one unknown.
func (u *unknowns) addUp(dst, row []float64) {
	for d, v := range row {
		dst[u.byDrive[d]] += v
	}
}

// where lists the surfaces, objects and eyes that a meter can be held at.
func (u *unknowns) where(t *room.Transport) []string {
	var out []string
	seen := map[string]bool{}
	for i := range t.Places {
		p := &t.Places[i]
		switch p.Kind {
		case room.KindSurface, room.KindObject, room.KindSeat, room.KindPerson:
			if !seen[p.Name] {
				seen[p.Name] = true
				out = append(out, p.Name)
			}
		}
	}
	return out
}

// candidates lists every emitter at every place by every meter that there is, if it shows
// five times the last digit at least.
func (u *unknowns) candidates(t *room.Transport, o Options) []candidate {
	senses := []room.Sense{room.Photopic, room.UVA}
	if o.NoUVA {
		senses = senses[:1]
	}
	var out []candidate
	for _, name := range u.where(t) {
		place, ok := t.Middle(name)
		if !ok {
			continue
		}
		for _, s := range senses {
			values := make([]float64, len(u.names))
			u.addUp(values, t.Row(place, s))
			for i, v := range values {
				// What a lux meter shows of a black light is its leaked violet and
				// what glows nearby, not the ultraviolet that is asked about.
				if s == room.Photopic && u.blackLight(i) {
					continue
				}
				if v > 5*o.Meters.of(s).smallest {
					out = append(out, candidate{i, name, s, v})
				}
			}
		}
	}
	return out
}

// blackLight tells whether an unknown is there to make things glow.
func (u *unknowns) blackLight(i int) bool {
	e := u.names[i]
	return u.rig.Units[e.unit].Type.Emitters[e.index].Value.Light.BlackLight()
}

// column is the covariance of the unknowns with a candidate's logarithm, and
// the variance of that with its error.
func (u *unknowns) column(cov *mat.Dense, c *candidate, m *Meters) (col []float64, variance float64) {
	g := u.gain[c.sense]
	col = make([]float64, u.n)
	for i := range col {
		col[i] = cov.At(i, c.emitter) + cov.At(i, g)
	}
	return col, col[c.emitter] + col[g] + m.of(c.sense).variance(c.value)
}

// gainOf is how much a candidate takes off the weighted variance:
// colᵀ W col / variance.
func (u *unknowns) gainOf(cov, matters *mat.Dense, c *candidate, m *Meters) float64 {
	col, variance := u.column(cov, c, m)
	total := 0.0
	for i, a := range col {
		if a == 0 {
			continue
		}
		row := matters.RawRowView(i)
		for j, b := range col {
			total += a * row[j] * b
		}
	}
	return total / variance
}

// take makes cov what it is after the candidate has been read.
func (u *unknowns) take(cov *mat.Dense, c *candidate, m *Meters) {
	col, variance := u.column(cov, c, m)
	for i, a := range col {
		row := cov.RawRowView(i)
		for j, b := range col {
			row[j] -= a * b / variance
		}
	}
}

// reading is a candidate as a line to be filled in, with what is expected after those
// before it: a value far outside is worth a second look on the spot.
func (u *unknowns) reading(t *room.Transport, cov *mat.Dense, c *candidate) Reading {
	e := u.names[c.emitter]
	unit := &u.rig.Units[e.unit]
	half := widen * math.Sqrt(math.Max(cov.At(c.emitter, c.emitter), 0))
	return Reading{
		Unit: source.Ref{Name: unit.Name.Name}, Emitter: source.Ref{Name: unit.Type.Emitters[e.index].Name},
		At: source.Ref{Name: c.place}, Sense: c.sense,
		Expected: si.Estimate[si.Ratio]{Best: si.Ratio(c.value), Low: si.Ratio(c.value * math.Exp(-half)), High: si.Ratio(c.value * math.Exp(half))},
	}
}

// weighted is the trace of cov·w: the sum of the variances of all that matters.
func weighted(cov, w *mat.Dense) float64 {
	n, _ := cov.Dims()
	total := 0.0
	for i := range n {
		for j := range n {
			total += cov.At(i, j) * w.At(j, i)
		}
	}
	return total
}
