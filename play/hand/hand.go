package hand

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"lampblack/folder"
	"lampblack/light"
	"lampblack/play/course"
	"lampblack/rig"
	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
)

// Hand takes orders and says what they come to. It is safe for many goroutines.
type Hand struct {
	to   chan<- Change
	o    Options
	mu   sync.Mutex // of what takes a while: orders come one after another
	most ceilings

	// What is asked while the show runs is under a lock of its own, which is held for no work:
	// the run's loop must not wait for an order, and not for a disk.
	told  sync.Mutex // under mu
	place *show.Place
	now   State
	came  []Came // the last is now
	lost  string // why it could not be kept for the night, "" while it is

	file    sync.Mutex // over mu; of the file
	written []byte     // what it holds
}

// Options say what becomes of what a hand holds. The zero value keeps nothing.
type Options struct {
	Dir   string      // the show's folder, whose tonight.yaml it keeps; "" keeps nothing
	Told  func(State) // called, one call at a time, when the state is another
	Clock func() time.Time

	// Came is what a hand held that went with its process, the state that it begins with last:
	// light that was on its way goes on. Goes is called as Told is, with what another hand would
	// need for that.
	Came []Came
	Goes func([]Came)
}

// Came is a state, and when and over what its light came.
type Came struct {
	State
	At   time.Time
	Over time.Duration
}

// Change is what a run takes over from a hand: a mix that comes over the frames, and what
// happened, for the log.
type Change struct {
	*Mix
	Place *show.Place // to go on with in place of the one that runs; nil for the same
	Over  time.Duration
	Wait  time.Duration // before it begins
	Text  string        // "" for what is no news

	began time.Time // under another hand; zero for now
}

// New returns a hand over a place that begins with a state, and the channel from which the run
// takes its changes: the first is there at once.
func New(p *show.Place, from State, o Options) (*Hand, <-chan Change, error) {
	to := make(chan Change, 64)
	if o.Clock == nil {
		o.Clock = time.Now
	}
	h := &Hand{to: to, o: o, place: p, most: ceilingsOf(p.Show), now: from}
	m, err := prepare(p.Show, from, h.most)
	if err != nil {
		return nil, nil, err
	}
	text := ""
	if !from.Nothing() {
		text = "still from before: " + from.String()
	}
	if len(o.Came) > 0 {
		return h, to, h.goOn(to, text)
	}
	if text != "" {
		h.came = []Came{{State: from, At: o.Clock()}}
		to <- Change{Mix: m, Text: text}
	}
	h.goes()
	return h, to, nil
}

// goOn has the light come as it was coming under the hand before.
func (h *Hand) goOn(to chan<- Change, text string) error {
	h.came = h.o.Came[max(len(h.o.Came)-mostCame, 0):]
	for i := range h.came {
		c := &h.came[i]
		m, err := prepare(h.place.Show, c.State, h.most)
		if err != nil {
			return err
		}
		change := Change{Mix: m, Over: c.Over, began: c.At}
		if i == len(h.came)-1 {
			change.Text, h.now = text, c.State
		}
		to <- change
	}
	h.goes()
	return nil
}

// mostCame bounds what is told of light on its way: one order more than a guard counts turns of.
const mostCame = mostTurns + 2

// guards is how long after it came light still counts, for the next flash.
const guards = time.Second

// comes notes that a state's light comes; what it covers whole is forgotten. Callers hold mu.
func (h *Hand) comes(next State, c Change) {
	now := h.o.Clock()
	list := append(slices.Clone(h.came), Came{next, now.Add(c.Wait), c.Over})
	for i := len(list) - 1; i > 0; i-- {
		if now.Sub(list[i].At) > list[i].Over+guards {
			list = list[i:]
			break
		}
	}
	h.came = list[max(len(list)-mostCame, 0):]
	h.goes()
}

func (h *Hand) goes() {
	if h.o.Goes != nil {
		h.o.Goes(h.came)
	}
}

// errBusy is what an order is told when the run does not take changes.
var errBusy = errors.New("the run does not answer: use the keys of the program itself")

// ErrOther is that another solving is not of the same place.
var ErrOther = errors.New("the units, the running order or the waits are others than those of the run: start it again to take them over")

// Order carries out an order. The lamps follow with the next frame; it returns when what is
// for tonight is on the disk.
func (h *Hand) Order(o Order) error {
	h.mu.Lock()
	next, err := h.now.After(o, h.place.Show, h.o.Clock())
	if err == nil {
		text := ""
		if o.Do == TrimTo || o.Do == TakeOut || o.Do == Back || o.Do == Drop { // what a report tells of
			text = next.Tonight().String()
		}
		err = h.take(next, Change{Over: o.fade(), Text: text})
	}
	h.mu.Unlock()
	if err == nil {
		h.keep()
	}
	return err
}

// take makes a state that which holds.
func (h *Hand) take(next State, c Change) (err error) {
	if c.Mix, err = prepare(h.place.Show, next, h.most); err != nil {
		return err
	}
	select {
	case h.to <- c:
	default:
		return errBusy
	}
	h.told.Lock()
	h.now = next
	h.told.Unlock()
	h.comes(next, c)
	if h.o.Told != nil {
		h.o.Told(next)
	}
	return nil
}

// keep writes what is for tonight into the show's folder, whole or not at all: the newest, so
// that of orders which come fast not every one waits for the disk. What fails is told with the
// state, and tried again with the next order.
func (h *Hand) keep() {
	if h.o.Dir == "" {
		return
	}
	h.file.Lock()
	defer h.file.Unlock()
	now, _ := h.State()
	text := WriteTonight(now.Tonight(), NightOf(h.o.Clock()))
	if bytes.Equal(text, h.written) {
		return
	}
	err := folder.Within(h.o.Dir, TonightFile)
	if err == nil && h.written == nil {
		err = spare(h.o.Dir, NightOf(h.o.Clock()))
	}
	if err == nil {
		err = folder.WriteFile(context.Background(), filepath.Join(h.o.Dir, TonightFile), text)
	}
	h.told.Lock()
	defer h.told.Unlock()
	if h.lost = ""; err != nil {
		h.lost = fmt.Sprintf("what the hand holds would be lost if the program ended now: %v", err)
		return
	}
	h.written = text
}

// BeforeFile holds what stood in TonightFile when a run that did not take it up wrote its own:
// what was set for another night, or what could not be read.
const BeforeFile = TonightFile + ".before"

// spare keeps a sheet that is not of this night before it is written over.
func spare(dir, night string) error {
	data, err := folder.ReadFile(context.Background(), filepath.Join(dir, TonightFile), folder.MaxText)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	s, of, faults := ReadTonight(data)
	if faults.Err() == nil && (of == night || s.Nothing()) {
		return nil
	}
	if err := folder.Within(dir, BeforeFile); err != nil {
		return err
	}
	return folder.WriteFile(context.Background(), filepath.Join(dir, BeforeFile), data)
}

// State is what the hand holds, and what is wrong with keeping it. It waits for nothing.
func (h *Hand) State() (s State, wrong string) {
	h.told.Lock()
	defer h.told.Unlock()
	return h.now, h.lost
}

// Replace goes on with another solving of the same place. What was kept in its looks is let go
// once the light of the new looks has come. text says for the log what is another.
func (h *Hand) Replace(p *show.Place, kept State, text string) error {
	err := h.replace(p, kept, text)
	h.keep()
	return err
}

func (h *Hand) replace(p *show.Place, kept State, text string) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if !course.Alike(h.place, p) {
		return ErrOther
	}
	h.most = ceilingsOf(p.Show)
	h.told.Lock()
	h.place = p
	h.told.Unlock()
	if err := h.take(h.now, Change{Place: p, Text: text}); err != nil {
		return err
	}
	return h.take(h.now.without(kept), Change{Wait: course.Swapping, Over: time.Second})
}

// without is the state without what another holds alike.
func (s State) without(kept State) State {
	for i := range kept.Held {
		k := &kept.Held[i]
		s = s.release(k.Units, func(h *Held) bool { return h.Dark == k.Dark && h.Colour == k.Colour && h.Level == k.Level })
	}
	for _, t := range kept.Trims {
		t.Factor = 1
		s = s.trim(t)
	}
	return s
}

// Load reads what was set for a night in a show's folder. ok is false where there is nothing.
func Load(ctx context.Context, dir string) (s State, night string, ok bool, err error) {
	if err := folder.Within(dir, TonightFile); err != nil {
		return s, "", false, fmt.Errorf("read %s: %w", TonightFile, err)
	}
	data, err := folder.ReadFile(ctx, filepath.Join(dir, TonightFile), folder.MaxText)
	if errors.Is(err, fs.ErrNotExist) {
		return s, "", false, nil
	}
	if err != nil {
		return s, "", false, fmt.Errorf("read %s: %w", TonightFile, err)
	}
	s, night, faults := ReadTonight(data)
	if err := faults.Err(); err != nil {
		return s, night, false, err
	}
	return s, night, true, nil
}

// String says what is held, for a person: "front at 120 %; par 3 is out (flickers); side: #0000ff 50 %".
func (s State) String() string {
	say := s.Lines()
	if len(say) == 0 {
		return "nothing is held by hand"
	}
	return strings.Join(say, "; ")
}

// Strangers lists the units and systems of a state that a rig has not, as when one was renamed.
func (s State) Strangers(r *rig.Rig) []string {
	var names []string
	add := func(name string, known bool) {
		if name != "" && !known && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	unit := func(name string) { add(name, r.Index(name) >= 0) }
	for _, t := range s.Trims {
		add(t.System, len(r.System(t.System)) > 0)
		unit(t.Unit)
	}
	for _, o := range s.Outs {
		unit(o.Unit)
	}
	for _, h := range s.Held {
		for _, u := range h.Units {
			unit(u)
		}
	}
	return names
}

// Lines says what is held, a line each.
func (s State) Lines() []string {
	var say []string
	for _, t := range s.Trims {
		say = append(say, fmt.Sprintf("%s at %s", t.System+t.Unit, score.Percent(t.Factor)))
	}
	for _, o := range s.Outs {
		text := o.Unit + " is out"
		if o.Why != "" {
			text += " (" + o.Why + ")"
		}
		say = append(say, text)
	}
	for _, h := range s.Held {
		what := h.Colour
		if h.Dark {
			what = "black light"
		}
		whom := h.System
		if whom == "" {
			whom = source.First(h.Units, 4)
		}
		say = append(say, whom+": "+strings.TrimSpace(what+" "+score.Percent(h.Level)))
	}
	if s.Look != "" {
		say = append(say, "look "+s.Look+" is up")
	}
	if s.Focus.Does != Nothing {
		say = append(say, strings.TrimSpace(s.Focus.Unit+" "+string(s.Focus.Does)))
	}
	return say
}

// Show is the show that the hand is over. It waits for nothing.
func (h *Hand) Show() *show.Show { return h.Place().Show }

// Takes tells whether the run can go on with a place: [course.Alike].
func (h *Hand) Takes(p *show.Place) bool { return course.Alike(h.Place(), p) }

// Place is the place that runs, as it was solved last.
func (h *Hand) Place() *show.Place {
	h.told.Lock()
	defer h.told.Unlock()
	return h.place
}

// Valid tells what is wrong with light that somebody asks to be kept without having held it.
func Valid(held []Held) error {
	for i := range held {
		h := &held[i]
		if !(h.Level >= 0 && h.Level <= 1) {
			return fmt.Errorf("a level of %g is not between 0 and 1", h.Level)
		}
		if h.Colour != "" {
			if _, err := light.ParseColour(h.Colour); err != nil {
				return err
			}
		}
	}
	return nil
}

// Keeps is what is held in the form in which a look keeps it: by the system where the units
// are all of one.
func Keeps(s *show.Show, held []Held) []score.Kept {
	parts := Parts(s, held)
	out := make([]score.Kept, len(parts))
	for i := range parts {
		p := &parts[i]
		k := &out[i]
		for _, ref := range p.Units {
			k.Units = append(k.Units, ref.Name)
		}
		if p.Colour != nil {
			k.Colour = p.Colour.Text
		}
		if p.Level != nil {
			k.Level = float64(*p.Level)
		}
		for _, e := range p.Emitters {
			k.Emitters, k.Level = append(k.Emitters, e.Name), float64(e.Value)
		}
		for _, name := range append([]string{rig.All}, s.Rig.Systems()...) {
			if sameUnits(s, name, k.Units) {
				k.System, k.Units = name, nil
				break
			}
		}
		k.Overlaps = func(o *score.Part) bool { return s.Overlap(p, o) }
	}
	return out
}

// sameUnits tells whether units are those of a system.
func sameUnits(s *show.Show, system string, units []string) bool {
	of := s.Rig.System(system)
	if len(of) != len(units) {
		return false
	}
	for _, u := range of {
		if !slices.Contains(units, s.Rig.Units[u].Name.Name) {
			return false
		}
	}
	return true
}
