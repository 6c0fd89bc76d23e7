package page

import (
	"context"
	"errors"
	"slices"
	"strings"

	"lampblack/plate"
	"lampblack/rig"
	"lampblack/room"
)

// ErrNotQuick is that a change of the rig cannot be shown before the light in the room is worked out.
var ErrNotQuick = errors.New("the light in the room is to be worked out for that: some seconds, once it is written")

// MovedIn lists the units, by index, that hang or aim otherwise in a rig than in the show's; ok is false where
// the rigs differ in more than that, as in their units or types.
func (b *Book) MovedIn(rg *rig.Rig) (moved []bool, ok bool) {
	was := b.show.Rig
	if rg == nil || was == nil || len(rg.Units) != len(was.Units) {
		return nil, false
	}
	moved = make([]bool, len(rg.Units))
	for i := range moved {
		u, v := &rg.Units[i], &was.Units[i]
		if u.Name.Name != v.Name.Name || u.TypeName.Name != v.TypeName.Name || u.ModeName.Name != v.ModeName.Name {
			return nil, false
		}
		moved[i] = u.At != v.At || u.Aim != v.Aim || u.Turn != v.Turn || u.Mask != v.Mask
	}
	return moved, true
}

// Provisional draws a picture with units of the show hung or aimed as a rig has them, while a hand moves them. Their
// light is what falls straight from them, at the levels of before: looks are not worked out anew.
func (b *Book) Provisional(ctx context.Context, rg *rig.Rig, n plate.Instant, w Wanted) (Drawn, error) {
	if err := w.check(b.show); err != nil {
		return Drawn{}, err
	}
	moved, ok := b.MovedIn(rg)
	if !ok {
		return Drawn{}, ErrNotQuick
	}
	n.Transport, ok = b.in(&n).Rehung(rg, moved)
	if !ok {
		return Drawn{}, ErrNotQuick
	}
	p, err := b.sights.of(ctx, b.show, &n, &w)
	if err != nil {
		return Drawn{}, err
	}
	defer p.mu.Unlock()
	sight, err := p.sight.Rehung(ctx, n.Transport, moved)
	if err != nil {
		return Drawn{}, err
	}
	return drawn(sight, n, w, provisionalOf(rg, moved)), nil
}

// in is the room at an instant.
func (b *Book) in(n *plate.Instant) *room.Transport {
	if n.Transport != nil {
		return n.Transport
	}
	return b.show.Transport
}

// provisionalOf says what of a picture is not worked out yet.
func provisionalOf(rg *rig.Rig, moved []bool) string {
	var names []string
	for i := range rg.Units {
		if moved[i] {
			names = append(names, rg.Units[i].Name.Name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	slices.Sort(names)
	return "Provisional: of " + strings.Join(names, ", ") + " the direct light alone, at the levels of before."
}
