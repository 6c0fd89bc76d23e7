package seen

import (
	"time"

	"lampblack/check/flash"
)

// Counter counts flashes as frames go out, one after the other: ask what a frame would
// complete with [Counter.See], and say with [Counter.Take] that it goes out. It belongs to
// one goroutine, and allocates nothing once it is made.
//
// It counts as a [Scene] does, and never fewer: each of its fields holds whatever any of the
// fields there that any eye near may look into does ([cover]). And a change counts from where it
// is large enough, though it may go on and be half done too late for a flash.
type Counter struct {
	eyes     *Eyes
	columns  [][]cell    // by drive
	watts    [][]float64 // by unit, then own drive
	whole    []float64   // by unit: of all its drives at full
	units    []flash.Follower
	pieces   []flash.Follower
	reds     []flash.RedFollower // by piece; zero where it has no red
	redden   []bool
	fields   []lookout
	seats    [][]seat // by piece, then unit: where in the fields it is
	instants flash.Instants
	levels   []float32    // of the last frame that was taken
	colours  [][3]float64 // by piece, of it
	all      longTally    // over all units
	recorded [2]record    // the same, in detail
	each     []part       // unit, each of an area of 1
	general  sighted
	red      sighted
	held     []int // scratch
	asked    int   // how many fields were counted closely in this frame

	seen struct { // the frame that was asked for last
		at      time.Duration
		levels  []float32
		outputs []float32
		colours [][3]float64
		all     longTally
		over    Over
		looked  bool // what eyes see of it was counted
	}
	done    []lead // by piece, then unit: the flash that it completes
	redDone []lead
}

// sighted is what every field has seen of one kind of flashes.
type sighted struct {
	tallies []tally     // by field, of all that flashes in it, however small
	records [][2]record // by field
	next    []tally     // with the frame that was asked for last
	begun   []begins    // of that frame
	touched []int       // fields that it changes
}

// begins is when the first and the last of the flashes began that a frame completes, by
// direction.
type begins [2]struct {
	some        bool
	first, last time.Duration
}

// cell is what a drive at full gives a piece.
type cell struct {
	piece   int
	x, y, z float32
}

// lead is the flash that something completes, if it does.
type lead struct {
	flash.Lead
	completes bool
}

// part is a piece, or a unit's lens behind the pieces, and how much of it a field holds.
type part struct {
	index int
	area  float32
}

// Over is which flashes of a frame would be too many.
type Over struct {
	Units        []bool // by unit: it would complete one
	Rises, Falls bool   // what some eye sees would, by a rise or by a fall
	Red          bool
	Count        int // in the worst second
}

// The rules for what goes out are stricter by a thousandth than those that it is checked by: a
// sum that is made of changes is rounded otherwise than one that is made of levels.
var (
	liveBT       = flash.Rule{Source: flash.BT.Source, Step: .999 * flash.BT.Step, Bright: flash.BT.Bright, Contrast: .999 * flash.BT.Contrast, Most: flash.BT.Most}
	liveRed      = flash.Rule{Source: flash.Red.Source, Ratio: .999 * flash.Red.Ratio, Distance: .999 * flash.Red.Distance, Veil: flash.Red.Veil, Most: flash.Red.Most}
	liveRelative = flash.Rule{Source: relative.Source, Step: .999 * relative.Step, Bright: 1.001 * relative.Bright, Most: relative.Most}
)

// Any tells whether anything is over.
func (o *Over) Any() bool { return o.Count > 0 }

// Counter makes a counter for frames of the eyes' rig.
func (e *Eyes) Counter() *Counter {
	drives, units := len(e.rig.Drives), len(e.rig.Units)
	c := &Counter{eyes: e, columns: make([][]cell, drives), units: make([]flash.Follower, units),
		levels: make([]float32, drives)}
	full := make([]float32, drives)
	for d := range full {
		full[d] = 1
	}
	for u := range e.rig.Units {
		watts, whole := e.watts(u)
		c.watts, c.whole = append(c.watts, watts), append(c.whole, whole)
	}
	pieces := e.pieces(full)
	c.pieces, c.reds, c.redden = make([]flash.Follower, len(pieces)), make([]flash.RedFollower, len(pieces)), make([]bool, len(pieces))
	for i := range pieces {
		active := activeDrives(pieces[i].row)
		if c.redden[i] = pieces[i].mayRedden(active); c.redden[i] {
			c.reds[i] = flash.FollowRed(&liveRed, 64+i%64) // lest all are thinned at once
		}
		for _, d := range active {
			row := &pieces[i].row[d]
			c.columns[d] = append(c.columns[d], cell{i, float32(row.X), float32(row.Y), float32(row.Z)})
		}
	}
	c.colours = make([][3]float64, len(pieces))
	c.lookOut(pieces, full)
	s := &c.seen
	s.levels, s.outputs, s.colours = make([]float32, drives), make([]float32, units), make([][3]float64, len(pieces))
	s.over.Units = make([]bool, units)
	c.general, c.red = c.newSighted(nil), c.newSighted(c.redden)
	c.held = make([]int, units)
	for u := range units {
		c.each = append(c.each, part{u, 1})
	}
	for way := range c.recorded {
		c.recorded[way].list = make([]flashOf, 64*max(units, 16))
	}
	for i := range c.fields {
		c.held = append(c.held, make([]int, max(len(c.fields[i].parts)-len(c.held), 0))...)
	}
	c.done, c.redDone = make([]lead, len(pieces)+units), make([]lead, len(pieces))
	return c
}

// newSighted makes room for what some pieces, or all that there is, may flash.
func (c *Counter) newSighted(some []bool) sighted {
	n := len(c.fields)
	in := sighted{make([]tally, n), make([][2]record, n), make([]tally, n), make([]begins, n), make([]int, 0, n)}
	for f := range in.records {
		parts := 0
		for _, p := range c.fields[f].parts {
			if some == nil || p.index < len(some) && some[p.index] {
				parts++
			}
		}
		for way := range in.records[f] {
			in.records[f][way].list = make([]flashOf, recordedOf*max(parts, 8))
		}
	}
	return in
}

// See counts what a frame with these levels would complete. trains is how many flashes a
// second are taken by units that flash by themselves; mostUnits is the most over all units
// together, and mostEye that an eye may see, of each kind. Where units are over, it says no
// more than that. It may be asked of several frames for one instant; instants do not descend.
func (c *Counter) See(at time.Duration, levels []float32, trains, mostUnits, mostEye int) *Over {
	s := &c.seen
	if at != s.at || c.instants.None() {
		s.at = at
		c.instants.Add(at)
	}
	s.over.Rises, s.over.Falls, s.over.Red, s.over.Count = false, false, false, 0
	clear(s.over.Units)
	copy(s.levels, levels)
	c.settleUnits(false, at)
	c.general.settle(false, at)
	c.red.settle(false, at)
	s.all = c.all
	for u := range s.outputs {
		s.outputs[u] = c.Of(u, s.levels)
	}
	c.countUnits(mostUnits - trains)
	if s.looked = !s.over.Any(); s.looked {
		c.look(mostEye - trains)
	}
	return &s.over
}

// look counts what eyes see of the frame.
func (c *Counter) look(most int) {
	c.asked = 0
	c.light()
	general, red := c.complete()
	if general {
		c.countFields(&c.general, c.done, most)
	}
	if red {
		c.countFields(&c.red, c.redDone, most)
	}
}

// light works out what the frame looks like, from what has changed.
func (c *Counter) light() {
	s := &c.seen
	copy(s.colours, c.colours)
	for d, v := range s.levels {
		by := v - c.levels[d]
		if by == 0 {
			continue
		}
		for i := range c.columns[d] {
			k := &c.columns[d][i]
			colour := &s.colours[k.piece]
			colour[0] += float64(by * k.x)
			colour[1] += float64(by * k.y)
			colour[2] += float64(by * k.z)
		}
	}
}

// countUnits counts over all units together: those that complete one too many are over.
func (c *Counter) countUnits(most int) {
	s := &c.seen
	for u := range c.units {
		l, completes := c.units[u].Next(&liveRelative, &c.instants, s.outputs[u])
		c.done[len(c.pieces)+u] = lead{l, completes}
		if !completes {
			continue
		}
		way := direction(l.Up)
		before := s.all[way]
		c.recorded[way].add(l.At, u)
		s.all.add(way, l.At)
		n := worst(s.all[way].list[:], l.At, reach)
		if n > most { // it may be: groups are not always as the rule has them
			n = c.recorded[way].worst(c.each, 0, c.held)
		}
		if n > most {
			c.recorded[way].remove(l.At, u)
			s.all[way] = before
			s.over.Units[u], s.over.Count = true, max(s.over.Count, n)
		}
	}
}

// settleUnits keeps what the frame has recorded, or takes it back. A change may stand half
// done for long, and then be one after all, which completes a flash that began before it
// stood: so it is remembered for as long as the tally of units is.
func (c *Counter) settleUnits(keep bool, now time.Duration) {
	for way := range c.recorded {
		c.recorded[way].settle(keep, now, 20*time.Second)
	}
}

func direction(up bool) int {
	if up {
		return 1
	}
	return 0
}

// complete finds what completes flashes.
func (c *Counter) complete() (general, red bool) {
	s := &c.seen
	for i := range c.pieces {
		l, completes := c.pieces[i].Next(&liveBT, &c.instants, float32(s.colours[i][1]))
		c.done[i] = lead{l, completes}
		general = general || completes
		if c.redden[i] {
			l, completes := c.reds[i].Next(&c.instants, tristimulus(&s.colours[i]))
			c.redDone[i] = lead{l, completes}
			red = red || completes
		}
	}
	for u := range c.units {
		general = general || c.done[len(c.pieces)+u].completes
	}
	return general, red
}

func tristimulus(c *[3]float64) flash.Colour {
	return flash.Colour{X: float32(c[0]), Y: float32(c[1]), Z: float32(c[2])}
}

// mostAsked bounds how many fields are counted closely in a frame, and so its time. Beyond
// it all that flashes in a field counts, however small.
const mostAsked = 200

// countFields counts what every field holds.
func (c *Counter) countFields(in *sighted, done []lead, most int) {
	for i := range done {
		if done[i].completes {
			in.take(i, &done[i], c.seats[i])
		}
	}
	for _, f := range in.touched {
		for way := range in.begun[f] {
			if n := c.countField(in, f, way, most); n > most {
				c.tooMany(in == &c.red, way, n)
			}
		}
	}
}

// take puts a flash into the fields that hold what flashes.
func (in *sighted) take(index int, l *lead, seats []seat) {
	way := direction(l.Up)
	for _, s := range seats {
		b := &in.begun[s.field]
		if !b[0].some && !b[1].some {
			in.next[s.field] = in.tallies[s.field]
			in.touched = append(in.touched, s.field)
		}
		in.records[s.field][way].add(l.At, s.part)
		in.next[s.field].add(way, l.At)
		if b := &b[way]; !b.some {
			b.some, b.first, b.last = true, l.At, l.At
		} else {
			b.first, b.last = min(b.first, l.At), max(b.last, l.At)
		}
	}
}

// countField counts first all that flashes in a field, however small, and closely only where
// that is too much.
func (c *Counter) countField(in *sighted, f, way, most int) int {
	b := &in.begun[f][way]
	if !b.some {
		return 0
	}
	list := in.next[f][way].list[:]
	n := max(worst(list, b.first, reach), worst(list, b.last, reach))
	if n <= most {
		return n
	}
	if r := &in.records[f][way]; c.asked < mostAsked && !r.forgets(c.seen.at) {
		c.asked++
		return r.worst(c.fields[f].parts, least, c.held)
	}
	return max(worst(list, b.first, second), worst(list, b.last, second))
}

// tooMany tells of what some eye sees.
func (c *Counter) tooMany(red bool, way, n int) {
	o := &c.seen.over
	o.Count = max(o.Count, n)
	o.Red = o.Red || red
	o.Falls = o.Falls || !red && way == 1 // begun with a rise, it ends with a fall
	o.Rises = o.Rises || !red && way == 0
}

// settle keeps what the frame that was asked for last has changed, or takes it back.
func (in *sighted) settle(keep bool, now time.Duration) {
	for _, f := range in.touched {
		if keep {
			in.tallies[f] = in.next[f]
		}
		in.records[f][0].settle(keep, now, remembered)
		in.records[f][1].settle(keep, now, remembered)
		in.begun[f] = begins{}
	}
	in.touched = in.touched[:0]
}

// Take takes the frame that was asked for last: it goes out.
func (c *Counter) Take() {
	s := &c.seen
	if !s.looked {
		c.look(flash.BT.Most)
	}
	c.general.settle(true, s.at)
	c.red.settle(true, s.at)
	// What goes out though it is too much counts as well.
	for u, over := range s.over.Units {
		if l := &c.done[len(c.pieces)+u]; over {
			s.all.add(direction(l.Up), l.At)
			c.recorded[direction(l.Up)].add(l.At, u)
		}
	}
	c.settleUnits(true, s.at)
	c.all = s.all
	for u := range c.units {
		c.units[u].Take(&liveRelative, &c.instants, s.outputs[u])
	}
	for i := range c.pieces {
		c.pieces[i].Take(&liveBT, &c.instants, float32(s.colours[i][1]))
		if c.redden[i] {
			c.reds[i].Take(&c.instants, tristimulus(&s.colours[i]))
		}
	}
	copy(c.levels, s.levels)
	copy(c.colours, s.colours)
}

// Of is what a unit gives at some levels, as a share of its full. It is summed as the scene's
// is, to the last bit: a value half-way between two others may else be dated otherwise.
func (c *Counter) Of(unit int, levels []float32) (share float32) {
	if c.whole[unit] <= 0 {
		return 0
	}
	from, _ := c.eyes.rig.UnitDrives(unit)
	sum := 0.0
	for i, w := range c.watts[unit] {
		sum += w * float64(levels[from+i])
	}
	return float32(sum / c.whole[unit])
}

// Lately is how many flashes have begun since an instant, over all units together and where
// an eye has seen most.
func (c *Counter) Lately(since time.Duration) (units, eye int) {
	for f := range c.fields {
		eye = max(eye, c.general.tallies[f].since(since), c.red.tallies[f].since(since))
	}
	return c.all.since(since), eye
}
