package desk

import (
	"errors"

	"lampblack/rig"
)

// recallCleanly plans the recalls so that no fade takes a slot through values that a
// unit must not be at: a desk fades its slots from value to value, whatever they mean.
// Scenes that would be reached so come in at once; where the desk has one time for all,
// it cannot be used in this way. Making one scene snap changes which recalls are sent,
// and so what follows what; the recalls are planned anew until none crosses. Each round
// sets the time of at least one scene to 0, so it ends.
func (p *Plan) recallCleanly() error {
	d := newDecoder(p.Show.Rig, p.Desk.universe())
	for {
		p.Recalls = nil
		p.recall()
		crossed := false
		for i := 1; i < len(p.Recalls); i++ {
			from, r := p.Recalls[i-1].Scene, &p.Recalls[i]
			if r.over <= 0 || !p.crosses(d, &p.Scenes[from], &p.Scenes[r.Scene]) {
				continue
			}
			if p.way.fade != FadeEachScene {
				return errors.New("a fade would take a unit through values that it must not be at")
			}
			p.Scenes[r.Scene].Fade, crossed = 0, true
		}
		if !crossed {
			return nil
		}
	}
}

// crosses tells whether a fade of slot values passes what no unit that listens may be
// at: programs, or flashing that neither scene asks for. A unit that is off at the
// mains (stand 0) is passed over. Coarse slots decide alone: ranges are of whole
// values. The addresses are those at the desk.
func (p *Plan) crosses(d *decoder, from, to *Scene) bool {
	a, b := p.line(from.Values), p.line(to.Values)
	for i := range d.units {
		u := &d.units[i]
		at := p.stand[u.unit]
		if at == 0 {
			continue
		}
		asked := from.flash[u.unit] > 0 || to.flash[u.unit] > 0
		for j := range u.parts {
			slot := &u.parts[j]
			x, y := int(a[at+slot.Coarse-2]), int(b[at+slot.Coarse-2])
			for k := range slot.Ranges {
				r := &slot.Ranges[k]
				bad := r.Does == rig.Never || !asked && (r.Does == rig.Flash || r.Does == rig.FlashRandom)
				if bad && min(x, y) <= r.To && max(x, y) >= r.From {
					return true
				}
			}
		}
	}
	return false
}
