package begin

import (
	"context"
	"errors"
	"fmt"
	"time"

	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/positions"
	"lampblack/rig"
	"lampblack/show"
	"lampblack/source"
)

// placesOf are where units are, or are taken to be.
func placesOf(p *pen, f *show.Files) Places {
	out := Places{Units: []Place{}}
	if f.Rig == nil {
		return out
	}
	for i := range f.Rig.Units {
		u := &f.Rig.Units[i]
		one := Place{Unit: u.Name.Name, Dark: u.BlackLight(), Placed: !u.Guessed(rig.GuessedPlace)}
		if len(u.Systems) > 0 {
			one.System = u.Systems[0]
		}
		if one.Placed {
			one.Guessed = p.isGuess(show.RigFile, "units", i)
		}
		for k := range 3 {
			one.At[k], one.Aim[k] = centimetres(float64(u.At[k])), centimetres(float64(u.Aim[k]))
		}
		out.Units = append(out.Units, one)
	}
	return out
}

// places writes where units are that somebody has put somewhere. A unit that is not placed any more
// is the program's to guess again.
func (w *writer) places(a Places) {
	r := w.was.Room
	for _, one := range a.Units {
		j := indexOf(w.was.Places.Units, func(b *Place) bool { return b.Unit == one.Unit })
		i := w.unit(one.Unit)
		if i < 0 || j < 0 {
			w.refuse("there is no lamp %q any more", source.Visible(one.Unit))
			return
		}
		was := w.was.Places.Units[j]
		if was.Placed == one.Placed && was.At == one.At && was.Aim == one.Aim {
			continue
		}
		at := []any{"units", i}
		if !one.Placed {
			w.keys(show.RigFile, "", at, pair("at", source.Plain{}), pair("aim", source.Plain{}))
			continue
		}
		if !fits(-r.Width/2, r.Width/2, one.At[0]) || !fits(-r.Front, r.Depth-r.Front, one.At[1]) || !fits(0, r.Height, one.At[2]) {
			w.refuse("%s does not stand in the room", one.Unit)
		}
		if !fits(-mostRoom, mostRoom, one.Aim[:]...) {
			w.refuse("%s aims out of all rooms", one.Unit)
		}
		w.keys(show.RigFile, "", at, pair("at", point(one.At[:]...)), pair("aim", point(one.Aim[:]...)))
	}
}

// Proposal is what looking for places came to.
type Proposal struct {
	Placed int      // units
	Misses []string // what looks ask for and still do not get
	Left   []string // units for which no place was found, or of which no look asks anything that has a number
	Ground []string // what was kept to
	Cut    bool     // time was up
}

// ErrNothing is that no unit wants a place, or no look asks anything of one.
var ErrNothing = positions.ErrNothing

// Propose finds places for the units that have none, or that were proposed before, and writes them.
// What was dragged or written by hand stays.
func Propose(ctx context.Context, dir, who string, within time.Duration, kept string, progress func(float64)) (*Proposal, error) {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	t, err := ledger.Look(ctx, dir)
	if err != nil {
		return nil, err
	}
	seen := t.Read(show.RigFile)
	p := &pen{t: t}
	p.unplaceProposed()
	files, faults := show.Read(&folder.Laid{FS: f, Texts: t.Changed()})
	files.Kept = kept
	switch {
	case p.err != nil:
		return nil, p.err
	case files.Rig == nil || files.Score == nil:
		return nil, ErrNothing
	case faults.Err() != nil:
		return nil, faults.Err()
	}
	plan, err := positions.Find(ctx, files, positions.Options{For: within, Seed: 1, Progress: progress})
	if errors.Is(err, context.DeadlineExceeded) && ctx.Err() == nil {
		err = Unfit{fmt.Sprintf("nothing was found in %v: this computer is busy with something else; ask again, or drag the lamps", within)}
	}
	if err != nil {
		return nil, err
	}
	return proposed(plan), p.propose(ctx, dir, who, plan, seen)
}

// unplaceProposed takes away the places that were proposed before.
func (p *pen) unplaceProposed() {
	units, _ := p.at(show.RigFile, "units")
	for i, u := range units.List {
		if u.Get("at").Kind != source.PlainNothing && p.isGuess(show.RigFile, "units", i) {
			p.keys(show.RigFile, "", []any{"units", i}, pair("at", source.Plain{}), pair("aim", source.Plain{}))
		}
	}
}

// propose writes a plan, if the rig is still what it was made of.
func (p *pen) propose(ctx context.Context, dir, who string, plan *positions.Plan, seen []byte) error {
	text, err := plan.Changed(show.RigFile, p.t.Read(show.RigFile))
	if err != nil {
		return err
	}
	_, err = ledger.Make(ctx, dir, who, func(t *ledger.Texts) (string, error) {
		if string(t.Read(show.RigFile)) != string(seen) {
			return "", ErrChanged
		}
		t.Put(show.RigFile, text)
		q := &pen{t: t}
		for _, s := range plan.Spots {
			if i := q.unit(plan.Rig.Units[s.Unit].Name.Name); i >= 0 && !s.Kept {
				q.mark(show.RigFile, "its place was proposed, by what the looks ask", "units", i)
			}
		}
		return "places of lamps, proposed", q.err
	})
	if errors.Is(err, ledger.ErrUnchanged) {
		return nil
	}
	return err
}

func proposed(plan *positions.Plan) *Proposal {
	out := &Proposal{Placed: len(plan.Spots), Cut: plan.Cut, Ground: plan.Ground, Misses: []string{}}
	for _, u := range append(plan.Nowhere, plan.Idle...) {
		out.Left = append(out.Left, plan.Rig.Units[u].Name.Name)
	}
	for _, m := range plan.Misses {
		out.Misses = append(out.Misses, fmt.Sprintf("look %s: %s", m.Look, m.Text))
	}
	return out
}
