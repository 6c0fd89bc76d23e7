package main

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"lampblack/check/finding"
	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/governor"
	"lampblack/play/keeper"
	"lampblack/play/output"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const runHelp = `Run a show: play the soundtrack on the sound device, if there is one, and send
the light of each instant to the show's outputs, ` + "`outputs`" + ` in show.yaml.

Keys, on a terminal:
  space   hold: time and light stand
  enter   go: on from a hold, or release what waits; else, in a show of one
          piece without sound and without waits, to the next cue. Two presses
          within 0.3 s are one; while lights are up it does nothing
  n       skip: to the next cue, sound and all; while sound runs, twice within
          3 s
  b       back to the last cue
  f       freeze light: it stands as it is, time and sound go on
  u       light on again: back to where the show is, over 2 s
  s       stop all: time and light stand, the sound fades out over 3 s; go goes
          on from there, with what has faded
  x       all extra sounds off, over 1 s; they begin with keys of their own,
          extra sounds in show.yaml
  l       lights up; they stay up, however often
  d       lights down: the show's light again, and time still stands
  r       twice within 3 s: reset an alarm that stands
  e       take a change of the files that is offered; c when the next cue begins;
          i not tonight; z back to what ran before the last that was taken
  t       a beat of the player, with --beat tap
  q       quit

With a running order (order.yaml) it goes from step to step: a standing look waits
for go or for what its order says, a piece goes over into the next step at its end,
and back at a step's beginning is the step before. Go releases what waits; it never
moves sound that runs.

A light that is frozen does not flash, and ultraviolet in it stays on: mind how
long. What is frozen stays so in the next steps, until light on again.

With zones (zones.yaml) all zones run at once, each by its own order. Keys mean all
of them, or those that wait for go.

A show that comes to its end holds its last look until go, which brings the lights
up and ends the run; where nobody can press go (no terminal and no page), it ends by
itself.

When what it goes by is gone (the sound device, another machine's timecode, the
player's beat), the line says so within a second, and what to do. Without sound the
light goes on by the computer's clock, and the sound comes in again where the show
is by then; a beat is waited for. Timecode is freewheeled past for a time, and then
the show goes on by the computer's clock, holds, or falls to a look, as timecode in
show.yaml says; while it holds, go goes on by the computer's clock. It follows again
by itself when that is back, or on go.

With live sound in show.yaml, what moves with the beat or the sound goes by what a
sound input hears, wherever there is no soundtrack: the line says what that is. Its
flashes cannot be known beforehand; they are counted and softened as they are sent.

With --journal everything that happens is kept, and --resume goes on from there
after the computer failed. What the checks said of flashing holds at the show's
own speed: a beat or timecode that runs faster flashes faster.

When an alarm input of show.yaml says alarm, the lights come up with the next frame
with ultraviolet and flashing off, all sound stops and time stands, whatever goes on,
until it is reset: r twice. That is refused while an input still says alarm. Then the
lights stay up: lights down, then go. It is no fire alarm system and no part of one.

However it ends, the last frames bring the lights up with ultraviolet and
flashing off, and every output is told that the stream is over.

Exit signs, emergency lighting and house lights must work without this program: the
lights that the show controls are none of them. Keep a way to the house lights that
needs no computer. Local codes and licensed people decide what a place needs.`

type runFlags struct {
	from, length string
	outputs      []string
	clockFlags
	pairFlags
	held    bool
	json    bool
	journal string
	resumes bool

	rehearses bool // edits of the files are taken at once
	metrics   string
	nights    int
	send      []string
	address   string // of the pages, "" for none

	step    string        // of the evening, by name
	evening *show.Evening // nil for a show of one piece
	place   *show.Place   // nil for a place that is one
	files   *show.Files
	texts   map[string][]byte // of the show
	out     []string          // the units without which it is solved
	idle    *show.Place       // in place of the show: no show runs
	signed  governor.Allowed  // flashes that somebody has signed for
}

func runCmd() *cobra.Command {
	var f runFlags
	c := &cobra.Command{
		Use:   "run DIR",
		Short: "run a show in time with its sound",
		Long:  runHelp,
		Args:  dirArg,
		RunE: kept(always, func(c *cobra.Command, args []string) error {
			l, s, err := solvedFor(c, args[0], reading{night: true}, wholeAs)
			if err != nil {
				return err
			}
			f.of(l)
			return runShow(c, l.folder.Dir(), s, f, nil)
		}),
	}
	f.flags(c)
	return c
}

// of takes over what is to run.
func (f *runFlags) of(l *loaded) {
	f.evening, f.place, f.files, f.texts, f.out, f.signed = l.evening, l.place, &l.files, l.texts, l.how.out, signedFor(l.findings)
}

func (f *runFlags) outputsFlag(c *cobra.Command) {
	c.Flags().StringArrayVar(&f.outputs, "outputs", nil, "send here instead (may be given several times): \"e131 multicast\", \"e131 192.168.1.20 universes 1-3\", \"artnet nodes\", \"serial DEVICE\", \"widget DEVICE\", \"file PATH\"; none for nowhere")
}

func (f *runFlags) flags(c *cobra.Command) {
	c.Flags().StringVar(&f.from, "from", "0:00", "where in the show to begin")
	c.Flags().StringVar(&f.step, "step", "", "the step of the running order to begin with, by its name in order.yaml")
	c.Flags().StringVar(&f.length, "for", "", "stop after this long, as 10s")
	f.outputsFlag(c)
	f.clockFlags.flags(c)
	f.pairFlags.flags(c)
	c.Flags().BoolVar(&f.held, "held", false, "wait for go")
	c.Flags().BoolVar(&f.json, "json", false, "print what the run came to as JSON")
	c.Flags().StringArrayVar(&f.send, "send", nil, "tell another machine (may be given several times): "+sendForms+"; OSC carries the cue's number as a string, or with \"as number\" as one")
	c.Flags().StringVar(&f.journal, "journal", "", "append what happens to this file, one JSON object a line, instead of the night's in the folder's "+nightsDir+"; none for nowhere")
	f.metricsFlag(c)
	c.Flags().BoolVar(&f.rehearses, "rehearsal", false, "take changes of the show's files at once, in place of offering them; z takes them back")
	c.Flags().IntVar(&f.nights, "keep-nights", usualNights, "how many nights stay written down; older ones are removed as a run begins, and the oldest beyond 1 GiB")
	c.Flags().BoolVar(&f.resumes, "resume", false, "go on where the journal says that a run was cut off, if one was")
}

// options turns flags into those of a run.
func (f *runFlags) options(s *show.Show) (play.Options, error) {
	o := play.Options{Flashes: f.signed, Zone: s.Bill.Title, Again: s.Bill.Again(), Start: evening.State{Held: f.held}}
	var err error
	if o.Start.In, err = si.ParseTime(f.from); err != nil {
		return o, hinted{err, "--from takes a time as 1:02.5"}
	}
	if s, err = f.begins(s, &o); err != nil {
		return o, err
	}
	if o.Start.In < 0 || o.Start.In > s.Length {
		return o, fmt.Errorf("the show runs from 0:00 to %s, and %s is outside", si.FormatTime(s.Length), f.from)
	}
	if f.length != "" {
		if o.For, err = parseLength(f.length); err != nil {
			return o, hinted{err, "--for takes a time as 10s or 1:30"}
		}
	}
	return o, nil
}

// signedFor is how many flashes a second somebody has signed for: the run then holds none of
// them.
func signedFor(list []finding.Finding) (a governor.Allowed) {
	for _, f := range list {
		switch {
		case f.Signed == "" || f.Severity != finding.Stop:
		case f.ID == "flash-union":
			a.Units = max(a.Units, int(f.Value))
		case f.ID == "flash-rate" || f.ID == "flash-red":
			a.Eye = max(a.Eye, int(f.Value))
		}
	}
	return a
}

// begins puts the evening, or the place, into the options, and returns the show of the step
// that it begins with. A show of one piece with waits is an evening of that piece.
func (f *runFlags) begins(s *show.Show, o *play.Options) (*show.Show, error) {
	if f.files != nil {
		o.Warning, o.Hours = f.files.Order.Warns(), f.files.Calendar
	}
	e := f.evening
	if e == nil && f.place == nil && len(s.Waits) > 0 {
		e = s.Alone(nil).Zones[0].Evening
	}
	switch {
	case (f.beat != "" || f.follow != "" || f.at != "") && (e != nil || f.place != nil):
		return nil, hinted{errors.New("--beat, --follow and --at are for a show of one piece without waits, and cannot go with a running order, with waits or with zones"), "what begins at a time of day says so in its order: until: 20:00"}
	case len(f.send) > 0 && f.place != nil:
		return nil, errors.New("--send tells of one order, and cannot go with zones")
	case f.step != "" && f.evening == nil:
		return nil, hinted{errors.New("this show has no running order, so there is no step to begin with"), "order.yaml holds one"}
	case f.idle != nil:
		o.Place = f.idle
		return s, nil
	case f.place != nil:
		o.Place = f.place
		return s, nil
	case e == nil:
		return s, nil
	}
	o.Evening = e
	if f.step == "" {
		return e.Steps[0].Show, nil
	}
	i := e.Index(f.step)
	if i < 0 {
		return nil, hinted{fmt.Errorf("the running order has no step %q", f.step), source.OneOf(f.step, e.Names())}
	}
	o.Start.Step = i + 1
	return e.Steps[i].Show, nil
}

// stage is the place that a run with the options goes through.
func (f *runFlags) stage(s *show.Show, o *play.Options) *show.Place {
	p := o.Place
	if p == nil {
		p = s.Alone(o.Evening)
		p.Zones[0].Name = o.Zone
	}
	return p
}

// parseLength takes the show's own times, and Go's, which scripts like.
func parseLength(text string) (time.Duration, error) {
	if d, err := time.ParseDuration(text); err == nil && d > 0 {
		return d, nil
	}
	d, err := si.ParseTime(text)
	if err == nil && d <= 0 {
		err = fmt.Errorf("%s is no length of time", text)
	}
	return d, err
}

// follower is told where the run is: the book.
type follower interface {
	listens(contacts) // to triggers, before the run begins
	holds(*byHand)    // before the run begins
	changes(*edits)   // before the run begins
	hears(*speakers)  // before the run begins
	goesRound(sinks []output.Sink, written chan<- string, said string)
	follow(play.Status)
	commands() <-chan play.Command
}

func runShow(c *cobra.Command, dir string, s *show.Show, f runFlags, book follower) (err error) {
	words := c.ErrOrStderr()
	o, err := f.options(s)
	if err != nil {
		return err
	}
	if err := f.pairFlags.check(c.Flags().Changed("pair")); err != nil {
		return err
	}
	if f.standby {
		f.silent = f.silent || !f.heard
	}
	f.findJournal(words, dir)
	f.boundNights(c.Context(), words)
	keepFiles(c.Context(), f.journal, f.texts)
	if err := f.resume(c.Context(), words, s, &o); err != nil {
		return err
	}
	if len(f.outputs) == 0 && len(s.Bill.Outputs) == 0 {
		say(words, "note", `the show names no outputs, so its light goes nowhere: --outputs "e131 multicast" sends it, and lampblack run --help has the other forms`)
	}
	line := newStatusLine(words)
	defer f.clockFlags.close()
	f.sounds(c.Context(), line.say, dir, s, &o)
	closeJournal, err := f.open(c.Context(), line.say, dir, s, &o)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, closeJournal()) }()
	if o.Wire == nil { // else whoever has the outputs notices
		defer noticeOthers(line.say, s.Bill.Title, o.Sinks, nil)()
	}
	ctx, cancel := context.WithCancel(c.Context())
	defer cancel()
	if f.journal != "" {
		var breathing sync.WaitGroup
		breathing.Go(func() { breathe(ctx, f.journal) })
		defer func() { cancel(); breathing.Wait() }()
	}
	triggers, err := f.listen(ctx, line.say, &o)
	if err != nil {
		return errors.Join(err, abandon(&o))
	}
	defer func() { err = errors.Join(err, triggers.close()) }()
	if triggers.alarm, err = f.hearAlarm(ctx, s, &o); err != nil {
		return errors.Join(err, abandon(&o))
	}
	defer func() { err = errors.Join(err, closeAlarm(triggers.alarm)) }()
	f.hearLive(ctx, line.say, s, &o)
	pin(c.Context(), f.journal, f.texts)
	onStage.Store(true)
	lamps, err := openByHand(ctx, line.say, dir, &f, s, &o)
	if err != nil {
		return errors.Join(err, abandon(&o))
	}
	defer func() { cancel(); lamps.close() }()
	other, err := f.openPair(ctx, line.say, lamps, &o)
	if err != nil {
		return errors.Join(err, abandon(&o))
	}
	defer func() { err = errors.Join(err, other.close()) }()
	watch, err := f.attend(line.say, &o)
	if err != nil {
		return errors.Join(err, abandon(&o))
	}
	defer func() { err = errors.Join(err, watch.close()) }()
	edits := watchEdits(ctx, lamps, line.say, &f, other.leads)
	defer func() { cancel(); edits.close() }()
	if book != nil {
		book.changes(edits)
	}
	said := make(chan string, 4)
	o.Doors = said
	round := doorsOf(ctx, f.journal, f.zone(s))
	if round != "" {
		said <- round
	}
	if book != nil {
		book.listens(triggers)
		book.holds(lamps)
		book.hears(f.speakers)
		book.goesRound(o.Sinks, said, round)
	}
	keys, restore := readKeys(ctx, triggers, f.extraKeys())
	defer restore()
	commands, merged := merge(ctx, keys, book, edits.order)
	o.Commands = commands
	o.Rests = keys != nil || book != nil
	defer func() { cancel(); <-merged }()
	o.Report = func(st play.Status) {
		lamps.tell()
		edits.follow(&st)
		line.show(st)
		watch.follow(st)
		if book != nil {
			book.follow(st)
		}
	}
	var sum play.Summary
	if f.standby {
		sum, err = f.standBy(ctx, dir, o, other)
	} else {
		sum, err = play.Run(ctx, s, o)
	}
	line.end()
	if err != nil {
		return err
	}
	return printSummary(c.OutOrStdout(), sum, f.json)
}

// zone is what the events of the run name as its first zone.
func (f *runFlags) zone(s *show.Show) string {
	if f.place != nil {
		return f.place.Zones[0].Name
	}
	return s.Bill.Title
}

// open opens all that a run needs, or nothing: what is open when something else
// cannot be is closed again. It returns what closes the journal; the rest is
// closed by the run.
func (f *runFlags) open(ctx context.Context, tell func(what, text string), dir string, s *show.Show, o *play.Options) (closeJournal func() error, err error) {
	defer func() {
		if err != nil {
			err = errors.Join(err, abandon(o))
		}
	}()
	if err := f.openOutputs(tell, s, o); err != nil {
		return nil, err
	}
	if o.Place != nil {
		f.openZones(ctx, tell, dir, o)
	} else if o.Evening != nil {
		f.openPieces(ctx, tell, dir, o)
	} else if err := f.openClock(ctx, tell, dir, s, o); err != nil {
		return nil, err
	}
	if o.Senders, err = openSenders(s, f.send); err != nil {
		return nil, err
	}
	return f.openJournal(ctx, o), nil
}

// abandon closes what was opened for a run that does not come about.
func abandon(o *play.Options) error {
	var all []error
	for _, s := range o.Sinks {
		all = append(all, s.Close())
	}
	if o.Wire != nil {
		_, err := o.Wire.Close(0)
		all = append(all, err)
	}
	for _, s := range o.Senders {
		all = append(all, s.Close())
	}
	if o.Clock != nil {
		all = append(all, o.Clock.Close())
	}
	if o.Hearing != nil {
		all = append(all, o.Hearing.Close())
	}
	return errors.Join(all...)
}

// openOutputs opens what the show says, or what the command line says instead: in the keeper,
// if the run has one.
func (f *runFlags) openOutputs(tell func(what, text string), s *show.Show, o *play.Options) (err error) {
	lines := outputLines(s, f.outputs)
	if f.standby {
		lines = behind(tell, lines)
	}
	if toKeeper != nil {
		return openKept(tell, o, keeper.Opening{Show: s.Bill.Title, Outputs: lines, Rate: play.Rate, Journal: f.journal, Address: f.address, Standby: f.standby,
			Times: keeper.Times{Stands: s.Bill.Silence.Stands, Ultraviolet: s.Bill.Silence.Ultraviolet}})
	}
	o.Sinks, err = openSinks(lines, awaits(f.standby, nil))
	return err
}

// outputLines are the lines of the outputs: those given, or the show's.
func outputLines(s *show.Show, given []string) []string {
	if len(given) > 0 {
		return given
	}
	var out []string
	for _, o := range s.Bill.Outputs {
		out = append(out, o.Spec())
	}
	return out
}

// awaits opens outputs of a run, as those of a machine that stands by or not.
func awaits(standby bool, allies *output.Allies) func(string, output.Options) (output.Sink, error) {
	return func(spec string, o output.Options) (output.Sink, error) {
		o.Standby, o.Allies = standby, allies
		return output.Await(spec, o)
	}
}

// openSinks opens outputs: all of them, or none. A run awaits those that are not there yet.
func openSinks(lines []string, open func(spec string, o output.Options) (output.Sink, error)) ([]output.Sink, error) {
	if len(lines) == 1 && lines[0] == "none" {
		return nil, nil
	}
	var sinks []output.Sink
	source := output.Options{Announced: &output.Announced{}}
	for _, spec := range lines {
		sink, err := open(spec, source)
		if err != nil {
			for _, s := range sinks {
				_ = s.Close()
			}
			return nil, fmt.Errorf("open output %q: %w", spec, err)
		}
		sinks = append(sinks, output.Carry(sink))
	}
	return sinks, nil
}
