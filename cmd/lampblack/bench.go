package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"lampblack/play/output"
	"lampblack/rig"
	"lampblack/rig/bench"
	"lampblack/si"
	"lampblack/source"
)

const benchHelp = `Prove the slot table of a lamp right: stand it on the bench, alone, and go through what it
does, slot by slot. Each slot of light by itself, masters down, first light and top, where
the strobe is steady, how fast it flashes, data pulled, power cycled. Answer what you see:
yes, no, a number, the name of a light. What is otherwise than the table says is told at
the end, and corrected in the type's file after a yes, with all else in it left as it is.

DIR is the show's folder, this one if absent. Its outputs send, or those given; without
any, set each value on a desk by hand. The other slots of the universe go to 0.

"back" takes the last answer back; "quit", or ctrl-c, breaks the walk off: it goes on there
the next time, unless --anew.

Cautions. Look at the light on a sheet of paper, never into a lamp: ultraviolet hurts eyes
that feel nothing. A lamp that is otherwise than its table may flash fast: nobody who may
not see flashes is near. Ranges that flash are tried where they are slowest, after a yes; those
that no show may enter are not tried. The lamp stands safely, its supply tested, hands dry.`

// benchFlags are the options of bench.
type benchFlags struct {
	outputs  []string
	address  int
	universe int
	mode     string
	anew     bool
	json     bool
}

func benchCmd() *cobra.Command {
	var f benchFlags
	c := &cobra.Command{
		Use:   "bench [DIR] UNIT",
		Short: "prove a lamp's slot table right on the lamp itself, and correct its type",
		Long:  benchHelp,
		Args:  cobra.RangeArgs(1, 2),
		RunE: func(c *cobra.Command, args []string) error {
			dir := "."
			if len(args) == 2 {
				dir = args[0]
			}
			l, err := readWell(c, dir)
			if l != nil {
				defer l.close()
			}
			if err != nil {
				return err
			}
			return f.bench(c, l, args[len(args)-1])
		},
	}
	c.Flags().StringArrayVar(&f.outputs, "outputs", nil, "send here instead of to the show's outputs, as with run; none for nowhere")
	c.Flags().IntVar(&f.address, "address", 0, "the lamp's start address, if another than the rig says")
	c.Flags().IntVar(&f.universe, "universe", 0, "its universe, if another than the rig says")
	c.Flags().StringVar(&f.mode, "mode", "", "its mode, if another than the rig says")
	c.Flags().BoolVar(&f.anew, "anew", false, "begin anew, whatever was answered before")
	c.Flags().BoolVar(&f.json, "json", false, "print what was found as JSON")
	return c
}

// onBench is a lamp on the bench.
type onBench struct {
	unit              *rig.Unit
	mode              *rig.Mode
	modeName          string
	address, universe int
	sinks             []output.Sink
	last              time.Time // when values were sent last
	words             io.Writer
	lines             <-chan string
	ctx               context.Context

	answers []bench.Answer // given so far
	next    int            // of these, the one that is given anew
	keep    func([]bench.Answer) error
}

// errBack takes the last answer back.
var errBack = errors.New("back")

func (f *benchFlags) bench(c *cobra.Command, l *loaded, name string) (err error) {
	b, err := f.lamp(l, name)
	if err != nil {
		return err
	}
	lines := f.outputs
	if len(lines) == 0 {
		for _, o := range l.files.Bill.Outputs {
			lines = append(lines, o.Spec())
		}
	}
	if b.sinks, err = openSinks(lines, output.Open); err != nil {
		return err
	}
	defer func() {
		_ = b.send(make([]byte, b.mode.Footprint))
		for _, s := range b.sinks {
			err = errors.Join(err, s.Close())
		}
	}()
	ctx, cancel := context.WithCancel(c.Context())
	defer cancel()
	b.ctx, b.lines, b.words = ctx, linesOf(ctx, c.InOrStdin()), c.OutOrStdout()
	if f.json {
		b.words = c.ErrOrStderr()
	}
	b.keep = func(a []bench.Answer) error { return keepAnswers(l, b, a) }
	if !f.anew {
		b.answers = keptAnswers(l, b)
	}
	b.greet(len(lines) == 0 || lines[0] == "none")
	report, err := b.walk()
	if errors.Is(err, bench.ErrBroken) {
		fmt.Fprintf(c.ErrOrStderr(), "broken off after %s; the same command goes on there\n", si.Count(len(b.answers), "answer", "answers"))
		return nil
	}
	if err != nil {
		return err
	}
	return f.tell(c, l, b, report)
}

// lamp finds the unit with its mode and address.
func (f *benchFlags) lamp(l *loaded, name string) (*onBench, error) {
	if l.files.Rig == nil || l.files.Rig.Index(name) < 0 {
		var known []string
		if l.files.Rig != nil {
			known = l.files.Rig.UnitNames()
		}
		return nil, hinted{fmt.Errorf("the rig has no unit %q", name), source.OneOf(name, known)}
	}
	u := &l.files.Rig.Units[l.files.Rig.Index(name)]
	b := &onBench{unit: u, mode: u.Mode, address: u.Address, universe: u.Universe}
	if u.Type == nil {
		return nil, fmt.Errorf("unit %s has no type", name)
	}
	if f.mode != "" {
		b.mode = u.Type.Modes.Get(f.mode)
		if b.mode == nil {
			return nil, hinted{fmt.Errorf("its type %s has no mode %q", u.Type.ID, f.mode), source.OneOf(f.mode, source.Names(u.Type.Modes))}
		}
	}
	for i := range u.Type.Modes {
		if &u.Type.Modes[i].Value == b.mode {
			b.modeName = u.Type.Modes[i].Name
		}
	}
	if b.mode == nil {
		return nil, hinted{fmt.Errorf("unit %s says no mode", name), "--mode " + strings.Join(source.Names(u.Type.Modes), " or ")}
	}
	if f.address != 0 {
		b.address = f.address
	}
	if f.universe != 0 {
		b.universe = f.universe
	}
	if b.address < 1 || b.address+b.mode.Footprint-1 > 512 || b.universe < 1 || b.universe > 63999 {
		return nil, fmt.Errorf("%s at address %d of universe %d do not fit in a universe", si.Count(b.mode.Footprint, "slot", "slots"), b.address, b.universe)
	}
	return b, nil
}

func (b *onBench) greet(byHand bool) {
	fmt.Fprintf(b.words, "%s: %s, mode %s, address %d to %d of universe %d\n", b.unit.Name.Name, b.unit.Type.ID, b.modeName, b.address, b.address+b.mode.Footprint-1, b.universe)
	fmt.Fprintln(b.words, "Look at its light on a sheet of paper, never into the lamp: ultraviolet hurts eyes that feel nothing.")
	fmt.Fprintln(b.words, "Nobody who may not see flashes is near. Answer yes or no, a number, or what shines; back, quit.")
	if byHand {
		fmt.Fprintln(b.words, "There are no outputs: set the values by hand, all other slots of the lamp at 0 or as said.")
	}
	if len(b.answers) > 0 {
		fmt.Fprintf(b.words, "It goes on after %s.\n", si.Count(len(b.answers), "answer", "answers"))
	}
}

// walk leads through the steps, from the beginning with the answers that are there; back
// leads through all but the last of them again.
func (b *onBench) walk() (*bench.Report, error) {
	for {
		b.next = 0
		r, err := bench.Walk(b.unit.Type, b.mode, b.ask)
		if !errors.Is(err, errBack) {
			return r, err
		}
		b.answers = b.answers[:len(b.answers)-1]
	}
}

// ask shows a step and takes its answer; answers that are there are taken without showing
// anything.
func (b *onBench) ask(s bench.Step) (bench.Answer, error) {
	if b.next < len(b.answers) {
		b.next++
		return b.answers[b.next-1], nil
	}
	fmt.Fprintf(b.words, "\n%2d  %s\n", len(b.answers)+1, s.Say)
	if len(b.sinks) == 0 {
		fmt.Fprintf(b.words, "    %s\n", b.byHand(s.Slots))
	}
	if s.Before != nil {
		if err := b.send(s.Before); err != nil {
			return bench.Answer{}, err
		}
		if err := b.before(s); err != nil {
			return bench.Answer{}, err
		}
	}
	if err := b.send(s.Slots); err != nil {
		return bench.Answer{}, err
	}
	return b.answer(s)
}

// before waits until the first of two was looked at.
func (b *onBench) before(s bench.Step) error {
	if len(b.sinks) == 0 {
		fmt.Fprintf(b.words, "    before: %s\n", b.byHand(s.Before))
	}
	fmt.Fprint(b.words, "    Look at it as it is now; enter for the next: ")
	_, err := b.line()
	return err
}

// answer reads lines until one is an answer.
func (b *onBench) answer(s bench.Step) (bench.Answer, error) {
	for {
		fmt.Fprintf(b.words, "    %s: ", strings.TrimSpace(s.Ask))
		line, err := b.line()
		if err != nil {
			return bench.Answer{}, err
		}
		if line == "back" {
			if len(b.answers) > 0 {
				return bench.Answer{}, errBack
			}
			continue
		}
		a, err := s.Read(line)
		if err != nil {
			fmt.Fprintf(b.words, "    %v\n", err)
			continue
		}
		b.answers = append(b.answers, a)
		b.next++
		return a, b.keep(b.answers)
	}
}

// line is the next line that is typed.
func (b *onBench) line() (string, error) {
	select {
	case line, open := <-b.lines:
		line = strings.ToLower(strings.TrimSpace(line))
		if !open || line == "quit" || line == "q" {
			fmt.Fprintln(b.words)
			return "", bench.ErrBroken
		}
		return line, nil
	case <-b.ctx.Done():
		return "", bench.ErrBroken
	}
}

// byHand says the values that are not 0, for a desk.
func (b *onBench) byHand(slots []byte) string {
	var parts []string
	for i, v := range slots {
		if v > 0 {
			parts = append(parts, fmt.Sprintf("slot %d (address %d) at %d", i+1, b.address+i, v))
		}
	}
	if len(parts) == 0 {
		return "all slots at 0"
	}
	return strings.Join(parts, ", ")
}

// benchPace is the least time between two changes: whoever answers ever so fast, or a pipe
// that does, makes no lamp flash oftener than three times in two seconds.
const benchPace = 350 * time.Millisecond

// send sends the lamp's slots, all others of its universe at 0.
func (b *onBench) send(slots []byte) error {
	if len(b.sinks) == 0 {
		return nil
	}
	time.Sleep(time.Until(b.last.Add(benchPace)))
	b.last = time.Now()
	all := make([]byte, 512)
	copy(all[b.address-1:], slots)
	var errs []error
	for _, s := range b.sinks {
		errs = append(errs, s.Send([]output.Frame{{Universe: uint16(b.universe), Slots: all}}, time.Now()))
	}
	return errors.Join(errs...)
}

// tell says what was found, and corrects the type after a yes.
func (f *benchFlags) tell(c *cobra.Command, l *loaded, b *onBench, r *bench.Report) error {
	if f.json {
		if err := writeJSON(c.OutOrStdout(), r); err != nil {
			return err
		}
	}
	fmt.Fprintln(b.words)
	if len(r.Findings) == 0 {
		fmt.Fprintln(b.words, "As its table says, in all that was tried.")
	} else {
		fmt.Fprintln(b.words, "Otherwise than its table says:")
	}
	for _, g := range r.Findings {
		if g.Slot > 0 {
			fmt.Fprintf(b.words, "  slot %d: %s\n", g.Slot, g.Text)
		} else {
			fmt.Fprintf(b.words, "  %s\n", g.Text)
		}
	}
	for _, text := range r.Left {
		fmt.Fprintf(b.words, "  not tried: %s\n", text)
	}
	if len(r.Changes) > 0 {
		if err := b.correct(c, l, r); err != nil {
			return err
		}
	}
	return forgetAnswers(l, b)
}

// correct writes the changes into the type's file: all or nothing, after a yes.
func (b *onBench) correct(c *cobra.Command, l *loaded, r *bench.Report) error {
	file := "fixtures/" + b.unit.Type.ID + ".yaml"
	fmt.Fprintf(b.words, "\nTo be changed in %s:\n", file)
	for _, text := range r.Changes {
		fmt.Fprintf(b.words, "  %s\n", text)
	}
	if b.unit.Type.Generic() {
		say(c.ErrOrStderr(), "note", "this type is built in, and stays as it is: write a file of your own for the lamp, with lampblack fixture new")
		return nil
	}
	text, err := l.folder.ReadFile(file)
	if err != nil {
		return err
	}
	data, err := r.Edit(file, b.modeName, text)
	if err != nil {
		return fmt.Errorf("nothing was changed: %w", err)
	}
	fmt.Fprint(b.words, "Write that into the file? yes or no: ")
	line, err := b.line()
	if err != nil || !slices.Contains([]string{"y", "yes"}, line) {
		fmt.Fprintln(c.ErrOrStderr(), "nothing was changed")
		return nil
	}
	e := l.folder.Edit()
	e.Put(file, data)
	if err := e.Commit(); err != nil {
		return unlessChanged(err)
	}
	fmt.Fprintf(c.ErrOrStderr(), "%s in %s; all units of this type go by it\n", si.Count(len(r.Changes), "change", "changes"), file)
	return nil
}
