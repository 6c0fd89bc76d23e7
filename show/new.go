package show

import (
	"context"
	"fmt"
	"slices"
	"time"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/room/measure"
	"lampblack/score"
	"lampblack/soundtrack"
	"lampblack/source"
)

// New solves the score for the rig in the room. The track may be nil: cues on
// moments then fall on the time that their anchor names. Faults are what the
// texts say wrongly of one another; a Show is returned all the same, without
// what could not be understood, so that everything can be told at once.
func New(ctx context.Context, f Files, track *soundtrack.Track) (*Show, source.Faults) {
	if f.Rig == nil || f.Score == nil || f.Room == nil {
		return nil, nil
	}
	t, faults := f.carry(ctx)
	s, more := f.lit(ctx, t, track)
	s.carried = append(faults[:len(faults):len(faults)], s.carried...)
	return s, append(faults, more...)
}

// Again is the show of files that may have changed since this one was made of them. Where the lamps, where they hang, the
// room and readings are as they were, and the same things come and go, the light in the room is
// taken from this show, and where all of the rig is as it was so are looks that are written as they were: a cue that is moved costs
// some milliseconds, an address as much as the looks. Otherwise it is New.
func (s *Show) Again(ctx context.Context, f Files, track *soundtrack.Track) (*Show, source.Faults) {
	if !s.SameLight(f) {
		if in := f.standing(); in != "" && in == s.standsIn {
			f.before = s.Transport // lamps alone are others
		}
		return New(ctx, f, track)
	}
	if f.spread {
		f.Score = spreadCues(f.Score, track)
	}
	o := s.on(f.Score, track)
	o.Bill, o.implied, o.texts, o.litBy, o.builtBy, o.carried = f.Bill, f.spread, f.texts, s.litBy, f.built, s.carried
	o.standsIn = s.standsIn
	o.relined(&f, s)
	faults := slices.Clone(s.carried)
	o.perform(&faults)
	return o, faults
}

// SameLight tells whether Again is quick.
func (s *Show) SameLight(f Files) bool {
	return f.Rig != nil && f.Score != nil && f.Room != nil && s.litBy != "" && s.litBy == f.lightOf()
}

// lightOf says of what the light in the room is made, and what is on stage in it.
func (f *Files) lightOf() string {
	if f.built == "" {
		return ""
	}
	return fmt.Sprintf("%x %q %q %q %v", f.lamps, f.taken, f.Out, f.coming(), f.divided())
}

// standing says what stands in the room, and what comes and goes; "" where that was not read.
func (f *Files) standing() string {
	if f.built == "" {
		return ""
	}
	return fmt.Sprintf("%x %q %v", f.stands, f.coming(), f.divided())
}

// lampsOf is all of a rig that light in a room is made of: addresses, supplies and lines are not.
func lampsOf(r *rig.Rig) []byte {
	var out []byte
	for i := range r.Units {
		u := &r.Units[i]
		at, aim := u.Says()
		out = fmt.Appendf(out, "%q %q %q %v %v %v %v %v %v\n", u.Name.Name, u.TypeName.Name, u.ModeName.Name, at, aim, u.At, u.Aim, float64(u.Turn), float64(u.Mask))
	}
	return out
}

// relined has a show that is new go by a rig of the same lamps in the same places, which may be addressed,
// fed and grouped otherwise. What the lamps are is kept, as the light in the room goes by it.
func (s *Show) relined(f *Files, from *Show) {
	if f.built == from.builtBy {
		return
	}
	units := slices.Clone(f.Rig.Units)
	for i := range units {
		units[i].Type, units[i].Mode = from.Rig.Units[i].Type, from.Rig.Units[i].Mode
	}
	next := *f.Rig
	next.Types = from.Rig.Types
	s.Rig = next.With(units)
	s.universes = s.Rig.Universes()
	s.encoder = rig.NewEncoder(s.Rig, s.universes)
	s.out = f.isOut(s.Rig)
	if !slices.EqualFunc(s.Rig.Units, from.Rig.Units, alikeGrouped) {
		s.known = nil // looks speak of other units by the same word
	}
}

func alikeGrouped(a, b rig.Unit) bool { return a.Use == b.Use && slices.Equal(a.Systems, b.Systems) }

// lit is New where the light was carried through the room already.
func (f Files) lit(ctx context.Context, t *room.Transport, track *soundtrack.Track) (*Show, source.Faults) {
	var faults, more source.Faults
	litBy := f.lightOf()
	if f.spread {
		f.Score = spreadCues(f.Score, track)
	}
	s := &Show{Bill: f.Bill, implied: f.spread, Rig: f.Rig, Room: f.Room, Score: f.Score, Track: track, texts: f.texts, litBy: litBy, builtBy: f.built, standsIn: f.standing(), Transport: t}
	s.universes = s.Rig.Universes()
	if f.Readings != nil && f.Readings.Taken() > 0 {
		s.Transport, s.Measured, more = measure.Fit(s.Transport, f.Readings, s.Rig)
		faults = append(faults, more...)
		s.outputs = s.measuredOutputs()
	}
	f.before = nil
	s.settings = f.newSettings(ctx, s.Transport, s.Rig, s.Measured)
	s.encoder = rig.NewEncoder(s.Rig, s.universes)
	s.out = f.isOut(s.Rig)
	s.softer = s.newSoftenings()
	s.carried = slices.Clone(faults)
	s.perform(&faults)
	return s, faults
}

// With solves another score for the rig and the room of this show, whose light
// was carried through the room already: what it takes to try many scores. Looks that are written
// as they were, and stand among the same things, are not solved again.
func (s *Show) With(sc *score.Score) (*Show, source.Faults) {
	var faults source.Faults
	o := s.on(sc, s.Track)
	o.plan.entry = s.plan.entry
	o.perform(&faults)
	return o, faults
}

// on is a show of another score and another track on the same rig in the same
// room, not yet solved.
func (s *Show) on(sc *score.Score, track *soundtrack.Track) *Show {
	return &Show{Bill: s.Bill, implied: s.implied && sc == s.Score, Rig: s.Rig, Room: s.Room, Score: sc, Track: track, Transport: s.Transport, Measured: s.Measured, outputs: s.outputs,
		known: s.solved, settings: s.settings, universes: s.universes, encoder: s.encoder, out: s.out, softer: s.softer}
}

// perform solves the score's looks and puts its cues in time.
func (s *Show) perform(faults *source.Faults) {
	s.solve(faults)
	s.up = s.lightsUpLevels()
	s.upStill = s.encoder.Still(s.up)
	s.time(faults)
	faults.Sort()
}

// time puts the cues in time, and makes the plan.
func (s *Show) time(faults *source.Faults) {
	s.place(faults)
	if s.Track != nil {
		s.Length = max(s.Length, s.Track.Duration)
	}
	s.Length = s.Length.Truncate(time.Millisecond)
	s.setStage(faults)
	s.setWays(faults)
	s.setCurtains(faults)
	s.lookAgain()
	s.wait(faults)
	s.compile()
	s.soften(context.Background())
}
