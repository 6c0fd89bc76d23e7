package manual

import (
	"fmt"
	"slices"
	"strings"
)

// gather finds what kinds of light there are, in slots and in words alone.
func (o *Reading) gather(r *rows) {
	add := func(e string) {
		if e != "" && !slices.Contains(o.Emitters, e) {
			o.Emitters = append(o.Emitters, e)
		}
	}
	colours := false
	for i := range o.Modes {
		for _, s := range o.Modes[i].Slots {
			add(s.Drives)
			for _, d := range s.Dims {
				if d != "all" && d != "not" {
					add(d)
				}
			}
			o.Cells = max(o.Cells, s.Cell)
			colours = colours || s.Drives != "" || s.kind == running && slices.ContainsFunc(s.told, func(m marked) bool { return len(emitters(has(scan(m.text)))) > 0 })
		}
	}
	var named []sense
	for _, t := range r.titles {
		if isLight(t.senses) && t.slip == "" && !t.glued && len(t.text) > 1 {
			named = append(named, t.senses...)
		}
	}
	named = emitters(slices.Compact(named))
	if slices.Contains(o.Emitters, "warm white") && slices.Contains(o.Emitters, "cold white") {
		named = slices.DeleteFunc(named, func(e sense) bool { return e == "white" }) // what the two make
	}
	o.only(named, colours, r)
	for _, e := range named {
		if e == "violet" {
			e = "uv"
		}
		if colours || len(o.Emitters) == 0 {
			add(string(e))
		}
	}
}

// only gives a lamp with one kind of light, which the text names and no slot does, to its
// dimmer.
func (o *Reading) only(named []sense, colours bool, r *rows) {
	if colours && (len(o.Emitters) != 1 || len(named) > 1) {
		return
	}
	uv, white := false, false
	for _, list := range append([][]token{r.titles}, r.notes...) {
		for _, t := range list {
			uv = uv || t.is("uv") && t.slip == ""
			white = white || t.is("white") && t.slip == ""
		}
	}
	for _, p := range r.plans {
		for _, e := range p.entries {
			uv = uv || hasSense(e.toks, "uv")
		}
	}
	light := ""
	switch {
	case colours:
		light = o.Emitters[0]
	case uv && !white:
		light = "uv"
	case len(named) == 1 && named[0] != "violet":
		light = string(named[0])
	}
	o.pack(hasSense(r.titles, "dim"))
	for i := range o.Modes {
		m := &o.Modes[i]
		dims := 0
		for k := range m.Slots {
			if s := &m.Slots[k]; light != "" && s.kind == unclear && s.Cell > 0 && len(s.Ranges) <= 1 { // "left half"
				s.kind, s.Dims, s.Ranges, s.told, s.ask = dimming, []string{"all"}, nil, nil, nil
			}
			if len(m.Slots[k].Dims) > 0 {
				dims++
			}
		}
		if slices.ContainsFunc(m.Slots, func(s Slot) bool { return s.Drives != "" }) {
			continue
		}
		for k := range m.Slots {
			s := &m.Slots[k]
			switch {
			case len(s.Dims) == 0:
			case light != "" && (dims == 1 || s.Cell > 0):
				s.Drives, s.Dims = light, nil
			case dims > 1 && s.Cell > 0 && light == "":
				s.Drives, s.Dims = "lamp", nil
			}
			if s.Drives != "" && !slices.Contains(o.Emitters, s.Drives) {
				o.Emitters = append(o.Emitters, s.Drives)
			}
			if s.Drives != "" {
				o.Cells = max(o.Cells, s.Cell)
			}
		}
	}
	if light != "" && !slices.Contains(o.Emitters, light) && len(o.Modes) > 0 {
		o.Emitters = append(o.Emitters, light)
	}
}

// outlets are words for what a dimmer pack, or a lamp of several, has a slot for each of.
var outlets = []string{"output", "outlet", "lamp", "circuit", "zone", "ausgang", "lampe", "sortie", "salida", "blinder", "load", "dose", "steckdose", "birne", "bulb", "eye", "socket", "plug", "presa", "uscita", "prise", "toma", "uitgang", "stopcontact"}

// pack makes slots that are called by such a word and a letter or a number, two or more, dimmers
// of a lamp each; in a text about dimmers all that are called alike.
func (o *Reading) pack(dimmers bool) {
	for i := range o.Modes {
		m := &o.Modes[i]
		var list []*Slot
		for k := range m.Slots {
			s := &m.Slots[k]
			n := nonBreaks(s.words)
			if s.kind != unclear || len(n) == 0 || len(s.Ranges) > 1 {
				continue
			}
			if slices.Contains(outlets, fold(n[0].text)) || dimmers && len(n) <= 2 {
				list = append(list, s)
			}
		}
		if len(list) < 2 {
			continue
		}
		for k, s := range list {
			s.kind, s.Dims, s.Cell, s.Ranges, s.told, s.ask = dimming, []string{"all"}, k+1, nil, nil, nil
		}
	}
}

// repeats gives slots that drive the same lights over and over, as of left and right, the
// cells in their order.
func (m *Mode) repeats() {
	var list []*Slot
	count := map[string]int{}
	for i := range m.Slots {
		if s := &m.Slots[i]; s.Drives != "" {
			if s.Cell > 0 {
				return
			}
			list = append(list, s)
			count[s.Drives]++
		}
	}
	period := len(count)
	if period == 0 || len(list) <= period {
		return
	}
	for i, s := range list {
		if len(list)%period != 0 || s.Drives != list[i%period].Drives {
			s.ask = append(s.ask, fmt.Sprintf("%s stands on several slots: of which part of the lamp is each?", s.Drives))
			return
		}
	}
	for i, s := range list {
		s.Cell = i/period + 1
	}
	list[0].ask = append(list[0].ask, fmt.Sprintf("its lights stand %d times: they are taken for cells 1 to %d", len(list)/period, len(list)/period))
}

func (m *Mode) cells() (n int) {
	for i := range m.Slots {
		if m.Slots[i].Drives != "" {
			n = max(n, m.Slots[i].Cell)
		}
	}
	return n
}

// leaveOut takes what no master dims, as its own line or a note says, out of masters of
// all.
func (o *Reading) leaveOut(m *Mode) {
	var out []string
	for _, s := range m.Slots {
		if s.apart || s.Drives == "uv" && o.uvApart {
			out = append(out, s.Drives)
		}
	}
	for i := range m.Slots {
		if s := &m.Slots[i]; len(out) > 0 && slices.Equal(s.Dims, []string{"all"}) {
			s.Dims = append([]string{"not"}, out...)
		}
	}
}

// mastered takes the lights of which a note says that the master acts on them only: "master acts on white only".
func (o *Reading) mastered(r *rows) {
	for _, n := range r.notes {
		light := emitters(has(n))
		if len(light) == 0 || !hasSense(n, "only") || !hasSense(n, "dim", "master") || hasSense(n, "not") || slices.ContainsFunc(n, func(t token) bool { return t.kind == isSlots || t.kind == isCount || t.kind == isRange }) {
			continue
		}
		for i := range o.Modes {
			for j := range o.Modes[i].Slots {
				s := &o.Modes[i].Slots[j]
				if !slices.Equal(s.Dims, []string{"all"}) {
					continue
				}
				s.Dims = nil
				for _, l := range light {
					s.Dims = append(s.Dims, string(l))
				}
			}
		}
	}
}

// uvNote tells whether a note says that ultraviolet follows no master.
func uvNote(notes [][]token) bool {
	for _, n := range notes {
		words := textOf(n)
		if hasSense(n, "uv") && hasSense(n, "not") && (hasSense(n, "dim", "master") || slices.ContainsFunc(n, func(t token) bool { return t.kind == isSlots }) || strings.Contains(words, "follow") || strings.Contains(words, "affect")) {
			return true
		}
	}
	return false
}

// exclude writes out a master of all but some, and one that names the slots which it dims.
func (s *Slot) exclude(m *Mode) {
	if slices.Equal(s.Dims, []string{"all"}) && s.of != nil {
		var of []string
		for i := range m.Slots {
			if o := &m.Slots[i]; o.Drives != "" && slices.Contains(s.of, o.Coarse) && !slices.Contains(of, o.Drives) {
				of = append(of, o.Drives)
			}
		}
		if of != nil {
			s.Dims = of
		}
	}
	if slices.Equal(s.Dims, []string{"all"}) && s.but != nil {
		for i := range m.Slots {
			if o := &m.Slots[i]; o.Drives != "" && slices.Contains(s.but, o.Coarse) {
				s.Dims = append(s.Dims, o.Drives)
			}
		}
		if s.Dims[0] = "not"; len(s.Dims) == 1 {
			s.Dims[0] = "all"
		}
	}
	if len(s.Dims) == 0 || s.Dims[0] != "not" {
		return
	}
	out := s.Dims[1:]
	s.Dims = nil
	for i := range m.Slots {
		if d := m.Slots[i].Drives; d != "" && !slices.Contains(out, d) && !slices.Contains(s.Dims, d) {
			s.Dims = append(s.Dims, d)
		}
	}
	if len(s.Dims) == 0 {
		s.Dims = []string{"all"}
	}
}
