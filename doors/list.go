package doors

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"
)

// Setup is what a list is of. What is nil or empty is left out, or becomes a thing to look
// at.
type Setup struct {
	Machine  Machine
	Dir      string                               // where the night writes: its disk is to have room
	Units    []Unit                               // that are to be seen to answer
	Speakers []string                             // that are to be heard, as "left"; none for a show without sound
	Plays    func(context.Context) (Sound, error) // where sound goes, as who plays it knows; Volume less than 0
	Outputs  func() []Output
	Pages    func() int     // how many pages follow the run
	Zone     string         // the time zone that the place's hours are in, "" for none
	Alarm    string         // how the alarm ends the dark; "" asks a person to look all the same
	Said     func() Answer  // what lamps said of themselves when they were asked tonight; nil where nobody asked
	Alarms   func() []Alarm // the inputs that the run listens to; nil where it listens to none

	Identify func(ctx context.Context, unit string) error    // makes one lamp pulse slowly; "" ends it
	TakeOut  func(unit, why string) error                    // takes one lamp out for tonight
	Speak    func(ctx context.Context, speaker string) error // plays a soft tone on one loudspeaker
}

// Unit is a lamp.
type Unit struct{ Name, Where string }

// Output is a way out, as the run has it.
type Output struct {
	Name    string
	Sent    uint64 // frames that left
	Fault   string // the last, "" for none
	Answers string // who answered on the other side; "" where nobody is asked
	Asked   bool   // that side is asked at all
}

// check is an item and how it is asked; ask is nil for what a person looks at.
type check struct {
	Item
	now  func() Answer // says at any time how it stands, in no time; a person's word does not make it good
	ask  func(context.Context) Answer
	told State  // what the computer said last
	what string // what a person is to look at
	try  func(context.Context) error
}

// List is a round that goes on. It is safe for many goroutines.
type List struct {
	setup  Setup
	mu     sync.Mutex
	checks []check
	trying bool // a lamp pulses
}

// New makes the list; nothing is asked yet.
func New(s Setup) *List {
	l := &List{setup: s}
	l.lamps()
	l.wires()
	l.sounds()
	l.computer()
	l.house()
	return l
}

// add adds an item.
func (l *List) add(group, id, text string, a Answer, ask func(context.Context) Answer) *check {
	l.checks = append(l.checks, check{Item: Item{ID: id, Group: group, Text: text, State: Open, Found: a.Found, Cure: a.Cure}, ask: ask, what: a.Found})
	return &l.checks[len(l.checks)-1]
}

// look is an item that a person looks at.
func (l *List) look(group, id, text, what, cure string) *check {
	return l.add(group, id, text, Answer{Found: Look + what, Cure: cure}, nil)
}

func (l *List) lamps() {
	for _, u := range l.setup.Units {
		what := "does it light when the show is to light it?"
		if l.setup.Identify != nil {
			what = "this lamp goes up and down slowly when it is tried, and no other does"
		}
		where := ""
		if u.Where != "" {
			where = ", " + u.Where
		}
		c := l.look(Lamps, "unit "+u.Name, u.Name+where+" answers", what,
			"look at its plug and its own display: address, mode, data light; then at the cable that brings it data. What does not come back is taken out on the Night page, and its part goes to its likes")
		c.Out = l.setup.TakeOut != nil
		if l.setup.Identify != nil {
			c.Try = "pulse"
			c.try = func(ctx context.Context) error { return l.setup.Identify(ctx, u.Name) }
		}
	}
	if said := l.setup.Said; said != nil {
		l.add(Lamps, "lamps", "lamps say that they are as the rig has them", Answer{Found: "not asked yet"}, func(context.Context) Answer { return said() })
	}
}

func (l *List) wires() {
	if l.setup.Outputs == nil {
		l.look(Wires, "outputs", "frames leave", "no run is attached: begin it, held, and frames go out", "lampblack open DIR --run --held")
		return
	}
	outs := l.setup.Outputs()
	if len(outs) == 0 {
		l.add(Wires, "outputs", "frames leave", Answer{}, func(context.Context) Answer {
			return Answer{NotGood, "there is no output: nothing reaches the lamps", "name one in show.yaml, as outputs: [{to: e131 multicast}], or by --outputs"}
		})
	}
	for i, o := range outs {
		l.add(Wires, "output "+o.Name, "frames leave by "+o.Name, Answer{Cure: outputCure}, func(context.Context) Answer {
			now := l.setup.Outputs()
			if i >= len(now) {
				return Answer{State: NotGood, Found: "this output is not open", Cure: outputCure}
			}
			return now[i].judge()
		})
	}
}

const outputCure = "look at the cable and at the light beside its socket; then whether the node or the interface has power"

// judge says whether frames leave, and whether anybody is there.
func (o *Output) judge() Answer {
	switch {
	case o.Fault != "":
		return Answer{NotGood, o.Fault, outputCure}
	case o.Sent == 0:
		return Answer{NotGood, "nothing has been sent yet", "begin the run, held: frames go out from then on"}
	case o.Asked && o.Answers == "":
		return Answer{NotGood, "no node answers", outputCure}
	case o.Asked:
		return Answer{Good, o.Answers, outputCure}
	}
	return Answer{Good, "frames leave; whether they arrive, the lamps tell", outputCure}
}

func (l *List) sounds() {
	for _, name := range l.setup.Speakers {
		what := "play something, and put a hand on each loudspeaker"
		if l.setup.Speak != nil {
			what = "a soft tone comes from this loudspeaker alone when it is tried"
		}
		c := l.look(Sounds, "loudspeaker "+name, "the "+name+" loudspeaker is heard", what,
			"look at its power light, then its cable, then the channel on the mixer: level up, not muted")
		if l.setup.Speak != nil {
			c.Try = "play"
			c.try = func(ctx context.Context) error { return l.setup.Speak(ctx, name) }
		}
	}
	if len(l.setup.Speakers) > 0 && l.setup.Machine != nil {
		l.ask(Sounds, "sound device", "sound goes to the loudspeakers, not to the projector", func(ctx context.Context, m Machine) Answer { return soundAnswer(ctx, m, l.setup.Plays) })
	}
}

func (l *List) computer() {
	m := l.setup.Machine
	if m == nil {
		return
	}
	l.ask(Computer, "mains", "the laptop is on mains", powerAnswer)
	l.ask(Computer, "sleep", "it does not fall asleep, and its screen stays on", sleepAnswer)
	l.ask(Computer, "screen", "the screen is dimmed", screenAnswer)
	l.look(Computer, "never white", "nothing on the screen can turn white", "no other window behind the page, a black desktop, no screen saver, no message that may pop up",
		"close other programs, set a black background, turn notifications off for tonight")
	l.ask(Computer, "disk", "there is room on the disk", func(ctx context.Context, m Machine) Answer { return diskAnswer(ctx, m, l.setup.Dir) })
	l.ask(Computer, "clock", "its clock is right", func(ctx context.Context, m Machine) Answer { return clockAnswer(ctx, m, l.setup.Zone, time.Now()) })
}

func (l *List) house() {
	l.alarms()
	alarm := l.setup.Alarm
	if l.setup.Alarms != nil && alarm == "" {
		l.phone()
		return
	}
	if alarm == "" {
		alarm = "who ends the dark when the building's alarm sounds, and how? nothing in this program reads an alarm"
	}
	l.look(House, "alarm", "the alarm ends the dark", alarm, "agree with the house who brings the house lights up, and try it once; the lights of the show are not emergency lighting")
	l.phone()
}

func (l *List) phone() {
	pages := "does it show the Night page, is it charged, is it silent?"
	if l.setup.Pages == nil {
		l.look(House, "phone", "the phone is connected", pages, phoneCure)
		return
	}
	l.add(House, "phone", "the phone is connected", Answer{Cure: phoneCure}, func(context.Context) Answer {
		switch n := l.setup.Pages(); n {
		case 0:
			return Answer{NotGood, "no page follows the run", phoneCure}
		case 1:
			return Answer{Open, Look + "one page follows the run; is that the phone? is it charged and silent?", phoneCure}
		default:
			return Answer{Open, fmt.Sprintf("%s%d pages follow the run; %s", Look, n, pages), phoneCure}
		}
	})
}

const phoneCure = "open this address on it; where it has no way to this computer, somebody stays at the keys"

// ask adds an item that the computer is asked about.
func (l *List) ask(group, id, text string, about func(context.Context, Machine) Answer) {
	l.add(group, id, text, Answer{Found: "not asked yet"}, func(ctx context.Context) Answer { return about(ctx, l.setup.Machine) })
}

// mostWait bounds how long the computer is asked about one thing: a program of the system
// may hang.
const mostWait = 6 * time.Second

// Ask asks all that can be asked, at once.
func (l *List) Ask(ctx context.Context) {
	l.mu.Lock()
	asks := make([]func(context.Context) Answer, len(l.checks))
	for i := range l.checks {
		asks[i] = l.checks[i].ask
	}
	l.mu.Unlock()
	answers := make([]Answer, len(asks))
	var all sync.WaitGroup
	for i, ask := range asks {
		if ask == nil {
			continue
		}
		all.Go(func() {
			one, cancel := context.WithTimeout(ctx, mostWait)
			defer cancel()
			answers[i] = ask(one)
		})
	}
	all.Wait()
	l.mu.Lock()
	defer l.mu.Unlock()
	for i, a := range answers {
		c := &l.checks[i]
		if asks[i] == nil {
			continue
		}
		c.take(a)
	}
}

// take takes what the computer said. It knows better than a person what it knows; that a
// person lets something be so tonight stands until it is good.
func (c *check) take(a Answer) {
	c.told, c.Cure = a.State, a.Cure
	switch {
	case a.State == Good, a.State == NotGood && c.State != Left:
		c.State, c.Seen = a.State, false
	case a.State == Open && c.Seen:
		return // a person has looked
	case a.State == Open:
		c.State = Open
	}
	c.Found, c.what = a.Found, a.Found
}

// Items is the list as it stands.
func (l *List) Items() []Item {
	l.mu.Lock()
	defer l.mu.Unlock()
	for i := range l.checks {
		if c := &l.checks[i]; c.now != nil {
			if a := c.now(); a.State == Good || c.State != Left { // why it is left so is a person's word
				c.take(a)
			}
		}
	}
	out := make([]Item, len(l.checks))
	for i := range l.checks {
		out[i] = l.checks[i].Item
	}
	return out
}

// find returns an item's place. mu is held.
func (l *List) find(id string) (*check, error) {
	i := slices.IndexFunc(l.checks, func(c check) bool { return c.ID == id })
	if i < 0 {
		return nil, fmt.Errorf("there is nothing to look at that is called %q", id)
	}
	return &l.checks[i], nil
}

// Try does what makes an item seen or heard: a lamp pulses, a loudspeaker sounds.
func (l *List) Try(ctx context.Context, id string) error {
	l.mu.Lock()
	c, err := l.find(id)
	if err != nil || c.try == nil {
		l.mu.Unlock()
		if err == nil {
			err = fmt.Errorf("%s cannot be tried from here: look yourself", id)
		}
		return err
	}
	try, lamp := c.try, c.Group == Lamps
	if lamp {
		l.trying = true
	}
	l.mu.Unlock()
	return try(ctx)
}

// TakeOut takes a lamp out for tonight, with the reason: its part goes to its likes.
func (l *List) TakeOut(id, why string) error {
	l.mu.Lock()
	c, err := l.find(id)
	can := err == nil && c.Out
	l.mu.Unlock()
	switch {
	case err != nil:
		return err
	case !can:
		return fmt.Errorf("%s cannot be taken out from here", id)
	}
	if why == "" {
		why = "does not answer"
	}
	if err := l.setup.TakeOut(strings.TrimPrefix(id, "unit "), why); err != nil {
		return err
	}
	return l.Tick(id, Left, why+", is out tonight")
}

// mostNote bounds what a person writes.
const mostNote = 200

// Tick says what a person has seen. A note is what is wrong, or why it is left.
func (l *List) Tick(id string, s State, note string) error {
	if !slices.Contains([]State{Open, Good, NotGood, Left}, s) {
		return fmt.Errorf("%q is none of: open, good, not good, left", s)
	}
	if len(note) > mostNote {
		return errors.New("the note is too long: a few words")
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	c, err := l.find(id)
	if err != nil {
		return err
	}
	if s == Good && c.told == NotGood {
		return fmt.Errorf("%s is not good: %s; put it right and ask again, or leave it so for tonight", id, c.Found)
	}
	if s == Good && c.now != nil && c.now().State != Good {
		return fmt.Errorf("%s is seen to work when it is set off and reset, and not else; or leave it so for tonight", id)
	}
	c.State, c.Seen = s, s != Open
	switch note = strings.Join(strings.Fields(note), " "); {
	case note != "":
		c.Found = note
	case s == Open:
		c.Found = c.what
	case strings.HasPrefix(c.Found, Look):
		c.Found = ""
	}
	return nil
}

// Rest ends what Try began: no lamp pulses any more.
func (l *List) Rest(ctx context.Context) error {
	l.mu.Lock()
	was := l.trying
	l.trying = false
	l.mu.Unlock()
	if !was {
		return nil
	}
	return l.setup.Identify(ctx, "")
}

// Sum is what the list comes to.
func (l *List) Sum() Sum {
	items := l.Items()
	s := Sum{All: len(items)}
	for _, i := range items {
		switch i.State {
		case Good:
			s.Good++
		case NotGood:
			s.Bad = append(s.Bad, i)
		case Left:
			s.Left = append(s.Left, i)
		default:
			s.Unlooked = append(s.Unlooked, i)
		}
	}
	return s
}
