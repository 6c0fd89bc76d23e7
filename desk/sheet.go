package desk

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"lampblack/room"
	"lampblack/si"
)

// enoughUp is the light to find a way out by, in lux: 1 fc, IBC 1008.2.1 at the
// walking surface (a model code; local codes differ).
const enoughUp = 10.764

// WriteSheet writes the programming sheet: what people see by, what to switch off and
// to address anew before anything else, what each slot feeds, then scene by scene, in
// the order that moves the fewest faders, what to set. Somebody stands at the desk with
// it in one hand: what must come first is first, and each scene says only what to move.
func (p *Plan) WriteSheet(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintf(t, "%s on %s: programming sheet\n", p.Show.Bill.Title, p.Desk.Name)
	p.writeUp(t)
	p.writeFirst(t)
	t.Flush()
	fmt.Fprint(t, "\nslots\n")
	for _, s := range p.Slots {
		if len(s.Addresses) == 0 {
			continue
		}
		number, to := fmt.Sprintf("slot %d", s.Number), "to address "+numbers(s.Addresses)
		for _, line := range wrapped(s.Feeds, 64) {
			fmt.Fprintf(t, "%s\t%s\t%s\n", number, to, line)
			number, to = "", ""
		}
	}
	t.Flush()
	if p.Desk.Fade.Kind == FadeOneTime {
		fmt.Fprintf(t, "\nset the fade time to %s\n", short(p.Fade))
	}
	fmt.Fprintf(t, "\n%s, %s, from all faders down\n", count(len(p.Scenes), "scene"), count(p.Moves, "fader move"))
	for i, n := range p.Order {
		p.writeScene(t, i, &p.Scenes[n])
	}
	return t.Flush()
}

// Up tells what lights up brings through the desk, in lux: the mean of the
// floor, and the least of it and of any point of a path, with the path's name.
func (p *Plan) Up() (mean, least float64, where string) {
	levels := p.hand().shown
	mean = p.floorLux(levels)
	least, where = mean, "the floor"
	t := p.Show.Transport
	for _, path := range p.Show.Room.Paths {
		for _, place := range t.Find(path.Name) {
			if v := t.Reading(place, room.Photopic, levels); v < least {
				least, where = v, "path "+path.Name
			}
		}
	}
	return mean, least, where
}

// First says what is stored before anything else: the light that people leave by.
func (p *Plan) First() string {
	s := p.hand()
	return "lights up is " + p.place(s) + ", " + s.recall() + ": store it first and try it"
}

// Caution says that lights up is too little to see by, "" where it is enough.
func (p *Plan) Caution() string {
	mean, least, where := p.Up()
	if least >= enoughUp {
		return ""
	}
	text := "lights up gives " + si.Say(mean, "lx") + " on the floor on the mean"
	if least < mean {
		text += ", and " + si.Say(least, "lx") + " at the darkest point of " + where
	}
	return text + ".\nA way out wants " + si.Say(enoughUp, "lx") + ". Have house light that does not hang on this desk, and somebody at it."
}

// hand returns the scene of lights up.
func (p *Plan) hand() *Scene {
	return &p.Scenes[slices.IndexFunc(p.Scenes, func(s Scene) bool { return s.hand })]
}

// writeUp says where lights up is, and calls out first when it is too little to
// see by.
func (p *Plan) writeUp(w io.Writer) {
	if too := p.Caution(); too != "" {
		fmt.Fprintf(w, "\nCAUTION: %s\n", too)
	}
	fmt.Fprintf(w, "\n%s\n", p.First())
}

// writeFirst lists what to do to the units before the desk sends anything.
func (p *Plan) writeFirst(w io.Writer) {
	if len(p.Off)+len(p.Readdressed) == 0 {
		return
	}
	fmt.Fprint(w, "\nbefore the desk is connected\n")
	for _, o := range p.Off {
		fmt.Fprintf(w, "switch off %s at the mains: %s\n", o.Unit, o.Why)
		if len(o.Feeds) > 0 {
			fmt.Fprintf(w, "    feed %s from elsewhere, whose power comes through %s\n", strings.Join(o.Feeds, ", "), o.Unit)
		}
	}
	for _, r := range p.Readdressed {
		fmt.Fprintf(w, "set %s from address %d to address %d\n", r.Unit, r.From, r.To)
	}
}

// place says which scene of the desk it is.
func (p *Plan) place(s *Scene) string {
	if p.Desk.Banks <= 1 {
		return fmt.Sprintf("scene %d", s.Number)
	}
	return fmt.Sprintf("scene %d (bank %d, place %d)", s.Number, s.Bank, s.Place)
}

func (s *Scene) recall() string {
	if s.Trigger == nil {
		return "by hand"
	}
	return s.Trigger.String()
}

func (p *Plan) writeScene(w *tabwriter.Writer, i int, s *Scene) {
	fmt.Fprintf(w, "\n%s  %s  %s\n", p.place(s), s.Name, s.recall())
	var parts []string
	for _, c := range p.Changes(i) {
		parts = append(parts, fmt.Sprintf("%d at %s", c.Slot, p.Desk.Level(c.To)))
	}
	if len(parts) == 0 {
		parts = []string{"nothing to move"}
	}
	for _, line := range wrapped(strings.Join(parts, ", "), 90) {
		fmt.Fprintf(w, "    %s\n", line)
	}
	if p.Desk.Fade.Kind == FadeEachScene {
		fmt.Fprintf(w, "    fade %s\n", short(s.Fade))
	}
}

// wrapped cuts a list with commas into lines of at most so many letters, the comma at
// their end aside. A part that is longer by itself stays whole.
func wrapped(text string, most int) []string {
	var out []string
	line := ""
	for part := range strings.SplitSeq(text, ", ") {
		if line != "" && len(line)+2+len(part) > most {
			out = append(out, line+",")
			line = ""
		}
		if line != "" {
			line += ", "
		}
		line += part
	}
	return append(out, line)
}

func numbers(list []int) string {
	var parts []string
	for i := 0; i < len(list); {
		j := i
		for j+1 < len(list) && list[j+1] == list[j]+1 {
			j++
		}
		if j > i+1 {
			parts = append(parts, fmt.Sprintf("%d to %d", list[i], list[j]))
		} else {
			parts = append(parts, fmt.Sprint(list[i]))
			j = i
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}
