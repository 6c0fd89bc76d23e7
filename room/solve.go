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

// SolveAfter is Solve where the same room was solved for another rig, as with a lamp elsewhere: what its surfaces see of
// one another is taken from there. The transport is that of Solve. Whoever asks sees to it that all that stands in the room is
// the same; was may be nil.
func (r *Room) SolveAfter(ctx context.Context, rg *rig.Rig, was *Transport) (*Transport, source.Faults) {
	if was == nil {
		return r.Solve(ctx, rg)
	}
	return r.solve(ctx, rg, Usual, was.gathered)
}

// SolveAt is Solve at a fineness of the caller's choice.
func (r *Room) SolveAt(ctx context.Context, rg *rig.Rig, f Fineness) (*Transport, source.Faults) {
	return r.solve(ctx, rg, f, nil)
}

func (r *Room) solve(ctx context.Context, rg *rig.Rig, f Fineness, before *gathered) (*Transport, source.Faults) {
	s, faults := r.prepare(rg, f)
	s.before = before
	s.direct(ctx)
	if err := s.reflected(ctx); err != nil {
		faults.Add(r.Pos, "", "%v", err)
	}
	s.look(ctx)
	s.veils()
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
	s.receive()
	s.bands(f)
	s.gatherBundles()
	s.t.reflections()
	s.t.backs(r)
	s.t.glow.paints(s.t.finishes, s.t.Lights, s.t.nodes)
	s.t.receivers = s.receivers
	s.elements = s.shell.elementsOf(s.areas())
	s.t.elements = s.elements
	return s, faults
}

// bands chooses the nodes for the lights of the rig, the glow of paints, and the finishes of the room.
func (s *solving) bands(f Fineness) {
	t := s.t
	var spectra []light.Spectrum
	for k := range t.Lights {
		spectra = append(spectra, t.Lights[k].Spectrum)
	}
	for i := range t.finishes {
		if p := t.finishes[i].paint; p != nil {
			spectra = append(spectra, shapeOfGlow(p))
		}
	}
	areas := make([]float64, len(t.finishes))
	for i := range s.shell.patches {
		panel, area := &t.Panels[s.receivers[i].panel], s.receivers[i].area
		if panel.strip.number > 0 { // alike in all settings, which are to have the same bands
			area = s.receivers[i].patch.area()
		}
		areas[panel.finish] += area
	}
	if f.Bands > 0 {
		t.nodes = evenNodes(f.Bands)
	} else {
		t.nodes = nodesFor(spectra, t.finishes, areas)
	}
	for k := range t.Lights {
		t.Lights[k].bands = bandsOf(&t.Lights[k].Spectrum, t.nodes)
	}
}

// solving is one run of Solve.
type solving struct {
	room      *Room
	rig       *rig.Rig
	shell     *shell
	sources   *sources
	receivers []receiver // by place
	elements  []element
	gathered  *gathered // by patch
	before    *gathered // of the same room, nil for none
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

// direct finds the direct light of every cell, then of every bundle; total begins with it.
func (s *solving) direct(ctx context.Context) {
	t := s.t
	t.direct, t.total = rows(len(t.Places), len(t.bundles)), rows(len(t.Places), len(t.columns))
	spreadWith(ctx, len(t.Places), func() func(i int) {
		light := s.straight()
		return func(i int) {
			light(t.direct[i], &s.receivers[i])
			t.widen(t.total[i], t.direct[i])
		}
	})
}

// straight is one worker that finds the direct light on receivers, by bundle. What is wholly
// under something has none.
func (s *solving) straight() func(dst []float32, rec *receiver) {
	g := lighting{sources: s.sources, shell: s.shell, haze: s.room.Extinction()}
	wide := make([]float64, s.sources.count)
	return func(dst []float32, rec *receiver) {
		if rec.panel >= 0 && rec.area == 0 {
			return
		}
		clear(wide)
		g.gather(wide, rec)
		if rec.panel < 0 {
			g.reflections(wide, rec.at, &rec.n)
		}
		s.toBundles(dst, wide)
	}
}

// mostReflected is what a surface reflects at the most: at 1 light would never come to rest.
const mostReflected = .98

// reflections fills in how each finish looks in each light; what it mirrors is not in its look.
func (t *Transport) reflections() {
	t.reflects, t.means = make([][]landed, len(t.finishes)), make([][]float64, len(t.finishes))
	for f := range t.finishes {
		reflectance := &t.finishes[f].reflectance
		for k := range t.Lights {
			t.reflects[f] = append(t.reflects[f], landedOn(reflectance, t.finishes[f].gloss.Mean(), &t.Lights[k].bands))
		}
		mirrored := t.finishes[f].gloss.Mean()
		for _, node := range t.nodes.at {
			t.means[f] = append(t.means[f], min(reflectance[node]+mirrored, mostReflected))
		}
	}
}
