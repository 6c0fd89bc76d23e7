package draft

import (
	"math"
	"slices"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
)

// Known returns what a draft is told of a show beside the text of its score. What is
// measured is measured on the show as it is solved, an earlier draft's looks with it.
func Known(s *show.Show) Options {
	o := Options{Systems: colourSystems(s), Brightness: brightness(s), Walk: walk(s), Placed: map[string]Placed{}, BlackLight: blackEmitters(s)}
	o.Black = func(look string, p *score.Part) []EmitterLevel { return blackLight(s, look, p) }
	for i := range s.Cues {
		c := &s.Cues[i]
		o.Placed[c.Number.Name] = Placed{Moment: c.Moment, Start: c.Start, Complete: c.Complete}
	}
	for i := range s.Rig.Units {
		if u := &s.Rig.Units[i]; u.Use != "" {
			o.WorkUnits = append(o.WorkUnits, u.Name.Name)
			o.WorkSystems = append(o.WorkSystems, u.Systems...)
		}
	}
	return o
}

// blackLight tells how far the black light of a part's units is up in a look. Cells of
// a unit are taken together, by the furthest up. A unit without black light is not in
// the list.
func blackLight(s *show.Show, look string, p *score.Part) []EmitterLevel {
	i := s.IndexLook(look)
	if i < 0 {
		return nil
	}
	out := []EmitterLevel{}
	for u := range s.Rig.Units {
		from, to := s.Rig.UnitDrives(u)
		for d := from; d < to && speaksOf(p, &s.Rig.Units[u]); d++ {
			if !s.Rig.Emitter(d).Light.BlackLight() {
				continue
			}
			l := EmitterLevel{Unit: s.Rig.Units[u].Name.Name, Emitter: emitterName(s, d), Level: float64(s.Looks[i].Levels[d])}
			k := slices.IndexFunc(out, func(o EmitterLevel) bool { return o.Unit == l.Unit && o.Emitter == l.Emitter })
			if k < 0 {
				out = append(out, l)
			} else {
				out[k].Level = max(out[k].Level, l.Level)
			}
		}
	}
	return out
}

// speaksOf tells whether a part names a unit.
func speaksOf(p *score.Part, u *rig.Unit) bool {
	return slices.Contains(u.Systems, p.System.Name) || slices.ContainsFunc(p.Units, func(r source.Ref) bool { return r.Name == u.Name.Name })
}

func emitterName(s *show.Show, drive int) string {
	d := &s.Rig.Drives[drive]
	return s.Rig.Units[d.Unit].Type.Emitters[d.Emitter].Name
}

// blackEmitters names the emitters whose light is not to be seen by.
func blackEmitters(s *show.Show) []string {
	out := []string{}
	for d := range s.Rig.Drives {
		name := emitterName(s, d)
		if s.Rig.Emitter(d).Light.BlackLight() && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// walk measures, for every look, the least light that units marked as work light bring
// to the paths; a part that is marked counts for its units. Only looks of a room with
// paths are in the map; a look that is not in it counts as bringing none.
func walk(s *show.Show) map[string]float64 {
	out := map[string]float64{}
	for i := range s.Looks {
		l := &s.Looks[i]
		levels := make([]float32, len(l.Levels))
		for u := range s.Rig.Units {
			if !worksIn(s, l.Name, u) {
				continue
			}
			from, to := s.Rig.UnitDrives(u)
			copy(levels[from:to], l.Levels[from:to])
		}
		least := math.Inf(1)
		for _, p := range s.Room.Paths {
			for _, place := range s.Transport.Find(p.Name) {
				least = min(least, s.Transport.Reading(place, room.Photopic, levels))
			}
		}
		if !math.IsInf(least, 1) {
			out[l.Name] = least
		}
	}
	return out
}

// worksIn tells whether a unit is work light in a look. What the rig says of a unit
// outranks the looks; of several parts that name it the last counts, as in the solver.
func worksIn(s *show.Show, look string, unit int) bool {
	u := &s.Rig.Units[unit]
	use := u.Use
	for _, p := range s.Score.Parts(look) {
		if u.Use == "" && speaksOf(&p, u) {
			use = p.Use
		}
	}
	return use != ""
}

// colourSystems lists the systems whose units have something to see by.
func colourSystems(s *show.Show) []string {
	var out []string
	for _, name := range s.Rig.Systems() {
		visible := false
		for _, u := range s.Rig.System(name) {
			from, to := s.Rig.UnitDrives(u)
			for d := from; d < to; d++ {
				visible = visible || !s.Rig.Emitter(d).Light.BlackLight()
			}
		}
		if visible {
			out = append(out, name)
		}
	}
	return out
}

// brightness measures every look in the room: the mean luminance of all that
// is seen, as a share of the brightest look's.
func brightness(s *show.Show) map[string]float64 {
	sum, top := make([]float64, len(s.Looks)), 0.0
	for i := range s.Looks {
		for p, place := range s.Transport.Places {
			if place.Area > 0 {
				sum[i] += place.Area * s.Transport.Luminance(p, s.Looks[i].Levels).Y
			}
		}
		top = max(top, sum[i])
	}
	out := map[string]float64{}
	for i := range s.Looks {
		if top > 0 {
			out[s.Looks[i].Name] = sum[i] / top
		}
	}
	return out
}
