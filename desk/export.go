package desk

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"lampblack/si"
	"lampblack/wire/midi"
)

// noteLength is how long a recalling note is held: desks act on its beginning.
const noteLength = 50 * time.Millisecond

// MIDI returns the recalls as a Standard MIDI File of 1 ms ticks, to lay beside
// the soundtrack at its zero. Cue points carry the numbers of the cues.
func (p *Plan) MIDI() *midi.File {
	f := midi.NewFile(1)
	f.Add(0, 0, midi.TrackName(p.Show.Bill.Title+" on "+p.Desk.Name))
	last := -1
	for i, r := range p.Recalls {
		t := p.Scenes[r.Scene].Trigger
		if t == nil {
			continue
		}
		if r.Cue != last {
			f.Add(0, r.At, midi.CuePoint("cue "+p.Show.Cues[r.Cue].Number.Name))
			last = r.Cue
		}
		if t.Program {
			f.Add(0, r.At, midi.Program(byte(t.Channel-1), byte(t.Number)))
			continue
		}
		length := noteLength
		if i+1 < len(p.Recalls) {
			length = min(length, (p.Recalls[i+1].At-r.At)/2)
		}
		f.Add(0, r.At, midi.NoteOn(byte(t.Channel-1), byte(t.Number), 100))
		f.Add(0, r.At+length, midi.NoteOff(byte(t.Channel-1), byte(t.Number)))
	}
	return f
}

// Change is one fader to move while programming.
type Change struct {
	Slot int
	To   byte
}

// Changes lists the faders to move before the i-th scene of Order is stored,
// from where they stood for the one before; before the first all are down.
func (p *Plan) Changes(i int) []Change {
	before := make([]byte, p.Desk.Slots)
	if i > 0 {
		before = p.Scenes[p.Order[i-1]].Values
	}
	var out []Change
	for n, v := range p.Scenes[p.Order[i]].Values {
		if v != before[n] {
			out = append(out, Change{n + 1, v})
		}
	}
	return out
}

// Level writes a slot value on the desk's own scale.
func (d *Desk) Level(v byte) string {
	if d.Faders == ScalePercent {
		return fmt.Sprintf("%.0f %%", float64(v)/255*100)
	}
	return fmt.Sprint(v)
}

// WriteSheet writes the programming sheet: what each slot feeds, then scene by
// scene, in the order that moves the fewest faders, what to set.
func (p *Plan) WriteSheet(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintf(t, "%s on %s: programming sheet\n\n", p.Show.Bill.Title, p.Desk.Name)
	for _, r := range p.Readdressed {
		fmt.Fprintf(t, "set %s\tfrom address %d\tto address %d\n", r.Unit, r.From, r.To)
	}
	if len(p.Readdressed) > 0 {
		fmt.Fprintln(t)
	}
	for _, s := range p.Slots {
		if len(s.Addresses) > 0 {
			fmt.Fprintf(t, "slot %d\tto address %s\t%s\n", s.Number, numbers(s.Addresses), s.Feeds)
		}
	}
	if p.Desk.Fade.Kind == FadeOneTime {
		fmt.Fprintf(t, "\nset the fade time to %s\n", short(p.Fade))
	}
	fmt.Fprintf(t, "\n%d scenes, %d fader moves, from all faders down:\n", len(p.Scenes), p.Moves)
	for i, n := range p.Order {
		p.writeScene(t, i, &p.Scenes[n])
	}
	return t.Flush()
}

func (p *Plan) writeScene(w io.Writer, i int, s *Scene) {
	recall := "by hand"
	if s.Trigger != nil {
		recall = s.Trigger.String()
	}
	fmt.Fprintf(w, "\nscene %d (bank %d, place %d)\t%s\t%s\n", s.Number, s.Bank, s.Place, s.Name, recall)
	var parts []string
	for _, c := range p.Changes(i) {
		parts = append(parts, fmt.Sprintf("%d at %s", c.Slot, p.Desk.Level(c.To)))
	}
	if len(parts) == 0 {
		parts = []string{"nothing to move"}
	}
	fmt.Fprintf(w, "\t%s\n", strings.Join(parts, ", "))
	if p.Desk.Fade.Kind == FadeEachScene {
		fmt.Fprintf(w, "\tfade %s\n", short(s.Fade))
	}
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

// WriteReport writes what is lost, worst first.
func (p *Plan) WriteReport(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	used := 0
	for _, s := range p.Slots {
		if len(s.Addresses) > 0 {
			used++
		}
	}
	fmt.Fprintf(t, "%s on %s: %d of %d slots, %d of %d scenes, %d recalls\n", p.Show.Bill.Title, p.Desk.Name,
		used, p.Desk.Slots, len(p.Scenes), p.Desk.Scenes, len(p.Recalls))
	fmt.Fprintf(t, "harm %.1f (CIEDE2000 times seconds): looks for which another stands %.1f (no choice has less than %.1f), fades %.1f, shared slots the rest\n",
		p.Harm, p.Standing, p.AtLeast, p.Chosen-p.Standing)
	if len(p.Losses) > 0 {
		fmt.Fprintf(t, "\nharm\tat\tcues\twhat is lost\n")
	}
	for _, l := range p.Losses {
		at := "-"
		if len(l.Cues) > 0 {
			at = si.FormatTime(l.From)
		}
		fmt.Fprintf(t, "%.2f\t%s\t%s\t%s\n", l.Harm, at, strings.Join(l.Cues, " "), l.Text)
	}
	return t.Flush()
}
