package bench

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
)

// Finding is what is otherwise on the lamp than the table says.
type Finding struct {
	Slot int    `json:"slot,omitempty"` // 0 where it is of the whole
	Text string `json:"text"`
}

// Report is what a walk came to.
type Report struct {
	Findings []Finding `json:"findings"`
	Changes  []string  `json:"changes"` // of the type, in words
	Left     []string  `json:"left"`    // what was not tried
	Back     float64   `json:"back"`    // seconds until it is as before, after its power was cycled

	kind   *rig.Type
	mode   *rig.Mode
	edits  []change
	lost   string // what it does without data, where that is new
	moved  int
	opened bool
}

// change is one of a slot in the file: keys to set, and keys to take out.
type change struct {
	slot *rig.Slot
	set  [][2]string
	gone []string
}

func (r *Report) add(slot int, format string, args ...any) {
	r.Findings = append(r.Findings, Finding{slot, fmt.Sprintf(format, args...)})
}

func (r *Report) has(slot int) bool {
	return slices.ContainsFunc(r.Findings, func(f Finding) bool { return f.Slot == slot })
}

func (r *Report) left(text string) { r.Left = append(r.Left, text) }

func (r *Report) changed(c change, format string, args ...any) {
	r.edits = append(r.edits, c)
	r.Changes = append(r.Changes, fmt.Sprintf("slot %d: ", c.slot.Coarse)+fmt.Sprintf(format, args...))
}

// settle drops changes of a lamp whose slots lie elsewhere: its table may be right.
func (r *Report) settle() {
	if r.moved != 0 {
		r.edits, r.Changes = nil, nil
	}
}

// drives gives a slot another light.
func (r *Report) drives(s *rig.Slot, light string) {
	r.changed(change{slot: s, set: [][2]string{{"drives", light}}}, "drives %s, not %s", light, s.Drives)
}

// nothing makes a slot one that does nothing here.
func (r *Report) nothing(s *rig.Slot) {
	gone := append([]string{"drives", "cell", "curve"}, rangeKeys(s)...)
	r.changed(change{slot: s, set: [][2]string{{"idle", "lights nothing"}}, gone: gone}, "is idle, no longer %s", s.Drives)
}

// never makes a slot one to keep out of.
func (r *Report) never(s *rig.Slot) {
	gone := append([]string{"drives", "dims", "cell", "curve", "idle"}, rangeKeys(s)...)
	r.changed(change{slot: s, set: [][2]string{{"0-255", "never"}}, gone: gone}, "is kept out of")
}

// rangeKeys are the keys of a slot's ranges as they are written with no blanks; readers of
// the file find others.
func rangeKeys(s *rig.Slot) (out []string) {
	for i := range s.Ranges {
		out = append(out, rangeKey(s.Ranges[i].From, s.Ranges[i].To))
	}
	return out
}

func rangeKey(from, to int) string {
	if from == to {
		return fmt.Sprint(from)
	}
	return fmt.Sprintf("%d-%d", from, to)
}

// dims gives a master the light that goes down with it.
func (r *Report) dims(w *walk, s *rig.Slot, still []string) {
	var list []string
	for _, i := range w.drives() {
		if d := w.mode.Slots[i].Drives; !slices.Contains(still, d) && !slices.Contains(list, d) {
			list = append(list, d)
		}
	}
	if len(list) == 0 {
		r.never(s)
		return
	}
	text := "[" + strings.Join(list, ", ") + "]"
	if len(still) == 0 {
		text = "all"
	}
	r.changed(change{slot: s, set: [][2]string{{"dims", text}}}, "dims %s", strings.Join(list, ", "))
}

// darkTo and fullFrom set the ends of a slot's curve.
func (r *Report) darkTo(s *rig.Slot, v int) {
	c := s.Curve
	c.DarkTo = v
	r.curve(s, c)
}

func (r *Report) fullFrom(s *rig.Slot, v int) {
	c := s.Curve
	for _, e := range r.edits { // an end that was found before
		if e.slot == s {
			for _, kv := range e.set {
				if kv[0] == "curve" {
					fmt.Sscanf(kv[1], "{dark to: %d", &c.DarkTo)
				}
			}
		}
	}
	c.FullFrom = v
	r.curve(s, c)
}

func (r *Report) curve(s *rig.Slot, c rig.Curve) {
	parts := []string{fmt.Sprintf("dark to: %d", c.DarkTo)}
	if c.Then != "" {
		parts = append(parts, "then: "+string(c.Then))
	}
	if c.FullFrom > 0 {
		parts = append(parts, fmt.Sprintf("full from: %d", c.FullFrom))
	}
	r.edits = slices.DeleteFunc(r.edits, func(e change) bool { return e.slot == s && len(e.set) == 1 && e.set[0][0] == "curve" })
	r.changed(change{slot: s, set: [][2]string{{"curve", "{" + strings.Join(parts, ", ") + "}"}}}, "light from %d on", c.DarkTo+1)
}

// exchange makes coarse fine, and fine coarse.
func (r *Report) exchange(s *rig.Slot) {
	r.edits = append(r.edits, change{slot: s, set: [][2]string{{"", fmt.Sprintf("%d-%d", s.Fine, s.Coarse)}}})
	r.Changes = append(r.Changes, fmt.Sprintf("slot %d is the coarse one, slot %d the fine one", s.Fine, s.Coarse))
}

// open makes the value at which a shutter let light through a range of its own: the range
// that it lies in is open, and that which the table called open is dark.
func (r *Report) open(s *rig.Slot, v int) {
	r.opened = true
	rest := s.At(s.Rest())
	at := s.At(v)
	r.add(s.Coarse, "it is dark at %d, where the table has it open, and open at %d", s.Rest(), v)
	c := change{slot: s}
	if rest != nil {
		c.set = append(c.set, [2]string{rangeKey(rest.From, rest.To), "closed"})
		rest.Does = rig.Closed
	}
	switch {
	case at == nil:
		c.set = append(c.set, [2]string{fmt.Sprint(v), "open"})
		s.Ranges = append(s.Ranges, rig.Range{From: v, To: v, Does: rig.Open})
		slices.SortFunc(s.Ranges, func(a, b rig.Range) int { return a.From - b.From })
	default:
		c.replace(at, []rig.Range{{From: at.From, To: v - 1, Does: rig.Never}, {From: v, To: v, Does: rig.Open}, {From: v + 1, To: at.To, Does: rig.Never}})
		if at.Does == rig.Closed || at.Does == rig.Open {
			c = change{slot: s, set: append(c.set[:min(1, len(c.set))], [2]string{rangeKey(at.From, at.To), "open"})}
			at.Does = rig.Open
		} else {
			at.Does = rig.Open
			at.From, at.To = v, v
		}
	}
	r.changed(c, "is open at %d", v)
}

// replace writes other ranges in the place of one.
func (c *change) replace(old *rig.Range, by []rig.Range) {
	c.gone = append(c.gone, rangeKey(old.From, old.To))
	for _, n := range by {
		if n.From <= n.To {
			c.set = append(c.set, [2]string{rangeKey(n.From, n.To), string(n.Does)})
		}
	}
}

// narrowed keeps of a range what is as it says, and out of the rest.
func (r *Report) narrowed(s *rig.Slot, of *rig.Range, lo, hi int) {
	c := change{slot: s}
	if lo > hi {
		c.set = [][2]string{{rangeKey(of.From, of.To), "never"}}
	} else {
		c.replace(of, []rig.Range{{From: of.From, To: lo - 1, Does: rig.Never}, {From: lo, To: hi, Does: of.Does}, {From: hi + 1, To: of.To, Does: rig.Never}})
	}
	r.changed(c, "is %s from %d to %d", of.Does, lo, hi)
}

// unflash keeps out of a range that does not flash.
func (r *Report) unflash(s *rig.Slot, of *rig.Range) {
	r.changed(change{slot: s, set: [][2]string{{rangeKey(of.From, of.To), "never"}}}, "%d-%d is kept out of", of.From, of.To)
}

// rate gives a range words in the place of rates that are not so.
func (r *Report) rate(s *rig.Slot, of *rig.Range, told rig.Told) {
	r.changed(change{slot: s, set: [][2]string{{rangeKey(of.From, of.To), string(of.Does) + " " + string(told)}}}, "%d-%d flashes, %s", of.From, of.To, told)
}

// loss notes what the lamp does without data.
func (r *Report) loss(word string) {
	is := map[string]rig.DataLoss{"hold": rig.LossHold, "dark": rig.LossDark, "program": rig.LossProgram}[word]
	if word == "skip" || word == "" {
		r.left("its data was not pulled")
		return
	}
	if is == r.kind.OnLoss {
		return
	}
	if r.kind.OnLoss != rig.LossUnknown {
		r.add(0, "without data it does this: %s; the type says %s", is, r.kind.OnLoss)
	}
	if is == rig.LossProgram {
		r.add(0, "without data it runs a program of its own, which may flash: look for a setting of it that holds or goes dark")
	}
	r.lost = string(is)
	r.Changes = append(r.Changes, "on data loss: "+string(is))
}
