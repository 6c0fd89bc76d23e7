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

// MIDI returns the recalls as a Standard MIDI File of 1 ms ticks, to lay beside the
// soundtrack at its zero. Cue points carry the numbers of the cues. A note is let go
// after 50 ms, or half way to the next recall where that is sooner, so that no note is
// still down when it comes again.
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

// WriteReport writes what is lost, worst first. Harm is given in one number to compare
// desks by, and by its causes to see what would help.
func (p *Plan) WriteReport(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	used := 0
	for _, s := range p.Slots {
		if len(s.Addresses) > 0 {
			used++
		}
	}
	fmt.Fprintf(t, "%s on %s: %d of %s, %d of %s, %s\n", p.Show.Bill.Title, p.Desk.Name,
		used, count(p.Desk.Slots, "slot"), len(p.Scenes), count(p.Desk.Scenes, "scene"), count(len(p.Recalls), "recall"))
	fmt.Fprintf(t, "harm %.1f (CIEDE2000 times seconds): looks that have the scene of another %.1f, fades %.1f, late %.1f, shared slots and units off %.1f\n",
		p.Harm, p.by(shared), p.by(fades), p.by(waits), p.by(off))
	fmt.Fprintf(t, "before slots are shared, looks that have the scene of another cost %.1f, and no choice of as many costs less than %.1f\n", p.Standing, p.AtLeast)
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
