package lamps

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"lampblack/rig"
)

// Row is a unit of the rig and the device that it is, or one of them alone.
type Row struct {
	Unit    string       `json:"unit,omitempty"`    // "" for a device that is no unit of the rig
	Device  *Device      `json:"device,omitempty"`  // nil for a unit that does not answer
	Differs []Difference `json:"differs,omitempty"` // from the rig, and what it says is wrong

	unit *rig.Unit
}

// Difference is something that is not as it should be, with what to do.
type Difference struct {
	ID    string `json:"id"`
	Grave bool   `json:"grave"` // the show is not what it was computed to be
	Text  string `json:"text"`
	Do    string `json:"do"`
}

// IDs of differences.
const (
	Address  = "address"
	Universe = "universe"
	ModeID   = "mode"
	Shared   = "shared slots"
	Silent   = "does not answer"
	Stranger = "in no rig"
	Unwell   = "says it is unwell"
	Hot      = "out of its range"
	Label    = "label"
	Unsaid   = "did not say"
)

// Compare holds what devices say against the rig: the units of the universes that were
// asked, in the rig's order, and then devices that are none of them. A unit is the device
// that stands at its universe and address with its number of slots; else the one whose
// label is its name; else the one at its address.
func Compare(r *rig.Rig, asked []int, devices []Device) []Row {
	c := comparison{devices: devices, of: make([]*rig.Unit, len(devices))}
	for i := range r.Units {
		if u := &r.Units[i]; slices.Contains(asked, u.Universe) {
			c.rows = append(c.rows, Row{Unit: u.Name.Name, unit: u})
		}
	}
	c.match(func(u *rig.Unit, d *Device) bool {
		return d.Universe == u.Universe && d.Address == u.Address && d.Footprint == u.Mode.Footprint
	})
	c.match(func(u *rig.Unit, d *Device) bool { return sameName(d.Label, u.Name.Name) })
	c.match(func(u *rig.Unit, d *Device) bool { return d.Universe == u.Universe && d.Address == u.Address })
	for i := range devices {
		if c.of[i] == nil {
			c.rows = append(c.rows, Row{Device: &devices[i]})
		}
	}
	for i := range c.rows {
		c.judge(r, &c.rows[i])
	}
	return c.rows
}

// sameName passes over case and spaces: a device's own menu may know capitals alone.
func sameName(a, b string) bool {
	a, b = strings.Join(strings.Fields(a), ""), strings.Join(strings.Fields(b), "")
	return a != "" && strings.EqualFold(a, b)
}

// comparison is one under way.
type comparison struct {
	rows    []Row
	devices []Device
	of      []*rig.Unit // by device
}

// match pairs what is not paired yet.
func (c *comparison) match(is func(u *rig.Unit, d *Device) bool) {
	for i := range c.rows {
		for k := range c.devices {
			if c.rows[i].Device == nil && c.of[k] == nil && is(c.rows[i].unit, &c.devices[k]) {
				c.rows[i].Device, c.of[k] = &c.devices[k], c.rows[i].unit
			}
		}
	}
}

func (r *Row) add(id string, grave bool, text, do string) {
	r.Differs = append(r.Differs, Difference{id, grave, text, do})
}

func (c *comparison) judge(r *rig.Rig, row *Row) {
	if row.Device == nil {
		row.add(Silent, false, "does not answer", "many lamps have no RDM: then look at its display; else at its plug, and at the cable that brings it data")
		return
	}
	if row.unit == nil {
		row.add(Stranger, true, fmt.Sprintf("no unit of rig.yaml is at universe %d, address %d, and none has its label", row.Device.Universe, row.Device.Address),
			"add it to rig.yaml, or say whose it is: it takes what is sent to its slots")
	} else {
		row.against()
		if other := r.Index(row.Device.Label); other >= 0 && !sameName(row.Device.Label, row.Unit) {
			row.add(Label, true, fmt.Sprintf("its label says %q", row.Device.Label), "look which lamp it is: --blink "+quoted(row.Unit)+" makes it show itself")
		}
	}
	c.shared(row)
	row.health()
}

// against holds a device against its unit.
func (r *Row) against() {
	d, u := r.Device, r.unit
	set := fmt.Sprintf("--set %s gives it what rig.yaml says; or rig.yaml is wrong", quoted(r.Unit))
	if d.Universe != u.Universe {
		r.add(Universe, true, fmt.Sprintf("it hangs on universe %d, and rig.yaml says %d", d.Universe, u.Universe), "put its data cable to the other line, or correct rig.yaml")
	}
	if d.Address != u.Address {
		r.add(Address, true, fmt.Sprintf("it listens at address %d, and rig.yaml says %d", d.Address, u.Address), set)
	}
	if d.Footprint != u.Mode.Footprint {
		do := "it has no mode of so many slots: describe the mode that it is in, and name it in rig.yaml"
		if m, err := d.modeFor(u); err == nil {
			do = fmt.Sprintf("its mode %s has %d: ", m.named(), m.Footprint) + set
		} else if len(d.Modes) == 0 {
			do = "it does not tell its modes: change it in its own menu, or name another mode in rig.yaml"
		} else if several(d, u) {
			do = err.Error()
		}
		r.add(ModeID, true, fmt.Sprintf("it is in mode %s with %d slots, and rig.yaml says %s with %d", cmp.Or(d.ModeName(), "?"), d.Footprint, cmp.Or(u.ModeName.Name, "one"), u.Mode.Footprint), do)
	}
}

func quoted(name string) string { return fmt.Sprintf("%q", name) }

func (m *Mode) named() string {
	if m.Name == "" {
		return fmt.Sprint(m.Number)
	}
	return fmt.Sprintf("%d (%s)", m.Number, m.Name)
}

func several(d *Device, u *rig.Unit) bool {
	n := 0
	for _, m := range d.Modes {
		if m.Footprint == u.Mode.Footprint {
			n++
		}
	}
	return n > 1
}

// modeFor is the one mode of a device that has as many slots as its unit's; of several, the
// one of the same name.
func (d *Device) modeFor(u *rig.Unit) (Mode, error) {
	var fit []Mode
	for _, m := range d.Modes {
		if m.Footprint == u.Mode.Footprint {
			fit = append(fit, m)
		}
	}
	if len(fit) > 1 {
		fit = slices.DeleteFunc(fit, func(m Mode) bool { return !sameName(m.Name, u.ModeName.Name) })
	}
	if len(fit) != 1 {
		return Mode{}, fmt.Errorf("it is not sure which of its modes is the one of %d slots: choose it in its own menu", u.Mode.Footprint)
	}
	return fit[0], nil
}

// shared finds devices whose slots are a device's too, unless the rig wants it so.
func (c *comparison) shared(row *Row) {
	d := row.Device
	if d.Address == 0 || d.Footprint == 0 {
		return
	}
	if last := d.last(); last > 512 {
		row.add(Shared, true, fmt.Sprintf("its slots end at %d, beyond 512", last), "give it a lower address")
	}
	for k := range c.devices {
		o := &c.devices[k]
		if o == d || o.Universe != d.Universe || o.Address == 0 || o.Footprint == 0 || o.Address > d.last() || d.Address > o.last() {
			continue
		}
		if c.asMeant(row.unit, d) && c.asMeant(c.of[k], o) {
			continue
		}
		name := "the device " + o.UID.String()
		if c.of[k] != nil {
			name = c.of[k].Name.Name
		}
		row.add(Shared, true, fmt.Sprintf("slots %d to %d are those of %s too: one is moved with the other", max(d.Address, o.Address), min(d.last(), o.last()), name), "give one of them another address")
	}
}

func (d *Device) last() int { return d.Address + d.Footprint - 1 }

// asMeant tells whether a device stands as the rig says.
func (c *comparison) asMeant(u *rig.Unit, d *Device) bool {
	return u != nil && d.Universe == u.Universe && d.Address == u.Address && d.Footprint == u.Mode.Footprint
}

// health takes what a device says is wrong with it.
func (r *Row) health() {
	for i := range r.Device.Sensors {
		s := &r.Device.Sensors[i]
		if !s.Outside() {
			continue
		}
		do := "look what its maker says"
		if s.Temperature {
			do = "let it cool, look at its fan and vents and at what hangs close; it may dim or go out by itself"
		}
		r.add(Hot, false, fmt.Sprintf("%s reads %s, which its maker does not call normal", cmp.Or(s.Name, "a sensor"), s.Text()), do)
	}
	for _, m := range r.Device.Messages {
		if m.Grade != "note" {
			r.add(Unwell, false, "it says: "+m.Text, "look at it before doors; what does not come right is taken out")
		}
	}
	for _, m := range r.Device.Missing {
		r.add(Unsaid, false, m, "ask again; what stays silent has a bad cable, no terminator, or a splitter that lets no answer through")
	}
}

// Text is a reading with its unit.
func (s *Sensor) Text() string {
	text := fmt.Sprint(math.Round(s.Value*10) / 10)
	if s.Unit == "" {
		return text
	}
	return text + " " + s.Unit
}

// Wanted is what --set would change of a row's device.
type Wanted struct {
	Address int  // 0 to leave it
	Mode    Mode // Number 0 to leave it
}

// Wanted is what the rig says of a row's device and the device does not have.
func (r *Row) Wanted() (Wanted, error) {
	var w Wanted
	if r.Device.Footprint != r.unit.Mode.Footprint {
		m, err := r.Device.modeFor(r.unit)
		if err != nil {
			return w, err
		}
		w.Mode = m
	}
	if r.Device.Address != r.unit.Address {
		w.Address = r.unit.Address
	}
	return w, nil
}

// Pair makes a device that is in no rig that of a row of a unit, where a person says that it
// is.
func (r *Row) Pair(d *Device) { r.Device, r.Differs = d, nil }
