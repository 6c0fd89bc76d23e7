package show

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"lampblack/play/line"
	"lampblack/rig"
	"lampblack/source"
)

// TriggersFile names what may start something besides a hand at the controls; a show
// may do without.
const TriggersFile = "triggers.yaml"

// Triggers is the text of triggers.yaml.
type Triggers struct {
	source.Pos
	Triggers source.Named[Trigger] `key:"triggers"`
	Inside   source.Named[Inside]  `key:"inside"` // places whose people are counted, by name
	// Faders trim systems for tonight, by their names: lines as line.ParseFader reads them.
	Faders source.Named[source.Ref] `key:"faders"`

	faders []Fader
}

// Fader is a fader of a MIDI controller and the system that it trims.
type Fader struct {
	System string
	line.Fader
}

// Moves lists the faders that could be read.
func (t *Triggers) Moves() []Fader { return t.faders }

// checkFaders reads the faders' lines.
func (t *Triggers) checkFaders(faults *source.Faults) {
	if len(t.Faders) > mostTriggers {
		faults.Add(t.Pos, "", "%d faders are more than the %d of one show", len(t.Faders), mostTriggers)
		t.Faders = t.Faders[:mostTriggers]
	}
	for _, e := range t.Faders {
		f, err := line.ParseFader(e.Value.Name)
		if err != nil {
			faults.Add(e.Value.Pos, `as "controller /dev/snd/midiC1D0 number 7 channel 1"`, "the fader of %s cannot be read: %v", e.Name, err)
			continue
		}
		t.faders = append(t.faders, Fader{e.Name, f})
	}
}

// checkSystems finds faders of systems that the rig has not.
func (t *Triggers) checkSystems(r *rig.Rig, faults *source.Faults) {
	for _, e := range t.Faders {
		if !slices.Contains(r.Systems(), e.Name) {
			faults.Add(e.Pos, source.OneOf(e.Name, r.Systems()), "there is no system %q for a fader", e.Name)
		}
	}
}

// Trigger is what one trigger listens to, and which of its closings count.
type Trigger struct {
	source.Pos
	Source   source.Ref    `key:"source,required"` // a line, as line.ParseTrigger reads it
	Debounce time.Duration `key:"debounce"`        // the contact must be steady for so long
	Rearm    time.Duration `key:"re-arm"`          // after it fired it is deaf for so long
	Dwell    time.Duration `key:"dwell"`           // it must last for so long before it counts

	line *line.Trigger // nil when it could not be read
}

// From is what the trigger listens to; ok is false when its source does not read.
func (t *Trigger) From() (l line.Trigger, ok bool) {
	if t.line == nil {
		return line.Trigger{}, false
	}
	return *t.line, true
}

// Inside is a place that is entered past one trigger and left past another; the
// difference is who is inside.
type Inside struct {
	source.Pos
	Enters source.Ref `key:"enters,required"`
	Leaves source.Ref `key:"leaves,required"`
}

// Bounds of triggers: contacts of a museum of many rooms, switches that rattle for half
// a second, and a gate that opens once an hour.
const (
	mostTriggers    = 200
	mostInside      = 100
	longestDebounce = 10 * time.Second
	longestRearm    = 24 * time.Hour
	longestDwell    = time.Hour
)

// sourceHint shows what lines look like.
const sourceHint = `as "page", "key f5", "pins /dev/ttyUSB0 carrier", "gpio gpiochip0 line 17 active low", "osc 9000 /door", "notes /dev/snd/midiC1D0 note 60" or "e131 universe 7 slot 12 above 128"`

// readTriggers reads the triggers of a show, nil when it has none.
func readTriggers(dir fs.FS, text reader, faults *source.Faults) *Triggers {
	if _, err := fs.Stat(dir, TriggersFile); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	data, ok := text(dir, TriggersFile, faults)
	if !ok {
		return nil
	}
	t := &Triggers{Pos: source.Pos{File: TriggersFile, Line: 1, Column: 1}} // where an empty file begins
	*faults = append(*faults, source.Decode(TriggersFile, data, t)...)
	if len(t.Triggers) > mostTriggers {
		faults.Add(t.Pos, "", "%d triggers are more than the %d of one show", len(t.Triggers), mostTriggers)
		t.Triggers = t.Triggers[:mostTriggers]
	}
	if len(t.Inside) > mostInside {
		faults.Add(t.Pos, "", "%d places whose people are counted are more than the %d of one show", len(t.Inside), mostInside)
		t.Inside = t.Inside[:mostInside]
	}
	for i := range t.Triggers {
		if e := &t.Triggers[i]; e.Value.Pos.Line == 0 {
			faults.Add(e.Pos, sourceHint, "trigger %q names no source", e.Name)
		} else {
			e.Value.check(e.Name, faults)
		}
	}
	t.checkSame(faults)
	t.checkFaders(faults)
	for i := range t.Inside {
		if e := &t.Inside[i]; e.Value.Pos.Line == 0 {
			faults.Add(e.Pos, "{enters: beam a, leaves: beam b}", "place %q names no triggers", e.Name)
		} else {
			e.Value.check(e.Name, t.Triggers, faults)
		}
	}
	if len(t.Triggers) == 0 && len(t.Faders) == 0 {
		faults.Add(t.Pos, "give each a name and a source: {start: {source: page}}", "there are no triggers")
	}
	return t
}

// check finds what is wrong with a trigger by itself.
func (t *Trigger) check(name string, faults *source.Faults) {
	if t.Source.Name != "" {
		t.read(name, faults)
	}
	for _, span := range []struct {
		key  string
		time *time.Duration
		most time.Duration
	}{{"debounce", &t.Debounce, longestDebounce}, {"re-arm", &t.Rearm, longestRearm}, {"dwell", &t.Dwell, longestDwell}} {
		if *span.time < 0 || *span.time > span.most {
			faults.Add(t.Pos, "", "the %s of trigger %q, %v, lies outside 0 to %v", span.key, name, *span.time, span.most)
			*span.time = 0
		}
	}
	if t.line == nil || !t.line.Instant() {
		return
	}
	if t.Debounce > 0 || t.Dwell > 0 {
		faults.Add(t.Pos, "leave debounce and dwell out; re-arm keeps it from firing twice", "trigger %q is pressed in an instant, which cannot be steady or last", name)
		t.Debounce, t.Dwell = 0, 0
	}
}

// read reads the source.
func (t *Trigger) read(name string, faults *source.Faults) {
	t.line = readSource(t.Source, fmt.Sprintf("trigger %q", name), sourceHint, faults)
}

// readSource reads what something listens to, nil for what cannot be read. Its faults stand where
// the line does.
func readSource(ref source.Ref, what, hint string, faults *source.Faults) *line.Trigger {
	l, err := line.ParseTrigger(ref.Name)
	if err == nil {
		return &l
	}
	why := strings.TrimPrefix(err.Error(), fmt.Sprintf("trigger %q: ", ref.Name))
	faults.Add(ref.Pos, hint, "the source of %s cannot be read: %s", what, strings.ReplaceAll(why, "\n", "; "))
	return nil
}

// checkSame finds triggers that listen for the very same thing: they would always fire
// together, and which of them was meant nobody could tell. Buttons of the page go by
// their triggers' names.
func (t *Triggers) checkSame(faults *source.Faults) {
	seen := map[line.Trigger]string{}
	held := map[line.Trigger]string{}
	for i := range t.Triggers {
		e := &t.Triggers[i]
		l, ok := e.Value.From()
		if !ok || l.Kind == "page" {
			continue
		}
		if other, twice := seen[l]; twice {
			faults.Add(e.Value.Source.Pos, "name one trigger in both places, or let one listen to something else", "trigger %q listens for the very same thing as trigger %q", e.Name, other)
			continue
		}
		seen[l] = e.Name
		if l.Kind != "gpio" {
			continue
		}
		// A line is asked for once, in one way.
		at := line.Trigger{Kind: l.Kind, Place: l.Place, Line: l.Line}
		first, twice := held[at]
		if !twice {
			held[at] = e.Name
			continue
		}
		if f, _ := t.Triggers.Get(first).From(); f.Low != l.Low || f.Pull != l.Pull {
			faults.Add(e.Value.Source.Pos, "a line has one of active and one of pull", "triggers %q and %q read line %d of %s in different ways", first, e.Name, l.Line, l.Place)
		}
	}
}

// check finds what is wrong with a place whose people are counted.
func (p *Inside) check(name string, triggers source.Named[Trigger], faults *source.Faults) {
	for _, r := range []source.Ref{p.Enters, p.Leaves} {
		if r.Name != "" && triggers.Get(r.Name) == nil {
			faults.Add(r.Pos, source.OneOf(r.Name, source.Names(triggers)), "there is no trigger %q", r.Name)
		}
	}
	if p.Enters.Name != "" && p.Enters.Name == p.Leaves.Name {
		faults.Add(p.Leaves.Pos, "two beams one behind the other tell in from out", "place %q is entered and left past one trigger, which cannot tell in from out", name)
	}
}
