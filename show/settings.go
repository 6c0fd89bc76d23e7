package show

import (
	"context"
	"maps"
	"slices"
	"sync"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/room/measure"
	"lampblack/score"
)

// Curtains that open, flats and boxes that come and go: the room is solved for each setting in
// which it is to be known, when it is first asked for. Where nothing of that kind is, all of this
// comes to Show.Transport.
//
//	score.Opens, score.Stage ──▶ openings ──▶ room.Divide ──▶ Transport  all of it open, or away
//	curtains, at t           ──▶ settings.of ──▶ one transport a setting, room.Mixed on the way

// coarsestOpening is how far apart, in shares of its opening, a curtain is known that moves.
const coarsestOpening = .25

// openings lists at which shares what opens, comes or goes in any score is to be known.
func openings(r *room.Room, scores []*score.Score) map[string][]float64 {
	out := map[string][]float64{}
	moves := map[string]bool{}
	add := func(name string, share float64) {
		if !slices.Contains(out[name], share) {
			out[name] = append(out[name], share)
		}
	}
	for _, s := range scores {
		for i := range s.Stage {
			if name := s.Stage[i].Name; s.Stage[i].Value != nil && stands(r, name) {
				add(name, 1)
			}
		}
		for i := range s.Opens {
			e := &s.Opens[i]
			if f := r.Surfaces.Get(e.Name); f == nil || f.Opens == "" {
				continue // it has its fault
			}
			add(e.Name, 1)
			for _, d := range e.Value {
				if d.To > 0 {
					add(e.Name, float64(d.To))
				}
				moves[e.Name] = moves[e.Name] || d.Takes != nil
			}
		}
	}
	for name, shares := range out {
		slices.Sort(shares)
		if moves[name] {
			shares = finer(shares)
		}
		out[name] = shares
	}
	return out
}

// finer puts shares between those that are too far apart.
func finer(shares []float64) (out []float64) {
	from := 0.
	for _, to := range shares {
		for n, k := int((to-from)/coarsestOpening+.999), 1; k < n; k++ {
			out = append(out, from+(to-from)*float64(k)/float64(n))
		}
		out, from = append(out, to), to
	}
	return out
}

// stands tells whether something stands in the light when it is there.
func stands(r *room.Room, name string) bool {
	return r.Surfaces.Get(name) != nil || r.Boxes.Get(name) != nil
}

// settings are the transports of a rig in a room, by how what opens stands. All shows in that
// room share them. It is used by many goroutines.
type settings struct {
	open  room.Setting // all of it open, or away
	base  *room.Transport
	solve func(room.Setting) *room.Transport

	watched struct { // see Watched
		once      sync.Once
		room      *room.Room
		transport *room.Transport
	}

	mu    sync.Mutex
	known map[string]*oneSetting
	posed map[*room.Transport]*posed
}

type oneSetting struct {
	once sync.Once
	is   *room.Transport
}

// newSettings has the room solved as solve does it. Files knows the room by its text.
func (f *Files) newSettings(ctx context.Context, base *room.Transport, rg *rig.Rig, measured []measure.Factor) *settings {
	ctx = context.WithoutCancel(ctx)
	own := *f
	return &settings{open: own.allOpen(), base: base, known: map[string]*oneSetting{}, posed: map[*room.Transport]*posed{},
		solve: func(s room.Setting) *room.Transport {
			t, _ := own.carryIn(ctx, s) // what is wrong with the rig in this room was told
			return measure.Correct(t, rg, measured)
		}}
}

// allOpen is the setting in which all is open, or away.
func (f *Files) allOpen() room.Setting {
	out := room.Setting{}
	for name := range f.divided() {
		out[name] = len(f.Room.Divided(name))
	}
	return out
}

// in is the transport of a setting.
func (s *settings) in(setting room.Setting) *room.Transport {
	if maps.Equal(setting, s.open) {
		return s.base
	}
	one := made(&s.mu, s.known, setting.String())
	one.once.Do(func() { one.is = s.solve(setting) })
	return one.is
}

// posedIn holds what moving things receive in a transport of its own.
func (s *settings) posedIn(t *room.Transport) *posed {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.posed[t] == nil {
		s.posed[t] = newPosed(t)
	}
	return s.posed[t]
}

// divided tells whether anything opens, comes or goes in this room, in this piece or another. What a
// piece does not speak of stands in it as the room has it.
func (s *Show) divided() bool { return s.settings != nil && len(s.settings.open) > 0 }
