package page

import (
	"context"

	"lampblack/plate"
	"lampblack/room"
	"lampblack/show"
)

// Glimpse draws a picture of the room as files have it, with what falls straight from the lamps alone, at the levels of
// before: for a hand that changes walls and what stands in the room.
func (b *Book) Glimpse(ctx context.Context, f *show.Files, n plate.Instant, w Wanted) (Drawn, error) {
	t := f.Glimpse()
	if err := w.check(b.show); err != nil {
		return Drawn{}, err
	}
	if t == nil || len(t.Eyes) != len(b.show.Transport.Eyes) || len(n.Levels) != len(f.Rig.Drives) {
		return Drawn{}, ErrNotQuick
	}
	gone := map[string]bool{}
	for p, away := range n.Absent {
		if away {
			gone[b.in(&n).Panels[p].Name] = true
		}
	}
	n.Absent, n.Transport = absentOf(t, gone), t
	c := plate.Camera{Eye: w.Eye}
	c.From, c.Toward = f.Room.Seen()
	sight, err := plate.NewSight(ctx, t, &c, w.Width, w.Height, nil, nil)
	if err != nil {
		return Drawn{}, err
	}
	return drawn(sight, n, w, "Provisional: the direct light alone, at the levels of before."), nil
}

func absentOf(t *room.Transport, gone map[string]bool) []bool {
	out := make([]bool, len(t.Panels))
	for p := range t.Panels {
		out[p] = gone[t.Panels[p].Name]
	}
	return out
}

// drawn is a picture that is drawn once.
func drawn(sight *plate.Sight, n plate.Instant, w Wanted, says string) Drawn {
	a, _ := w.Of.aspect()
	scene := sight.Light(nil, a, &n)
	if scale, ok := scales[w.Of]; ok {
		return Drawn{Pixels: scene.Scaled(nil, scale[0], scale[1]).Pix, Says: says}
	}
	img, _ := scene.Show(nil, w.As)
	return Drawn{Pixels: img.Pix, Says: says}
}
