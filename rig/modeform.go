package rig

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lampblack/source"
)

// maxFootprint is a whole universe.
const maxFootprint = 512

// ReadSource reads a slot table: slot numbers, or pairs "2-3" of coarse and
// fine, to what the slot does.
func (m *Mode) ReadSource(v source.Value) {
	m.Pos = v.Pos()
	v.Each(func(key source.Ref, v source.Value) {
		coarse, fine, err := slotNumbers(key.Name)
		if err != nil {
			v.Fault("write the slot's number, or coarse-fine as 2-3", "%v", err)
			return
		}
		s := Slot{Pos: key.Pos, Coarse: coarse, Fine: fine}
		s.read(v)
		m.Slots = append(m.Slots, s)
		m.Footprint = max(m.Footprint, coarse, fine)
	})
	slices.SortStableFunc(m.Slots, func(a, b Slot) int { return a.Coarse - b.Coarse })
}

// slotNumbers reads "7" or "2-3". The fine slot may stand anywhere, in front of the
// coarse one too: makers do both.
func slotNumbers(text string) (coarse, fine int, err error) {
	a, b, pair := strings.Cut(text, "-")
	coarse, err = strconv.Atoi(strings.TrimSpace(a))
	if pair && err == nil {
		fine, err = strconv.Atoi(strings.TrimSpace(b))
	}
	switch {
	case err != nil:
		return 0, 0, fmt.Errorf("%q is no slot number", text)
	case coarse < 1 || coarse > maxFootprint || fine > maxFootprint || pair && (fine < 1 || fine == coarse):
		return 0, 0, fmt.Errorf("slot %q lies outside 1 to %d", text, maxFootprint)
	}
	return coarse, fine, nil
}

// slotKeys are the keys of a slot that are words; the others are ranges.
var slotKeys = []string{"drives", "dims", "cell", "curve", "idle", "set"}

// read takes a slot apart, key by key, and then looks at what its keys come to.
func (s *Slot) read(v source.Value) {
	v.Each(func(key source.Ref, v source.Value) {
		switch key.Name {
		case "drives":
			v.Into(&s.Drives)
		case "dims":
			v.Into(&s.Dims)
		case "cell":
			v.Into(&s.Cell)
		case "curve":
			v.Into(&s.Curve)
		case "idle":
			v.Into(&s.Idle)
		case "set":
			v.Into(&s.Set)
		default:
			s.readRange(key, v)
		}
	})
	s.check(v)
	slices.SortStableFunc(s.Ranges, func(a, b Range) int { return a.From - b.From })
	s.overlaps(v)
}

// check finds keys that do not go together, or that come to nothing.
func (s *Slot) check(v source.Value) {
	if s.Drives != "" && len(s.Dims) > 0 {
		v.Fault("", "a slot either drives an emitter or dims others, not both")
	}
	if s.Set != nil && (*s.Set < 0 || *s.Set > 255) {
		v.Fault("", "the slot is set to %d, outside 0 to 255", *s.Set)
	}
	if s.Drives == "" && len(s.Dims) == 0 && s.Idle == "" && len(s.Ranges) == 0 {
		v.Fault("say what it drives, dims, or that it is idle, or give ranges", "the slot does nothing")
	}
}

// overlaps reports ranges that claim the same value; they are in order by then.
func (s *Slot) overlaps(v source.Value) {
	for i := 1; i < len(s.Ranges); i++ {
		if a, b := s.Ranges[i-1], s.Ranges[i]; b.From <= a.To {
			v.Fault("", "ranges %d-%d and %d-%d overlap", a.From, a.To, b.From, b.To)
		}
	}
}
