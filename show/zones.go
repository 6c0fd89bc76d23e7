package show

import (
	"errors"
	"io/fs"
	"path"
	"slices"
	"time"

	"lampblack/play/line"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// ZonesFile holds the zones of a place; a place that is one does without.
const ZonesFile = "zones.yaml"

// Zones is the text of zones.yaml: parts of a place, each with units, an order and a
// clock of its own.
type Zones struct {
	source.Pos
	Zones source.Named[*Zone] `key:"zones,required"`
	// Shared units belong to several zones. Each of their emitters gives the most
	// that a zone asks of it (common practice: the highest level has precedence).
	Shared []source.Ref `key:"shared"`

	shared []bool // by unit of the rig
}

// Zone is a part of a place. Its order is that of a file, order.yaml where it names
// none. One that repeats rests in its first step, a standing look, until what that
// waits for comes, and goes back to it after its last.
type Zone struct {
	source.Pos
	Systems []source.Ref `key:"systems"`
	Units   []source.Ref `key:"units"`
	Order   source.Ref   `key:"order"`
	Sound   source.Ref   `key:"sound"` // channels of the sound device: 1-2, or 3
	Repeats bool         `key:"repeats"`
	// Stay is how long it may be away from its rest look; then it goes back.
	Stay si.Stretch `key:"longest stay"`
	// Rearm is how long it rests at least before a trigger takes it on again.
	Rearm si.Stretch `key:"re-arm"`

	order    *Order
	units    []bool        // by unit of the rig: what it lights, shared units too
	channels line.Channels // those of Sound; none where it says none, or wrongly
}

// Channels are those of the sound device on which the zone is heard: the first two where it
// does not say.
func (z *Zone) Channels() line.Channels {
	if z.channels == (line.Channels{}) {
		return line.Channels{First: 1, Last: 2}
	}
	return z.channels
}

// Steps is the running order of the zone.
func (z *Zone) Steps() *Order { return z.order }

// mostZones bounds a place: a walk through a large house has a dozen.
const mostZones = 64

// readOrders reads the running orders of the folder: one, or one for each zone. It returns
// which step, if one does, plays the folder's own piece.
func (f *Files) readOrders(dir fs.FS, text reader, faults *source.Faults) (own source.Pos) {
	if there(dir, OrderFile) {
		f.Order = readOrder(dir, OrderFile, text, f.Score.Looks, &own, faults)
	}
	if !there(dir, ZonesFile) {
		return own
	}
	data, ok := text(dir, ZonesFile, faults)
	if !ok {
		return own
	}
	z := &Zones{}
	*faults = append(*faults, source.Decode(ZonesFile, data, z)...)
	switch {
	case len(z.Zones) == 0:
		faults.Add(somewhere(z.Pos, ZonesFile), "", "the place has no zones")
		return own
	case len(z.Zones) > mostZones:
		faults.Add(z.Pos, "", "%d zones are more than the %d of one place", len(z.Zones), mostZones)
		z.Zones = z.Zones[:mostZones]
	}
	f.Zones = z
	orders := map[string]string{} // by file: the zone
	for _, e := range z.Zones {
		if e.Value == nil {
			continue
		}
		if e.Value.Pos.Line == 0 { // nothing stands there
			e.Value.Pos = e.Pos
		}
		e.Value.readOrder(f, dir, text, orders, e.Name, &own, faults)
		e.Value.check(e.Name, faults)
	}
	if f.Rig != nil {
		z.share(f.Rig, faults)
	}
	z.hold(faults)
	return own
}

// hold finds zones whose sounds would play on one channel.
func (z *Zones) hold(faults *source.Faults) {
	heard := map[string]line.Channels{}
	for _, e := range z.Zones {
		if e.Value == nil || e.Value.channels == (line.Channels{}) {
			continue
		}
		to := e.Value.channels
		for _, o := range z.Zones {
			if other, ok := heard[o.Name]; ok && other.Meets(to) {
				faults.Add(e.Value.Sound.Pos, "give each channels of its own: 1-2, 3-4", "zones %s and %s both sound on channels %s", o.Name, e.Name, to)
				break
			}
		}
		heard[e.Name] = to
	}
}

func there(dir fs.FS, name string) bool {
	_, err := fs.Stat(dir, name)
	return !errors.Is(err, fs.ErrNotExist)
}

// readOrder reads the order of a zone, which no other may have.
func (z *Zone) readOrder(f *Files, dir fs.FS, text reader, orders map[string]string, name string, own *source.Pos, faults *source.Faults) {
	file := z.Order.Name
	if file == "" {
		file = OrderFile
	}
	if other, twice := orders[path.Clean(file)]; twice {
		faults.Add(z.Pos, "name a file of its own: order: grotto.yaml", "zones %s and %s have the same running order %s", other, name, file)
		return
	}
	orders[path.Clean(file)] = name
	switch {
	case path.Clean(file) == OrderFile:
		if z.order = f.Order; z.order == nil {
			faults.Add(z.Pos, "name a file: order: grotto.yaml", "zone %s has no running order", name)
		}
	case !fs.ValidPath(file) || slices.Contains(taken, path.Clean(file)):
		faults.Add(z.Order.Pos, "a file of its own inside the folder, as zones/grotto.yaml", "%q cannot hold the running order of a zone", file)
	case !there(dir, file):
		faults.Add(z.Order.Pos, "write the zone's running order into it", "the file is missing: %s", file)
	default:
		z.order = readOrder(dir, file, text, f.Score.Looks, own, faults)
	}
}

// check finds what is wrong with a zone by itself.
func (z *Zone) check(name string, faults *source.Faults) {
	for what, d := range map[string]si.Stretch{"longest stay": z.Stay, "re-arm": z.Rearm} {
		if time.Duration(d) > 24*time.Hour {
			faults.Add(z.Pos, "", "zone %s has a %s of more than 24 h", name, what)
		}
	}
	if z.Sound.Name != "" {
		var err error
		if z.channels, err = line.ParseChannels(z.Sound.Name); err != nil {
			faults.Add(z.Sound.Pos, "a pair as 1-2, or one as 3", "zone %s: %v", name, err)
		}
	}
	if !z.Repeats && (z.Stay != 0 || z.Rearm != 0) {
		faults.Add(z.Pos, "say repeats: yes", "zone %s has a longest stay or a re-arm time, and does not go back to its rest look", name)
	}
	if z.order == nil || len(z.order.Steps) == 0 {
		return
	}
	first := &z.order.Steps[0]
	if z.Repeats && !first.Stands() && first.Pos.Line != 0 {
		faults.Add(first.Pos, "put a rest look before it: {standing: rest, look: dim, until: trigger door, at most: 12 h}", "zone %s repeats, and does not begin with a standing look to rest in", name)
	}
}

// share finds what every zone lights, and holds them apart.
func (z *Zones) share(r *rig.Rig, faults *source.Faults) {
	shared := make([]bool, len(r.Units))
	index := map[string]int{}
	names, systems := r.UnitNames(), r.Systems()
	for i, name := range names {
		index[name] = i
	}
	find := func(ref source.Ref) (int, bool) {
		i, ok := index[ref.Name]
		if !ok && ref.Name != "" {
			faults.Add(ref.Pos, source.OneOf(ref.Name, names), "there is no unit %q", ref.Name)
		}
		return i, ok
	}
	for _, ref := range z.Shared {
		if i, ok := find(ref); ok {
			shared[i] = true
		}
	}
	z.shared = shared
	owner := make([]string, len(r.Units))
	for _, e := range z.Zones {
		zone := e.Value
		if zone == nil {
			continue
		}
		zone.units = make([]bool, len(r.Units))
		lights := func(i int, at source.Pos) {
			if owner[i] != "" && owner[i] != e.Name && !shared[i] {
				faults.Add(at, "give it to one of them, or list it in shared: each emitter then gives the most that is asked of it", "zones %s and %s share the unit %s", owner[i], e.Name, names[i])
				return
			}
			owner[i], zone.units[i] = e.Name, true
		}
		for _, ref := range zone.Units {
			if i, ok := find(ref); ok {
				lights(i, ref.Pos)
			}
		}
		for _, ref := range zone.Systems {
			if !slices.Contains(systems, ref.Name) && ref.Name != "" {
				faults.Add(ref.Pos, source.OneOf(ref.Name, systems), "there is no system %q", ref.Name)
			}
			for _, i := range r.System(ref.Name) {
				lights(i, ref.Pos)
			}
		}
		if !slices.Contains(zone.units, true) && zone.Pos.Line != 0 {
			faults.Add(zone.Pos, "name them: units: [cave 1, cave 2], or systems: [cave]", "zone %s lights no unit", e.Name)
		}
	}
	var none []string
	for i, o := range owner {
		if o == "" {
			none = append(none, names[i])
		}
	}
	if len(none) > 0 {
		faults.Note(z.Pos, "add them to a zone, or switch them off", "no zone lights %s: they stay dark", source.First(none, 6))
	}
}
