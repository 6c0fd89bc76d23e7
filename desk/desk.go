package desk

import (
	"fmt"
	"time"

	"lampblack/show"
	"lampblack/source"
)

// Desk is the text of a desk's description. Zero means absent where the comment gives a
// value for that; Read fills it in.
type Desk struct {
	source.Pos
	Name     string        `key:"name,required"`
	Slots    int           `key:"slots,required"` // that a scene stores
	Patch    Patch         `key:"patch"`
	First    int           `key:"first address"` // of a fixed patch: where slot 1 goes; 1 when absent
	Universe int           `key:"universe"`      // that the desk feeds; 1 when absent
	Scenes   int           `key:"scenes,required"`
	Banks    int           `key:"banks"`       // equal ones; 1 when absent
	Recalls  []Recall      `key:"recalled by"` // how MIDI reaches the scenes
	Fade     Fade          `key:"fade"`
	Gap      time.Duration `key:"shortest gap"` // between two recalls
	Latency  show.Delay    `key:"latency"`      // from the recall to the light
	Faders   Scale         `key:"faders"`
	Notes    string        `key:"notes"`
}

// Patch says how a desk's slots reach the units.
type Patch string

// How a desk's slots reach the units: slot 1 is one address, slot 2 the next
// and so on; or each slot is sent to any addresses.
const (
	PatchFixed Patch = "fixed"
	PatchAny   Patch = "any"
)

// Choices lists the kinds of patch.
func (Patch) Choices() []string { return []string{string(PatchFixed), string(PatchAny)} }

// Recall is a row of MIDI messages that recall scenes, one after another.
type Recall struct {
	source.Pos
	Note    *int `key:"note"`    // first note of the row, 0 to 127; or:
	Program *int `key:"program"` // first program of the row, 0 to 127
	To      int  `key:"to"`      // the last
	Channel int  `key:"channel"` // MIDI channel, 1 to 16; 1 when absent
	Scene   int  `key:"scene"`   // that the first recalls; 1 when absent
}

// Fade says what the desk can do between two scenes.
type Fade struct {
	source.Pos
	Kind     FadeKind      `key:"kind"`
	Shortest time.Duration `key:"shortest"`
	Longest  time.Duration `key:"longest"`
}

// FadeKind names an ability to fade.
type FadeKind string

// Abilities to fade: scenes snap; all changes take one time, which is set
// before the show; every scene stores the time that it comes in over.
const (
	FadeNone      FadeKind = "none"
	FadeOneTime   FadeKind = "one time"
	FadeEachScene FadeKind = "each scene"
)

// Choices lists the abilities.
func (FadeKind) Choices() []string {
	return []string{string(FadeNone), string(FadeOneTime), string(FadeEachScene)}
}

// Scale is what is written beside the faders.
type Scale string

// Scales: slot values, or per cent.
const (
	ScaleSlots   Scale = "0 to 255"
	ScalePercent Scale = "per cent"
)

// Choices lists the scales.
func (Scale) Choices() []string { return []string{string(ScaleSlots), string(ScalePercent)} }

// Limits of a desk. Larger ones have no need of this package.
const (
	maxScenes = 2000
	maxSlots  = 512
)

// Read reads a desk's description.
func Read(file string, data []byte) (*Desk, source.Faults) {
	d := &Desk{Patch: PatchFixed, First: 1, Universe: 1, Banks: 1, Fade: Fade{Kind: FadeNone}, Faders: ScaleSlots}
	faults := source.Decode(file, data, d)
	if d.Pos.Line > 0 {
		d.check(&faults)
	}
	faults.Sort()
	return d, faults
}

// check brings what lies outside its range inside, and a row of recalls that cannot be
// is emptied (To below its first), so that all that follows may count on it.
func (d *Desk) check(faults *source.Faults) {
	inside := func(what string, v *int, low, high int) {
		if *v < low || *v > high {
			faults.Add(d.Pos, "", "%s of %d lies outside %d to %d", what, *v, low, high)
			*v = min(max(*v, low), high)
		}
	}
	inside("a number of slots", &d.Slots, 1, maxSlots)
	inside("a number of scenes", &d.Scenes, 1, maxScenes)
	inside("a number of banks", &d.Banks, 1, d.Scenes)
	inside("a first address", &d.First, 1, 512)
	inside("a universe", &d.Universe, 1, 63999)
	if d.Scenes%d.Banks != 0 {
		faults.Add(d.Pos, "", "%d scenes do not fill %d equal banks", d.Scenes, d.Banks)
		d.Banks = 1
	}
	if d.Gap < 0 || d.Gap > 10*time.Second {
		faults.Add(d.Pos, "", "a shortest gap of %v lies outside 0 to 10 s", d.Gap)
		d.Gap = 0
	}
	d.Fade.check(d.Pos, faults)
	if len(d.Recalls) == 0 {
		faults.Add(d.Pos, "recalled by: [{note: 36, to: 75}]", "the desk does not say what recalls its scenes")
	}
	for i := range d.Recalls {
		d.Recalls[i].check(d, faults)
	}
}

// check holds the fade to what can be. A desk that fades without limit does not exist;
// the longest is asked for since it decides which fades must snap.
func (f *Fade) check(at source.Pos, faults *source.Faults) {
	if f.Kind == "" {
		f.Kind = FadeNone
	}
	if f.Pos.Line > 0 {
		at = f.Pos
	}
	if f.Shortest < 0 || f.Longest < f.Shortest {
		faults.Add(at, "", "the fade runs from %v to %v", f.Shortest, f.Longest)
		f.Shortest, f.Longest = 0, 0
	}
	if f.Kind != FadeNone && f.Longest == 0 {
		faults.Add(at, "longest: 10 s", "the desk fades, but its longest fade is not given")
	}
}

// check holds the row to MIDI and to the scenes that the desk has. A row without a last
// message is of one.
func (r *Recall) check(d *Desk, faults *source.Faults) {
	if (r.Note == nil) == (r.Program == nil) {
		faults.Add(r.Pos, "note: 36, or program: 0", "the row should begin with either a note or a program")
		zero := 0
		r.Note, r.Program = &zero, nil
	}
	if r.Channel == 0 {
		r.Channel = 1
	}
	if r.Scene == 0 {
		r.Scene = 1
	}
	from := r.first()
	if r.To == 0 {
		r.To = from
	}
	if from < 0 || from > 127 || r.To < from || r.To > 127 || r.Channel < 1 || r.Channel > 16 {
		faults.Add(r.Pos, "notes and programs are 0 to 127, channels 1 to 16", "the row from %d to %d on channel %d is not in MIDI", from, r.To, r.Channel)
		r.To = from - 1
		return
	}
	if last := r.Scene + r.To - from; r.Scene < 1 || last > d.Scenes {
		faults.Add(r.Pos, "", "the row recalls scenes %d to %d of %d", r.Scene, last, d.Scenes)
		r.To = from - 1
	}
}

func (r *Recall) first() int {
	if r.Note != nil {
		return *r.Note
	}
	return *r.Program
}

// Trigger is the MIDI message that recalls a scene.
type Trigger struct {
	Program bool // a program change; otherwise a note
	Channel int  // 1 to 16
	Number  int  // note or program, 0 to 127
}

func (t Trigger) String() string {
	kind := "note"
	if t.Program {
		kind = "program"
	}
	return fmt.Sprintf("%s %d, channel %d", kind, t.Number, t.Channel)
}

// triggers returns what recalls each scene, by scene number less one; nil
// where only a hand does. The first row that reaches a scene wins.
func (d *Desk) triggers() []*Trigger {
	out := make([]*Trigger, d.Scenes)
	for _, r := range d.Recalls {
		for n := r.first(); n <= r.To; n++ {
			scene := r.Scene + n - r.first() - 1
			if scene < len(out) && out[scene] == nil {
				out[scene] = &Trigger{Program: r.Program != nil, Channel: r.Channel, Number: n}
			}
		}
	}
	return out
}

// Bank returns the bank and the place in it of a scene number, from 1.
func (d *Desk) Bank(scene int) (bank, place int) {
	size := d.Scenes / max(d.Banks, 1)
	return (scene-1)/size + 1, (scene-1)%size + 1
}
