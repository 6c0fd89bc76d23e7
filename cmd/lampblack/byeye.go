package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"lampblack/play/output"
	"lampblack/room/measure"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const byEyeHelp = `

Without a meter, --by-eye A --beside B matches two units on one white sheet: put
them side by side, as far from it and as square to it, so that their two patches
touch. One emitter of each lights at a time, through the show's outputs; say which
patch is brighter until they look alike, at most fifteen times. --keep writes what
was found into readings.yaml. For ultraviolet, use a sheet that glows evenly, look
at the sheet alone, and keep everybody's eyes out of the beams.`

// byEyeFlags are those of a match by eye.
type byEyeFlags struct {
	unit, beside, emitter string
	outputs               []string
	keep                  bool
}

func (f *byEyeFlags) flags(c *cobra.Command) {
	c.Flags().StringVar(&f.unit, "by-eye", "", "match this unit, which stands on the left, with another by eye")
	c.Flags().StringVar(&f.beside, "beside", "", "the unit that it is matched with, which stands on the right")
	c.Flags().StringVar(&f.emitter, "emitter", "", "match this emitter alone (all that both units have if absent)")
	c.Flags().StringArrayVar(&f.outputs, "outputs", nil, "send here instead of to the show's outputs, as with run; none for nowhere")
	c.Flags().BoolVar(&f.keep, "keep", false, "add what was found to readings.yaml")
}

// sideBySide is two units on one sheet, as a match has them.
type sideBySide struct {
	show  *show.Show
	units [2]int // left, right
	sinks []output.Sink
	frame *show.Frame
}

// byEye leads through the matches of two units.
func (f *byEyeFlags) byEye(c *cobra.Command, l *loaded, s *show.Show) (err error) {
	sh := &sideBySide{show: s, frame: s.NewFrame()}
	for i, name := range []string{f.unit, f.beside} {
		if sh.units[i] = s.Rig.Index(name); sh.units[i] < 0 {
			return hinted{fmt.Errorf("there is no unit %q", name), source.OneOf(name, s.Rig.UnitNames())}
		}
	}
	if sh.units[0] == sh.units[1] {
		return errors.New("a unit is always like itself: name two")
	}
	emitters := sh.emitters()
	if f.emitter != "" {
		if !slices.Contains(emitters, f.emitter) {
			return hinted{fmt.Errorf("the two units have no emitter %q in common", f.emitter), source.OneOf(f.emitter, emitters)}
		}
		emitters = []string{f.emitter}
	}
	if len(emitters) == 0 {
		return errors.New("the two units have no emitter of one name")
	}
	if sh.sinks, err = openSinks(outputLines(s, f.outputs), output.Open); err != nil {
		return err
	}
	defer func() {
		sh.dark()
		for _, sink := range sh.sinks {
			err = errors.Join(err, sink.Close())
		}
	}()
	if len(sh.sinks) == 0 {
		say(c.ErrOrStderr(), "note", "there are no outputs: set each level by hand, as a share of the emitter's full light")
	}
	ctx, cancel := context.WithCancel(c.Context())
	defer cancel()
	var found []string
	lines := linesOf(ctx, c.InOrStdin())
	for _, e := range emitters {
		line, err := sh.match(ctx, c.OutOrStdout(), lines, e)
		if errors.Is(err, errLeft) {
			break
		}
		if err != nil {
			return err
		}
		found = append(found, line)
	}
	if len(found) == 0 {
		return nil
	}
	return f.kept(c, l, found)
}

// kept writes what was found into the file, or prints what belongs there.
func (f *byEyeFlags) kept(c *cobra.Command, l *loaded, found []string) error {
	if !f.keep {
		fmt.Fprintf(c.OutOrStdout(), "\nFor %s (--keep writes it):\nreadings:\n", show.ReadingsFile)
		for _, line := range found {
			fmt.Fprintln(c.OutOrStdout(), "  - "+line)
		}
		return nil
	}
	was, err := l.folder.Optional(show.ReadingsFile)
	if err != nil {
		return err
	}
	if len(was) == 0 {
		was = []byte("readings: []\n")
	}
	text, faults := source.OpenText(show.ReadingsFile, was)
	if err := faults.Err(); err != nil {
		return err
	}
	if err := text.Append("readings", found...); err != nil {
		return err
	}
	data, err := text.Bytes()
	if err != nil {
		return err
	}
	e := l.folder.Edit()
	e.Put(show.ReadingsFile, data)
	if err := e.Commit(); err != nil {
		return unlessChanged(err)
	}
	fmt.Fprintf(c.OutOrStdout(), "\n%s added to %s; `lampblack measure` tells what they come to\n", si.Count(len(found), "match", "matches"), show.ReadingsFile)
	return nil
}

// emitters are the names that both units have, in the order of the left one.
func (sh *sideBySide) emitters() (out []string) {
	kinds := [2][]string{}
	for i, u := range sh.units {
		if t := sh.show.Rig.Units[u].Type; t != nil {
			kinds[i] = source.Names(t.Emitters)
		}
	}
	for _, name := range kinds[0] {
		if slices.Contains(kinds[1], name) {
			out = append(out, name)
		}
	}
	return out
}

// light shows an emitter of both units at these levels, and all else dark.
func (sh *sideBySide) light(emitter string, n measure.Nudge) error {
	clear(sh.frame.Levels)
	clear(sh.frame.Flash)
	for i, level := range []si.Ratio{n.Left, n.Right} {
		from, to := sh.show.Rig.UnitDrives(sh.units[i])
		kind := sh.show.Rig.Units[sh.units[i]].Type
		for d := from; d < to; d++ {
			if kind.Emitters[sh.show.Rig.Drives[d].Emitter].Name == emitter {
				sh.frame.Levels[d] = float32(level)
			}
		}
	}
	return sh.send()
}

func (sh *sideBySide) dark() {
	clear(sh.frame.Levels)
	_ = sh.send()
}

func (sh *sideBySide) send() error {
	sh.show.Encode(sh.frame)
	frames := framesOf(sh.frame)
	var all []error
	for _, sink := range sh.sinks {
		all = append(all, sink.Send(frames, time.Now()))
	}
	return errors.Join(all...)
}

// highestUV is the most of a black light's full that a match shows: two patches on a sheet
// near by glow enough with less (a choice, no source).
const highestUV = .4

// errLeft ends the matches before their end.
var errLeft = errors.New("left")

// match leads through one emitter and returns its line for readings.yaml. Back takes the
// last answer back: the answers before it are given anew to a new match, which is led by
// them alone.
func (sh *sideBySide) match(ctx context.Context, out io.Writer, lines <-chan string, emitter string) (string, error) {
	names := [2]string{sh.show.Rig.Units[sh.units[0]].Name.Name, sh.show.Rig.Units[sh.units[1]].Name.Name}
	kind := sh.show.Rig.Units[sh.units[0]].Type
	fmt.Fprintf(out, "\n%s: %s on the left, %s on the right. Which patch is brighter? left, right, alike; back, quit (the first letter does)\n", emitter, names[0], names[1])
	var o measure.MatchOptions
	if kind.Emitters.Get(emitter).Light.BlackLight() {
		o.Highest = highestUV
		fmt.Fprintln(out, "This is ultraviolet: look at the sheet alone, never into a lamp, and let nobody stand in the beams.")
	}
	var answers []measure.Seen
	m := measure.NewMatch(o)
	for !m.Done() {
		n := m.Next()
		if err := sh.light(emitter, n); err != nil {
			return "", err
		}
		fmt.Fprintf(out, "%2d  left %.1f %%, right %.1f %%  ", m.Answers()+1, 100*float64(n.Left), 100*float64(n.Right))
		var line string
		var open bool
		select {
		case line, open = <-lines:
		case <-ctx.Done():
			return "", ctx.Err()
		}
		if !open {
			fmt.Fprintln(out)
			return "", errLeft
		}
		switch seen, word := answerOf(line); {
		case word == "quit":
			return "", errLeft
		case word == "back" && len(answers) > 0:
			answers = answers[:len(answers)-1]
			m = measure.NewMatch(o)
			for _, a := range answers {
				m.Answer(a)
			}
		case word == "seen":
			answers = append(answers, seen)
			m.Answer(seen)
		default:
			fmt.Fprintln(out, "write left, right, alike, back or quit")
		}
	}
	line := readingOf(names, emitter, m.Result())
	fmt.Fprintf(out, "%s after %s: %s\n", emitter, si.Count(m.Answers(), "answer", "answers"), line)
	return line, nil
}

// answerOf reads an answer by its first letter.
func answerOf(line string) (measure.Seen, string) {
	switch strings.ToLower(strings.TrimSpace(line) + " ")[0] {
	case 'l':
		return measure.LeftBrighter, "seen"
	case 'r':
		return measure.RightBrighter, "seen"
	case 'a':
		return measure.Alike, "seen"
	case 'b':
		return 0, "back"
	case 'q':
		return 0, "quit"
	}
	return 0, ""
}

// readingOf is a match as a line of readings.yaml: the weaker unit at full is like the
// other at a level.
func readingOf(names [2]string, emitter string, right si.Estimate[si.Ratio]) string {
	level := right
	if right.Best >= 1 {
		level = si.Estimate[si.Ratio]{Best: 1 / right.Best, Low: 1 / right.High, High: 1 / right.Low}
	} else {
		names[0], names[1] = names[1], names[0]
	}
	percent := func(r si.Ratio) string { return fmt.Sprintf("%.4g %%", math.Round(1000*float64(r))/10) }
	return fmt.Sprintf("{unit: %s, emitter: %s, matches: %s, at level: %s (%s to %s)}",
		source.Quote(names[0]), source.Quote(emitter), source.Quote(names[1]), percent(level.Best), percent(level.Low), percent(level.High))
}
