package bench

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
)

// ErrBroken ends a walk that is to go on later.
var ErrBroken = errors.New("the walk was broken off")

// walk is one walk over a mode.
type walk struct {
	kind  *rig.Type
	mode  *rig.Mode
	asker func(Step) (Answer, error)
	err   error

	report *Report
	lit    int              // index of the first slot that lights alone as the table says; -1 without
	mine   map[int][]string // by slot: what it lights, as seen
	closed bool             // nothing lights whatever is done
	agreed bool             // that it may flash
}

// Walk leads through the steps of a mode; ask shows one and returns what was seen. An
// error of ask ends the walk, with what was found by then.
func Walk(kind *rig.Type, mode *rig.Mode, ask func(Step) (Answer, error)) (*Report, error) {
	w := &walk{kind: kind, mode: mode, asker: ask, report: &Report{kind: kind, mode: copied(mode)}, lit: -1, mine: map[int][]string{}}
	w.mode = w.report.mode
	w.begin()
	w.alone()
	if w.lit < 0 && w.err == nil {
		w.oneDown()
	}
	w.shifted()
	if w.lit >= 0 {
		w.masters()
		w.travel()
		w.ranges()
		w.flashing()
	}
	w.away()
	w.report.settle()
	return w.report, w.err
}

// copied is a mode of its own: a walk changes ranges as it finds them.
func copied(m *rig.Mode) *rig.Mode {
	out := *m
	out.Slots = slices.Clone(m.Slots)
	for i := range out.Slots {
		out.Slots[i].Ranges = slices.Clone(out.Slots[i].Ranges)
	}
	return &out
}

// ask asks a step; after an error, and once the walk is over, it asks nothing more.
func (w *walk) ask(s Step) Answer {
	if w.err != nil {
		return Answer{}
	}
	if s.Names == nil {
		for _, e := range w.kind.Emitters {
			s.Names = append(s.Names, e.Name)
		}
	}
	a, err := w.asker(s)
	w.err = err
	return a
}

// dim is what black light is shown at: enough to be seen on a white sheet (a choice, no
// source).
const dim = 100

// full is the value at which a slot gives the light that a step shows.
func (w *walk) full(s *rig.Slot) int {
	top := 255
	for i := range s.Ranges {
		switch s.Ranges[i].Does {
		case rig.Level:
			top = s.Ranges[i].To
		case rig.LevelDown:
			return s.Ranges[i].From
		}
	}
	for top > 0 && s.At(top) != nil && s.At(top).Does != rig.Level && s.At(top).Does != rig.Open {
		top--
	}
	if e := w.kind.Emitters.Get(s.Drives); e != nil && e.Light.BlackLight() && s.Drives != "" {
		return min(top, dim)
	}
	return top
}

// low is the value at which a slot gives none.
func low(s *rig.Slot) int {
	for i := range s.Ranges {
		switch s.Ranges[i].Does {
		case rig.Level:
			return s.Ranges[i].From
		case rig.LevelDown:
			return s.Ranges[i].To
		}
	}
	return 0
}

// send is the slots with masters up and all else at rest, and those of the list at full.
func (w *walk) send(up ...int) []byte {
	out := make([]byte, w.mode.Footprint)
	for i := range w.mode.Slots {
		s := &w.mode.Slots[i]
		v := s.Rest()
		switch {
		case len(s.Dims) > 0 || slices.Contains(up, i):
			v = w.full(s)
		case s.Drives != "":
			v = low(s)
		}
		w.put(out, s, v)
	}
	return out
}

func (w *walk) put(out []byte, s *rig.Slot, v int) {
	out[s.Coarse-1] = byte(v)
	if s.Fine > 0 {
		out[s.Fine-1] = 0
		if v == 255 {
			out[s.Fine-1] = 255
		}
	}
}

// with is a frame with one slot at a value.
func (w *walk) with(frame []byte, s *rig.Slot, v int) []byte {
	out := slices.Clone(frame)
	w.put(out, s, v)
	return out
}

// begin has all dark.
func (w *walk) begin() {
	a := w.ask(Step{Slots: w.send(), Say: "all light at 0, masters up", Ask: "Is the lamp dark? yes, or what shines", Wants: Light})
	if w.err == nil && (len(a.Lights) > 0 || a.Flashes) {
		w.report.add(0, "it is not dark with all its light at 0: %s shine%s", strings.Join(a.Lights, ", "), flashing(a))
	}
}

func flashing(a Answer) string {
	if a.Flashes {
		return " and flash"
	}
	return ""
}

// drives are the indexes of the slots that drive light.
func (w *walk) drives() (out []int) {
	for i := range w.mode.Slots {
		if w.mode.Slots[i].Drives != "" {
			out = append(out, i)
		}
	}
	return out
}

// cellWords says of which cell.
func cellWords(s *rig.Slot) string {
	if s.Cell > 0 {
		return fmt.Sprintf(" of cell %d alone", s.Cell)
	}
	return ""
}

// alone has each slot of light up by itself.
func (w *walk) alone() {
	for _, i := range w.drives() {
		s := &w.mode.Slots[i]
		a := w.ask(Step{Slots: w.send(i), Say: fmt.Sprintf("slot %d at %d", s.Coarse, w.full(s)), Ask: fmt.Sprintf("Is it %s%s, steady? yes, or what you see", s.Drives, cellWords(s)), Wants: Light, Expect: []string{s.Drives}})
		if w.err != nil {
			return
		}
		w.mine[i] = a.Lights
		if a.Flashes {
			w.report.add(s.Coarse, "its light flashes with the strobe at rest: the strobe is on another slot, or is steady at other values")
		}
		if same(a.Lights, []string{s.Drives}) && !a.Flashes && w.lit < 0 {
			w.lit = i
		}
		if len(a.Lights) == 0 && w.dark(i) {
			return
		}
	}
	for _, i := range w.drives() {
		if w.lit < 0 && len(w.mine[i]) == 1 && !w.report.has(w.mode.Slots[i].Coarse) {
			w.lit = i
		}
	}
}

// dark tells whether slots alone need not be gone on with: two gave nothing.
func (w *walk) dark(i int) bool {
	n := 0
	for _, l := range w.mine {
		if len(l) > 0 {
			return false
		}
		n++
	}
	return n >= 2
}

// oneDown is for a lamp that stays dark: all that may light is up, and then one slot after
// another goes down. Which light goes with it tells whose it is; all of it, the master's.
func (w *walk) oneDown() {
	all := w.drives()
	frame := w.send(all...)
	a := w.ask(Step{Slots: frame, Say: "all its light up", Ask: "Does anything shine? what", Wants: Light})
	if w.err != nil {
		return
	}
	if len(a.Lights) == 0 {
		frame = w.opened(all)
		if frame == nil {
			return
		}
		a = Answer{Lights: w.mine[-1]}
	}
	if w.report.opened { // each slot alone again, now that it is open
		clear(w.mine)
		w.alone()
		return
	}
	shines := a.Lights
	for i := range w.mode.Slots {
		s := &w.mode.Slots[i]
		if s.Drives == "" && len(s.Dims) == 0 {
			continue
		}
		a := w.ask(Step{Slots: w.with(frame, s, 0), Say: fmt.Sprintf("all up but slot %d", s.Coarse), Ask: "What shines now? ", Wants: Light, Expect: shines})
		if w.err != nil {
			return
		}
		var gone []string
		for _, l := range shines {
			if !slices.Contains(a.Lights, l) {
				gone = append(gone, l)
			}
		}
		w.mine[i] = gone
		if len(a.Lights) == 0 && len(shines) > 0 {
			w.mine[i] = []string{"all"}
		}
	}
}

// opened tries what may keep a lamp dark: masters that are upside down, shutters that are
// closed at rest. It returns slots with which it shines.
func (w *walk) opened(all []int) []byte {
	frame := w.send(all...)
	for i := range w.mode.Slots {
		s := &w.mode.Slots[i]
		if len(s.Dims) == 0 {
			continue
		}
		try := w.with(frame, s, low(s))
		if a := w.ask(Step{Slots: try, Say: fmt.Sprintf("slot %d, the master, at %d", s.Coarse, low(s)), Ask: "Does anything shine? what", Wants: Light}); len(a.Lights) > 0 {
			w.report.add(s.Coarse, "it is full at %d and dark at %d: upside down, which a type cannot say; leave the slot at %d by hand, or use another mode", low(s), w.full(s), low(s))
			w.mine[-1] = a.Lights
			return nil
		}
	}
	for i := range w.mode.Slots {
		s := &w.mode.Slots[i]
		if s.Drives != "" || len(s.Dims) > 0 || len(s.Ranges) == 0 {
			continue
		}
		if try := w.tried(frame, s, candidates(s)); try != nil {
			return try
		}
		rest := others(s)
		if len(rest) == 0 || w.err != nil {
			continue
		}
		if w.agreed = w.agreed || w.ask(Step{Slots: w.send(), Say: fmt.Sprintf("next, slot %d is tried at values at which it may flash. ", s.Coarse) + caution, Ask: "Go on with that?", Wants: YesNo}).Yes; w.agreed {
			if try := w.tried(frame, s, rest); try != nil {
				return try
			}
		}
	}
	w.closed = true
	w.report.add(0, "nothing made it shine: look at its address, its mode on the display, its data cable, and whether it has power")
	return nil
}

// tried tries values of a shutter until it shines steadily; nil where none does it.
func (w *walk) tried(frame []byte, s *rig.Slot, values []int) []byte {
	for _, v := range values {
		try := w.with(frame, s, v)
		a := w.ask(Step{Slots: try, Say: fmt.Sprintf("slot %d at %d", s.Coarse, v), Ask: "Does anything shine? what. It may flash: look aside", Wants: Light})
		if w.err != nil {
			return nil
		}
		if len(a.Lights) > 0 && !a.Flashes {
			w.report.open(s, v)
			w.mine[-1] = a.Lights
			return try
		}
	}
	return nil
}

// others are the values that are tried last, from the top down: where the table has flashing.
func others(s *rig.Slot) (out []int) {
	for _, v := range []int{255, 250, 240, 224, 208, 192, 160, 128, 96, 64} {
		if r := s.At(v); r != nil && (r.Does == rig.Flash || r.Does == rig.FlashRandom) {
			out = append(out, v)
		}
	}
	return out
}

// candidates are values at which a shutter that is dark at rest may be open: the ends, then
// other ranges that should be steady, then the flash ranges' ends.
func candidates(s *rig.Slot) (out []int) {
	add := func(v int) {
		if r := s.At(v); v != s.Rest() && !slices.Contains(out, v) && (r == nil || r.Does != rig.Never && !fast(s, v)) {
			out = append(out, v)
		}
	}
	for i := range s.Ranges {
		if r := &s.Ranges[i]; r.Does == rig.Open || r.Does == rig.Closed {
			add((r.From + r.To) / 2)
			add(r.To)
			add(r.From)
		}
	}
	for _, v := range []int{255, 0, 8, 16, 32} {
		add(v)
	}
	return out
}

// slowEnough is how many flashes a second are shown without being asked about twice (WCAG
// 2.2, success criterion 2.3.1: not more than three).
const slowEnough = 3

func fast(s *rig.Slot, v int) bool {
	r := s.At(v)
	return r != nil && (r.Does == rig.Flash || r.Does == rig.FlashRandom) && r.Fastest(v) > slowEnough
}
