package doors

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"lampblack/si"
)

// Machine is asked about the computer. Each question may be answered by ErrCannotAsk.
type Machine interface {
	Power(context.Context) (Power, error)
	Sleep(context.Context) (Sleep, error)
	Sound(ctx context.Context, device string) (Sound, error) // of a device by the system's name, "" for its own choice
	Screen(context.Context) (brightness float64, err error)  // of its brightest, 0 to 1
	Room(ctx context.Context, dir string) (bytes uint64, err error)
	Clock(context.Context) (Clock, error)
	Cures() Cures
}

// ErrCannotAsk says that this computer does not tell; a person looks.
var ErrCannotAsk = errors.New("this computer does not tell")

// Cures say what to do on a system, in its own words.
type Cures struct{ Sleep, Sound, Screen, Clock string }

// Power is what the computer runs on.
type Power struct {
	Mains   bool
	Battery float64 // how full, 0 to 1; less than 0 where there is none
}

// Sleep is when the computer goes to sleep when nobody touches it, on mains.
type Sleep struct {
	After   time.Duration // 0 is never
	Screen  time.Duration // until the screen goes dark, or locks; 0 is never
	AwakeBy string        // the program that keeps it awake, "" for none
}

// Sound is where sound goes.
type Sound struct {
	Device    string // as the system names it
	Name      string // as people read it
	Absent    string // the device that was asked for and is not there
	Projector bool   // it goes out by the picture's cable
	Muted     bool
	Volume    float64 // 0 to 1; less than 0 where it does not tell
}

// Clock is the computer's clock.
type Clock struct {
	Known  bool // whether it is kept right by others can be asked
	Synced bool
}

// unasked is the answer where nobody can be asked.
func unasked(err error, what, cure string) Answer {
	found := Look + what
	if !errors.Is(err, ErrCannotAsk) {
		found += " (it was asked, and: " + err.Error() + ")"
	}
	return Answer{Open, found, cure}
}

// percent is a share for a person.
func percent(share float64) string { return fmt.Sprintf("%.0f %%", share*100) }

const mainsCure = "plug it in, and look for the charging sign; a loose plug is found by a tug"

func powerAnswer(ctx context.Context, m Machine) Answer {
	p, err := m.Power(ctx)
	switch {
	case err != nil:
		return unasked(err, "is the charging sign there?", mainsCure)
	case p.Battery < 0 && !p.Mains:
		return Answer{Open, Look + "it has no battery, so its plug is all there is: is it firm, and does nobody switch its socket?", mainsCure}
	case p.Battery < 0:
		return Answer{Good, "on mains; it has no battery, so a pulled plug ends the show", mainsCure}
	case !p.Mains:
		return Answer{NotGood, "on its battery, " + percent(p.Battery), mainsCure}
	}
	return Answer{Good, "on mains, its battery at " + percent(p.Battery), mainsCure}
}

func sleepAnswer(ctx context.Context, m Machine) Answer {
	cure := m.Cures().Sleep
	s, err := m.Sleep(ctx)
	switch {
	case err != nil:
		return unasked(err, "does it stay awake when nobody touches it? does anything happen when the lid is shut?", cure)
	case s.AwakeBy != "":
		return Answer{Good, "kept awake by " + s.AwakeBy, cure}
	case s.After > 0:
		return Answer{NotGood, "falls asleep after " + minutes(s.After) + " without a touch", cure}
	case s.Screen > 0:
		return Answer{NotGood, "its screen goes dark after " + minutes(s.Screen) + " without a touch", cure}
	}
	return Answer{Good, "stays awake", cure}
}

// minutes is a time as such settings show it.
func minutes(d time.Duration) string {
	if d < time.Minute {
		return si.Say(d.Seconds(), "s")
	}
	return fmt.Sprintf("%.0f min", d.Minutes())
}

// soundAnswer asks who plays where sound goes, and the system how loud it is there.
func soundAnswer(ctx context.Context, m Machine, plays func(context.Context) (Sound, error)) Answer {
	cure := m.Cures().Sound
	s, err := Sound{Volume: -1}, ErrCannotAsk
	if plays != nil {
		s, err = plays(ctx)
	}
	own, failed := m.Sound(ctx, s.Device)
	if failed == nil {
		own.Absent, own.Projector = s.Absent, own.Projector || s.Projector
		s = own
	}
	switch {
	case s.Absent != "":
		return Answer{NotGood, s.Absent + ", which the show asks for, is not there", cure}
	case err != nil && failed != nil:
		if !errors.Is(failed, ErrCannotAsk) {
			err = failed
		}
		return unasked(err, "which device does the system's sound setting name? the loudspeakers', not the projector's", cure)
	case s.Projector:
		return Answer{NotGood, "sound goes to " + s.Name + ", by the picture's cable", cure}
	case s.Muted:
		return Answer{NotGood, s.Name + " is muted", cure}
	case s.Volume == 0:
		return Answer{NotGood, s.Name + " is turned down", cure}
	case s.Volume > 0:
		return Answer{Good, "sound goes to " + s.Name + " at " + percent(s.Volume), cure}
	}
	return Answer{Good, "sound goes to " + s.Name, cure}
}

// dimmed is how bright a screen may be in a dark hall (common practice, no source).
const dimmed = 0.4

func screenAnswer(ctx context.Context, m Machine) Answer {
	cure := m.Cures().Screen
	b, err := m.Screen(ctx)
	switch {
	case err != nil:
		return unasked(err, "is it as dark as you can still read it?", cure)
	case b > dimmed:
		return Answer{NotGood, "at " + percent(b) + " of its brightest", cure}
	}
	return Answer{Good, "at " + percent(b) + " of its brightest", cure}
}

// leastRoom is what a night may write at most: journals and captures (common practice).
const leastRoom = 1 << 30

const roomCure = "empty the bin, move old recordings elsewhere: what happens tonight is written here"

func diskAnswer(ctx context.Context, m Machine, dir string) Answer {
	free, err := m.Room(ctx, dir)
	if err != nil {
		return unasked(err, "is there a gigabyte free?", roomCure)
	}
	found := fmt.Sprintf("%.1f GiB free", float64(free)/(1<<30))
	if free < leastRoom {
		return Answer{NotGood, found, roomCure}
	}
	return Answer{Good, found, roomCure}
}

// clockAnswer judges the clock at an instant: by those who keep it right, and by the zone
// that the place's hours are in.
func clockAnswer(ctx context.Context, m Machine, zone string, now time.Time) Answer {
	cure := m.Cures().Clock
	shows := now.Format("15:04:05")
	if zone != "" {
		if there, err := time.LoadLocation(zone); err == nil {
			if a, b := now.In(there).Format("15:04"), now.Format("15:04"); a != b {
				return Answer{NotGood, fmt.Sprintf("it shows %s, and it is %s in %s, where the hours of the place are kept", b, a, zone), cure}
			}
		}
	}
	c, err := m.Clock(ctx)
	switch {
	case err != nil || !c.Known:
		return unasked(errors.Join(ErrCannotAsk, err), "it shows "+shows+": what does another clock show?", cure)
	case !c.Synced:
		return Answer{Open, Look + "nobody keeps it right, and it shows " + shows + ": what does another clock show?", cure}
	}
	return Answer{Good, "kept right by the network; it shows " + strings.TrimSpace(shows), cure}
}
