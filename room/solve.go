package room

import (
	"context"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/source"
)

// Solve computes the transport of light from every drive of the rig, as fine
// as Usual. What is wrong with the rig in this room is in the faults; the
// transport is there even then, without the units at fault. When the context
// ends early it is incomplete and must not be used.
func (r *Room) Solve(ctx context.Context, rg *rig.Rig) (*Transport, source.Faults) {
	return r.SolveAt(ctx, rg, Usual)
}

// SolveAt is Solve at a fineness of the caller's choice.
func (r *Room) SolveAt(ctx context.Context, rg *rig.Rig, f Fineness) (*Transport, source.Faults) {
	s, faults := r.prepare(rg, f)
	s.direct(ctx)
	if err := s.reflected(ctx); err != nil {
		faults.Add(r.Pos, "", "%v", err)
	}
	s.look(ctx)
	s.t.index()
	faults.Sort()
	return s.t, faults
}

// prepare makes all that needs no light: surfaces, places, lamps, and how finishes look. The
// order is that of what needs what: places before direct light, direct light on patches
// before it is reflected, all of it before paint can glow.
func (r *Room) prepare(rg *rig.Rig, f Fineness) (*solving, source.Faults) {
	var faults source.Faults
	s := &solving{room: r, rig: rg, shell: r.shell(f.sane())}
	s.sources = number(r.lamps(rg, &faults))
	for i := range s.sources.lamps {
		s.shell.shadesOf(&s.sources.lamps[i])
	}
	s.t = &Transport{rig: rg, room: r, Panels: s.shell.panels, finishes: s.shell.finishes, shell: s.shell, sources: s.sources, sends: &sends{}}
	s.t.lightsOf(rg)
	s.t.reflections()
	s.t.backs(r)
	s.t.glow.paints(s.t.finishes, s.t.Lights)
	s.receive()
	s.t.receivers = s.receivers
	s.elements = s.shell.elementsOf(s.areas())
	s.t.elements = s.elements
	return s, faults
}

// solving is one run of Solve.
type solving struct {
	room      *Room
	rig       *rig.Rig
	shell     *shell
	sources   *sources
	receivers []receiver // by place
	elements  []element
	gathered  *gathered   // by patch
	seen      [][]float64 // by point: view factors to all patches
	t         *Transport
}

// lightsOf lists the spectra of the rig's drives, each once.
func (t *Transport) lightsOf(rg *rig.Rig) {
	known := map[*rig.Emitter]int{}
	for d := range rg.Drives {
		e := rg.Emitter(d)
		k, ok := known[e]
		if !ok {
			k = t.addLight(e.Light.Spectrum)
			known[e] = k
		}
		t.Light = append(t.Light, k)
		t.Spread = append(t.Spread, Spread{e.Light.Low, e.Light.High})
		t.watts = append(t.watts, e.Light.Watts)
	}
}

// addLight returns the index of a spectrum, normalised to 1 W; the same one from another
// type of lamp is the same light.
func (t *Transport) addLight(s light.Spectrum) int {
	s.Normalise()
	for k := range t.Lights {
		if t.Lights[k].Spectrum == s {
			return k
		}
	}
	l := Light{Spectrum: s}
	for i := range senses {
		l.Weight[i] = i.Of(&s)
	}
	t.Lights = append(t.Lights, l)
	return len(t.Lights) - 1
}

// direct fills Direct: the light of every cell, then of every drive.
func (s *solving) direct(ctx context.Context) {
	t := s.t
	t.Direct, t.Total = rows(len(t.Places), len(t.Light)), rows(len(t.Places), len(t.Light))
	spreadWith(ctx, len(t.Places), func() func(i int) {
		light := s.straight()
		return func(i int) {
			light(t.Direct[i], &s.receivers[i])
			copy(t.Total[i], t.Direct[i])
		}
	})
}

// straight is one worker that finds the direct light on receivers, by drive. What is wholly
// under something has none.
func (s *solving) straight() func(dst []float32, rec *receiver) {
	g := lighting{sources: s.sources, shell: s.shell}
	wide, narrow := make([]float64, s.sources.count), make([]float32, s.sources.count)
	return func(dst []float32, rec *receiver) {
		if rec.panel >= 0 && rec.area == 0 {
			return
		}
		clear(wide)
		g.gather(wide, rec)
		for c, v := range wide {
			narrow[c] = float32(v)
		}
		s.toDrives(dst, narrow)
	}
}

// toDrives adds up the cells that each drive lights. An emitter's watts are those of
// the whole unit, so each of its cells has its even share.
func (s *solving) toDrives(dst, columns []float32) {
	for d := range s.rig.Drives {
		drive := &s.rig.Drives[d]
		l := &s.sources.lamps[drive.Unit]
		if len(l.cells) == 0 {
			continue
		}
		perCell := s.t.watts[d] / float64(len(l.cells))
		sum := 0.0
		for _, c := range drive.Cells {
			sum += float64(columns[s.sources.first[drive.Unit]+c*len(l.beams)+l.beamOf[drive.Emitter]])
		}
		dst[d] = float32(perCell * sum)
	}
}

// reflections fills in how each finish looks in each light.
func (t *Transport) reflections() {
	t.reflects, t.means = make([][]seen, len(t.finishes)), make([][]float64, len(t.finishes))
	for f := range t.finishes {
		t.reflects[f], t.means[f] = make([]seen, len(t.Lights)), make([]float64, len(t.Lights))
		for k := range t.Lights {
			s := t.Lights[k].Spectrum
			s.Multiply(&t.finishes[f].reflectance)
			t.reflects[f][k] = seenOf(&s)
			t.means[f][k] = float64(s.Power())
		}
	}
}
