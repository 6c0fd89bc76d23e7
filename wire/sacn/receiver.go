package sacn

import (
	"bytes"
	"slices"
	"time"
)

// Receiver keeps what the sources of a network say and decides whose levels
// count: those of the sources with the highest priority (clause 6.2.3); among
// several of one priority the highest level of each slot, which the standard
// leaves to the receiver. The zero value is ready. A Receiver belongs to one
// goroutine.
type Receiver struct {
	universes map[uint16][]*Source
}

// Source is a component that sends a universe, as a Receiver knows it.
type Source struct {
	CID      [16]byte
	Name     string
	Priority byte
	Preview  bool
	Slots    []byte
	Heard    time.Time // when its last packet was taken
	sequence byte
}

// maxSources bounds what a hostile network can make a receiver remember of each
// universe.
const maxSources = 256

// Take takes a data packet that arrived at now and reports whether it counts:
// not when it came too late (clause 6.7.2), has another START code than that
// of levels, or was the source's last.
func (r *Receiver) Take(d Data, now time.Time) bool {
	if d.Start != 0 {
		return false
	}
	if r.universes == nil {
		r.universes = map[uint16][]*Source{}
	}
	r.forget(d.Universe, now)
	list := r.universes[d.Universe]
	i := slices.IndexFunc(list, func(s *Source) bool { return s.CID == d.CID })
	switch {
	case i >= 0 && !Accept(list[i].sequence, d.Sequence):
		return false
	case d.Terminated: // data loss at once (clause 6.7.1)
		if i >= 0 {
			r.universes[d.Universe] = slices.Delete(list, i, i+1)
		}
		return false
	case i < 0 && len(list) >= maxSources:
		return false
	case i < 0:
		list = append(list, &Source{CID: d.CID})
		i = len(list) - 1
		r.universes[d.Universe] = list
	}
	s := list[i]
	s.Name, s.Priority, s.Preview, s.sequence, s.Heard = d.Source, d.Priority, d.Preview, d.Sequence, now
	s.Slots = append(s.Slots[:0], d.Slots...)
	return true
}

// forget drops the sources of a universe that were lost.
func (r *Receiver) forget(universe uint16, now time.Time) {
	r.universes[universe] = slices.DeleteFunc(r.universes[universe], func(s *Source) bool { return now.Sub(s.Heard) > DataLoss })
}

// Sources returns who sends a universe, the highest priority first. The
// sources are valid until the next call of Take.
func (r *Receiver) Sources(universe uint16, now time.Time) []*Source {
	if r.universes == nil {
		return nil
	}
	r.forget(universe, now)
	list := slices.Clone(r.universes[universe])
	slices.SortFunc(list, func(a, b *Source) int {
		if a.Priority != b.Priority {
			return int(b.Priority) - int(a.Priority)
		}
		return bytes.Compare(a.CID[:], b.CID[:])
	})
	return list
}

// Levels appends the levels of a universe to dst: none when all sources are
// lost.
func (r *Receiver) Levels(dst []byte, universe uint16, now time.Time) []byte {
	start := len(dst)
	list := r.Sources(universe, now)
	for _, s := range list {
		if s.Priority < list[0].Priority || s.Preview {
			continue
		}
		for len(dst)-start < len(s.Slots) {
			dst = append(dst, 0)
		}
		for i, v := range s.Slots {
			dst[start+i] = max(dst[start+i], v)
		}
	}
	return dst
}
