package main

import (
	"context"
	"fmt"

	"lampblack/play"
	"lampblack/play/trigger"
)

// contacts are the triggers of a run; the zero value is a run that has none.
type contacts struct {
	set   *trigger.Set
	heard chan trigger.Heard
	told  chan struct{}
	alarm ear // nil where the show has no alarm input
}

// listen opens what the show's triggers listen to, and hands what fires to the run. A source
// that is lost is told as it happens.
func (f *runFlags) listen(ctx context.Context, tell func(what, text string), o *play.Options) (contacts, error) {
	if f.files == nil || f.files.Triggers == nil {
		return contacts{}, nil
	}
	list := triggerList(f.files.Triggers)
	heard := make(chan trigger.Heard, 64)
	set, err := trigger.Open(ctx, list, trigger.Options{Heard: func(h trigger.Heard) {
		select {
		case heard <- h:
		default: // the terminal stands; triggers do not wait for it
		}
	}})
	if err != nil {
		return contacts{}, fmt.Errorf("open triggers: %w", err)
	}
	c := contacts{set: set, told: make(chan struct{})}
	o.Triggers = set.Fired()
	go func() {
		for h := range heard {
			switch h.Text {
			case "is listened to":
				tell("note", "trigger "+h.Name+" "+h.Text)
			default:
				if h.Hint != "" { // something is wrong; what merely comes is in the journal
					tell("warning", "trigger "+h.Name+": "+h.Text)
					tell("hint", h.Hint)
				}
			}
		}
		close(c.told)
	}()
	c.heard = heard
	return c, nil
}

// key says that a key was typed, and tells whether it is the alarm's or a trigger's.
func (c contacts) key(name string) bool {
	return c.alarm != nil && c.alarm.Type(name) || c.set != nil && c.set.Type(name)
}

// press says that the page's button of a trigger was pressed.
func (c contacts) press(name string) bool { return c.set != nil && c.set.Press(name) }

// fault is what is wrong with the first trigger that cannot come now, and what to do; "" while
// all can.
func (c contacts) fault() (text, hint string) {
	if c.set == nil {
		return "", ""
	}
	for _, s := range c.set.Status() {
		if s.Fault != "" {
			return "trigger " + s.Name + ": " + s.Fault, s.Hint
		}
	}
	return "", ""
}

func (c contacts) close() error {
	if c.set == nil {
		return nil
	}
	err := c.set.Close()
	close(c.heard) // the set has ended, and nothing comes any more
	<-c.told
	return err
}
