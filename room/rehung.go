package room

import (
	"slices"

	"lampblack/rig"
	"lampblack/source"
)

// Rehung is the room with some units, by index, as rg has them: hung or aimed elsewhere. What those send is known
// straight alone: on what moves, in the eyes of performers, and wherever a [Pointer] asks. Nothing of it is
// reflected, and no glow of it lights anything else; all other light stays what it was. It takes milliseconds, and is
// for pictures while a hand moves a lamp: readings at still surfaces leave these units out. ok is false where rg
// has other units, or units of other cells and beams, than the rig that was solved.
func (t *Transport) Rehung(rg *rig.Rig, moved []bool) (out *Transport, ok bool) {
	if len(rg.Units) != len(t.rig.Units) || len(moved) != len(rg.Units) || !slices.EqualFunc(rg.Drives, t.rig.Drives, sameDrive) {
		return nil, false
	}
	c := *t
	c.rig = rg
	c.sources = &sources{lamps: slices.Clone(t.sources.lamps), first: t.sources.first, count: t.sources.count}
	tables := map[beamKey]*falloff{}
	for i, is := range moved {
		if is && !c.rehang(i, tables) {
			return nil, false
		}
	}
	c.straightAlone(moved)
	c.unlit(moved)
	return &c, true
}

func sameDrive(a, b rig.Drive) bool {
	return a.Unit == b.Unit && a.Emitter == b.Emitter && a.Slot == b.Slot && slices.Equal(a.Cells, b.Cells)
}

// rehang makes a lamp anew. One that hangs outside the room gives no light, as it does to Solve.
func (t *Transport) rehang(unit int, tables map[beamKey]*falloff) bool {
	u, was := &t.rig.Units[unit], &t.sources.lamps[unit]
	l := lamp{unit: unit}
	if u.Type != nil && t.room.holds(Point(u.At).vec()) {
		var faults source.Faults // told when the room is solved
		l.hang(u, tables, &faults)
	}
	if len(l.cells) > 0 && (len(l.cells) != len(was.cells) || len(l.beams) != len(was.beams)) {
		return false
	}
	t.shell.shadesOf(&l)
	t.sources.lamps[unit] = l
	return true
}

// straightAlone has the light of the units moved be what falls straight on what moves and into eyes, and none elsewhere.
func (t *Transport) straightAlone(moved []bool) {
	alone := &sources{lamps: slices.Clone(t.sources.lamps), first: t.sources.first, count: t.sources.count}
	for i := range alone.lamps {
		if !moved[i] {
			alone.lamps[i].cells = nil
		}
	}
	light := (&solving{room: t.room, shell: t.shell, sources: alone, t: t}).straight()
	direct, total := rows(len(t.Places), len(t.bundles)), rows(len(t.Places), len(t.columns))
	row := make([]float32, len(t.bundles))
	for place := range t.Places {
		clear(row)
		if p := t.Places[place].Panel; p < 0 || t.Panels[p].loose {
			light(row, &t.receivers[place])
		}
		copy(direct[place], t.direct[place])
		copy(total[place], t.total[place])
		for i := range t.bundles {
			b := &t.bundles[i]
			if !moved[b.unit] {
				continue
			}
			direct[place][i] = row[i]
			for band := range b.until - b.from {
				total[place][b.first+band] = row[i]
			}
		}
	}
	t.direct, t.total = direct, total
}

// unlit has nothing glow by the units moved in other things' light.
func (t *Transport) unlit(moved []bool) {
	t.glow.power = slices.Clone(t.glow.power)
	for e := range t.glow.power {
		t.glow.power[e] = slices.Clone(t.glow.power[e])
		for d := range t.rig.Drives {
			if moved[t.rig.Drives[d].Unit] {
				t.glow.power[e][d] = 0
			}
		}
	}
}
