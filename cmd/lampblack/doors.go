package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/doors"
	"lampblack/evening"
	"lampblack/folder"
	"lampblack/play"
	"lampblack/play/alarm"
	"lampblack/play/hand"
	"lampblack/play/journal"
	"lampblack/play/output"
	"lampblack/show"
	"lampblack/source"
)

const doorsHelp = `Look at everything once more before the audience comes in, in two minutes: every
lamp is seen to answer, one after another, by a slow pulse; both loudspeakers, the
outputs and their nodes, what the laptop runs on, whether it may fall asleep, where
its sound goes, its screen, its disk and its clock, the alarm, the phone.

What the computer can be asked is asked; what not is open until somebody has looked,
and says what to look at. Each that is not good says what to do. Answer with a
letter and enter:

  y   good, as it is to be
  n   not good; words after it say what is wrong, as "n flickers"
  l   not good, and left so for tonight; words after it say why
  a   ask the computer again, after something was put right
  r   reset an alarm that was set off to try it
  s   later
  q   that is all

With --journal, what it came to is kept for the night's report: a run with the same
journal tells it at its end. The Doors page of ` + "`lampblack open DIR --run --held`" + ` is the
same round, for a phone.

An alarm input is good when it was set off and reset this night, and not else: it is
listened to while the round goes on.

Nothing flashes while it runs. Exit signs, emergency lighting and house lights must
work without this program, and are looked at apart, by who answers for the house.

Exit status: 0 all is good or left so, or --json; 1 something is not good or was not
looked at.`

// doorsFlags are the options of doors.
type doorsFlags struct {
	outputs []string
	journal string
	json    bool
}

func doorsCmd() *cobra.Command {
	var f doorsFlags
	c := &cobra.Command{
		Use:   "doors DIR",
		Short: "look at lamps, sound, computer and house before the audience comes in",
		Long:  doorsHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			l, s, err := whole(c, args[0])
			if err != nil {
				return err
			}
			defer l.close()
			return f.round(c, l, s)
		},
	}
	c.Flags().StringArrayVar(&f.outputs, "outputs", nil, "send here instead, as run does; none for nowhere")
	c.Flags().StringVar(&f.journal, "journal", "", "append what it came to to this file, as run does")
	c.Flags().BoolVar(&f.json, "json", false, "ask the computer alone, and print the list as JSON")
	return c
}

// round holds the lamps in the show's first light while a person goes through the list.
func (f *doorsFlags) round(c *cobra.Command, l *loaded, s *show.Show) error {
	sinks, err := openSinks(outputLines(s, f.outputs), output.Open)
	if err != nil {
		return err
	}
	var seen wires
	seen.of(sinks)
	o := play.Options{Start: evening.State{Held: true}, Sinks: sinks, Zone: s.Bill.Title, Report: func(st play.Status) { seen.follow(&st) }}
	h, changes, err := hand.New(s.Alone(nil), hand.State{}, hand.Options{})
	if err != nil {
		return errors.Join(err, abandon(&o))
	}
	o.Hand = changes
	began := time.Now()
	inputs := alarmInputs(&s.Bill)
	watch, err := alarm.Listen(c.Context(), inputs, alarm.Options{Stands: alarm.State{Inputs: alarmTrials(c.Context(), f.journal, l.firstZone(), inputs)}})
	if err != nil {
		return errors.Join(err, abandon(&o))
	}
	o.Alarm = watch
	orders := make(chan play.Command)
	o.Commands = orders
	ctx, cancel := context.WithCancel(c.Context())
	ran := make(chan error, 1)
	go func() { _, err := play.Run(ctx, s, o); ran <- err }()
	setup := l.doorsSetup(&seen)
	setup.Identify = pulses(h.Order)
	setup.Speak = func(ctx context.Context, name string) error { return playTest(ctx, io.Discard, &l.files, name) }
	if len(inputs) > 0 {
		setup.Alarms = doorsAlarms(watch.State)
	}
	list := doors.New(setup)
	err = f.guide(ctx, c, list, &seen, &alarmTrial{watch, orders})
	cancel()
	err = errors.Join(err, <-ran, watch.Close())
	if err == nil && f.journal != "" {
		err = f.keep(list, l.firstZone(), watch.State(), began)
	}
	if sum := list.Sum(); err == nil && !f.json && len(sum.Bad)+len(sum.Unlooked) > 0 {
		err = errStops
	}
	return err
}

// firstZone is what the events of a run of the show name as their zone.
func (l *loaded) firstZone() string {
	if l.place != nil {
		return l.place.Zones[0].Name
	}
	return l.files.Bill.Title
}

// nodesAnswer is how long nodes may take to answer a poll (Art-Net 4: polled every 2.5 s to
// 3 s, answered within a second).
const nodesAnswer = 4 * time.Second

// guide asks, and then goes through what is open with the person.
func (f *doorsFlags) guide(ctx context.Context, c *cobra.Command, list *doors.List, seen *wires, alarm *alarmTrial) error {
	seen.settle(ctx, nodesAnswer)
	list.Ask(ctx)
	if f.json {
		return writeJSON(c.OutOrStdout(), list.Items())
	}
	t := teller{out: c.OutOrStdout(), list: list, lines: linesOf(ctx, c.InOrStdin()), alarm: alarm}
	if err := t.through(ctx); err != nil {
		return err
	}
	return t.end()
}

// settle waits until frames have left, and nodes have answered, or for as long as that may
// take.
func (w *wires) settle(ctx context.Context, most time.Duration) {
	until := time.NewTimer(most)
	defer until.Stop()
	look := time.NewTicker(100 * time.Millisecond)
	defer look.Stop()
	for {
		waits := false
		for _, o := range w.outputs() {
			waits = waits || o.Sent == 0 || o.Asked && o.Answers == ""
		}
		if !waits {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-until.C:
			return
		case <-look.C:
		}
	}
}

// teller goes through a list with a person.
type teller struct {
	out   io.Writer
	list  *doors.List
	lines <-chan string
	alarm *alarmTrial
}

// through asks about each item that is not good.
func (t *teller) through(ctx context.Context) error {
	group := ""
	items := t.list.Items()
	for n := range items {
		i := items[n]
		if i.Group != group {
			group = i.Group
			fmt.Fprintf(t.out, "\n%s\n", group)
		}
		if i.State == doors.Good {
			fmt.Fprintf(t.out, "  good      %s: %s\n", i.Text, source.Visible(i.Found))
			continue
		}
		if i.Try != "" {
			if err := t.list.Try(ctx, i.ID); err != nil {
				fmt.Fprintf(t.out, "  %v\n", err)
			}
		}
		ended, err := t.ask(ctx, i)
		if rest := t.list.Rest(ctx); err == nil && rest != nil {
			err = rest
		}
		if ended || err != nil {
			return err
		}
	}
	return nil
}

// words of states, in a column.
var stateWords = map[doors.State]string{doors.Open: "look", doors.Good: "good", doors.NotGood: "NOT GOOD", doors.Left: "left so"}

// ask asks about one item until it is answered; ended is that the person has enough.
func (t *teller) ask(ctx context.Context, i doors.Item) (ended bool, err error) {
	for {
		fmt.Fprintf(t.out, "  %-9s %s: %s\n", stateWords[i.State], source.Visible(i.Text), source.Visible(strings.TrimPrefix(i.Found, doors.Look)))
		if i.State == doors.NotGood {
			fmt.Fprintf(t.out, "            %s\n", source.Visible(i.Cure))
		}
		fmt.Fprint(t.out, "            y, n, l, a, r, s, q? ")
		var line string
		var more bool
		select {
		case line, more = <-t.lines:
		case <-ctx.Done():
			return true, ctx.Err()
		}
		fmt.Fprintln(t.out)
		if !more {
			return true, nil
		}
		letter, note, _ := strings.Cut(line, " ")
		letter = strings.ToLower(letter)
		switch letter {
		case "y", "yes":
			err = t.list.Tick(i.ID, doors.Good, note)
		case "n", "no":
			err = t.list.Tick(i.ID, doors.NotGood, note)
		case "l":
			err = t.list.Tick(i.ID, doors.Left, note)
		case "a":
			t.list.Ask(ctx)
		case "r":
			fmt.Fprintf(t.out, "            %s\n", t.alarm.reset(ctx))
		case "s":
			return false, nil
		case "q":
			return true, nil
		default:
			err = errors.New("one letter of: y good, n not good, l left so, a ask again, r reset an alarm, s later, q that is all")
		}
		if err != nil {
			fmt.Fprintf(t.out, "            %v\n", err)
			err = nil
			continue
		}
		for _, now := range t.list.Items() {
			if now.ID != i.ID {
				continue
			}
			asks := letter == "a" || letter == "r"
			if now.State == doors.NotGood && !asks {
				fmt.Fprintf(t.out, "            %s\n", source.Visible(now.Cure))
			}
			if i = now; !asks || i.State == doors.Good {
				return false, nil
			}
		}
	}
}

// end tells what it came to, and what to do about the rest.
func (t *teller) end() error {
	sum := t.list.Sum()
	fmt.Fprintf(t.out, "\n%s\n", source.Visible(sum.String()))
	w := tabwriter.NewWriter(t.out, 0, 0, 2, ' ', 0)
	for _, i := range sum.Bad {
		fmt.Fprintf(w, "  %s\t%s\n", source.Visible(i.ID), source.Visible(i.Cure))
	}
	return w.Flush()
}

// keep appends what the round came to to the journal.
func (f *doorsFlags) keep(list *doors.List, zone string, alarms alarm.State, began time.Time) error {
	j := journal.Open(journalFile(context.Background(), f.journal))
	log := evening.NewLog(zone, evening.State{}, j.Add)
	writeTrials(log, alarms, began)
	log.Append(evening.Event{Time: time.Now(), Kind: evening.Doors, Text: nowAnd(list.Sum().String())})
	return j.Close()
}

// doorsOf is what the last round of this night came to, by a journal; "" for none.
func doorsOf(ctx context.Context, name, zone string) string {
	file, err := folder.OpenFile(ctx, name, maxJournal)
	if err != nil {
		return "" // there is none yet, or a pipe
	}
	defer file.Close()
	text := ""
	// Damaged lines are told by who takes the run up.
	_ = evening.Read(file, zone, func(e evening.Event) {
		if e.Kind == evening.Doors && hand.NightOf(e.Time.Local()) == hand.NightOf(time.Now()) {
			text = e.Text
		}
	})
	return text
}
