package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/play"
	"lampblack/play/chase"
	"lampblack/play/output"
	"lampblack/show"
	"lampblack/si"
)

const runHelp = `Run a show: play the soundtrack on the sound device, if there is one, and send
the light of each instant to the show's outputs, ` + "`outputs`" + ` in show.yaml.

Keys, on a terminal:
  space   hold, and go on
  enter   go: on from a hold, else to the next cue
  b       back to the last cue
  l       lights up, and down again
  t       a beat of the player, with --beat tap
  q       quit

However it ends, the last frames bring the lights up with ultraviolet and
flashing off, and every output is told that the stream is over.

The lights that the show controls are not emergency lighting. Keep a way to the
house lights that needs no computer.`

type runFlags struct {
	from, length string
	outputs      []string
	silent, held bool
	json         bool
	journal      string
	beat, follow string
	send         []string
}

func runCmd() *cobra.Command {
	var f runFlags
	c := &cobra.Command{
		Use:   "run DIR",
		Short: "run a show in time with its sound",
		Long:  runHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			s, err := runnable(c, args[0])
			if err != nil {
				return err
			}
			return runShow(c, args[0], s, f, nil)
		},
	}
	f.flags(c)
	return c
}

func (f *runFlags) flags(c *cobra.Command) {
	c.Flags().StringVar(&f.from, "from", "0:00", "where in the show to begin")
	c.Flags().StringVar(&f.length, "for", "", "stop after this long, as 10s")
	c.Flags().StringArrayVar(&f.outputs, "outputs", nil, "send here instead (may be given several times): \"e131 multicast\", \"e131 192.168.1.20 universes 1-3\", \"artnet nodes\", \"serial DEVICE\", \"widget DEVICE\", \"file PATH\"; none for nowhere")
	c.Flags().BoolVar(&f.silent, "silent", false, "do not play the soundtrack; run on the computer's clock")
	c.Flags().BoolVar(&f.held, "held", false, "wait for go")
	c.Flags().BoolVar(&f.json, "json", false, "print what the run came to as JSON")
	c.Flags().StringVar(&f.beat, "beat", "", "follow a live player: \"tap\", or the MIDI port whose clock is followed, as /dev/snd/midiC1D0")
	c.Flags().StringVar(&f.follow, "follow", "", "follow another machine's timecode: \"mtc PORT\", or \"ltc FILE\" with 48 kHz 16-bit mono samples (- is standard input); then maybe \"rate 25\", \"start 10:00:00:00\"")
	c.Flags().StringArrayVar(&f.send, "send", nil, "tell another machine (may be given several times): \"notes PORT\", \"programs PORT\", \"show-control PORT\", \"mtc PORT\", \"ltc PIPE\"")
	c.Flags().StringVar(&f.journal, "journal", "", "append what happens to this file, one JSON object a line")
}

// options turns flags into those of a run.
func (f *runFlags) options(s *show.Show) (play.Options, error) {
	o := play.Options{Held: f.held}
	var err error
	if o.From, err = si.ParseTime(f.from); err != nil {
		return o, hinted{err, "--from takes a time as 1:02.5"}
	}
	if o.From < 0 || o.From > s.Length {
		return o, fmt.Errorf("the show runs from 0:00 to %s, and %s is outside", si.FormatTime(s.Length), f.from)
	}
	if f.length != "" {
		if o.For, err = parseLength(f.length); err != nil {
			return o, hinted{err, "--for takes a time as 10s or 1:30"}
		}
	}
	return o, nil
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
	follow(play.Status)
	commands() <-chan play.Command
}

func runShow(c *cobra.Command, dir string, s *show.Show, f runFlags, book follower) (err error) {
	words := c.ErrOrStderr()
	o, err := f.options(s)
	if err != nil {
		return err
	}
	if o.Sinks, err = openOutputs(s, f.outputs); err != nil {
		return err
	}
	if o.Clock, err = f.openClock(c.Context(), words, dir, s); err != nil {
		return err
	}
	if o.Senders, err = openSenders(s, f.send); err != nil {
		return err
	}
	if _, heard := o.Clock.(*play.Sound); heard {
		o.Lead = -s.Bill.Timing.Offset()
	}
	closeJournal, err := f.openJournal(&o)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, closeJournal()) }()
	ctx, cancel := context.WithCancel(c.Context())
	defer cancel()
	keys, restore := readKeys(ctx)
	defer restore()
	o.Commands = merge(ctx, keys, book)
	line := newStatusLine(words)
	o.Report = func(st play.Status) {
		line.show(st)
		if book != nil {
			book.follow(st)
		}
	}
	sum, err := play.Run(ctx, s, o)
	line.end()
	if err != nil {
		return err
	}
	return printSummary(c.OutOrStdout(), sum, f.json)
}

// openClock opens what the run goes by: a live player's beat, the sound that is
// heard, or the computer's own clock.
func (f *runFlags) openClock(ctx context.Context, words io.Writer, dir string, s *show.Show) (play.Clock, error) {
	switch {
	case f.beat != "" && f.follow != "":
		return nil, errors.New("--beat and --follow exclude one another")
	case f.beat != "":
		return f.openBeat(s)
	case f.follow != "":
		return chase.Follow(f.follow, nil)
	}
	if f.silent {
		return &play.WallClock{}, nil
	}
	sound, err := openSound(ctx, dir, s)
	if err == nil {
		return sound, nil
	}
	if errors.Is(err, play.ErrNoDevice) {
		say(words, "note", "no sound device: running silently on the computer's clock")
	} else {
		say(words, "warning", "the soundtrack is not played: "+err.Error())
	}
	return &play.WallClock{}, nil
}

// openSound opens the show's soundtrack on the sound device.
func openSound(ctx context.Context, dir string, s *show.Show) (*play.Sound, error) {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return nil, err
	}
	l := &loaded{folder: f, files: show.Files{Bill: s.Bill}}
	defer l.close()
	path, err := l.soundtrack()
	if err != nil {
		return nil, err
	}
	return play.OpenSound(ctx, path)
}

// openBeat makes a clock of the beats that were heard in the soundtrack.
func (f *runFlags) openBeat(s *show.Show) (play.Clock, error) {
	if s.Track == nil || len(s.Track.Hypotheses) == 0 {
		return nil, hinted{errors.New("the soundtrack has no steady beat to follow"), "a rehearsal recording with a clear beat gives one"}
	}
	c := play.NewBeatClock(s.Track.Hypotheses[0].Times)
	if f.beat == "tap" {
		return c, nil
	}
	port, err := chase.OpenInput(f.beat)
	if err != nil {
		return nil, fmt.Errorf("open MIDI port: %w", err)
	}
	c.FollowMIDI(port)
	return c, nil
}

// openOutputs opens what the show says, or what the command line says instead.
func openOutputs(s *show.Show, given []string) ([]output.Sink, error) {
	specs := given
	if len(given) == 0 {
		for _, out := range s.Bill.Outputs {
			specs = append(specs, out.Spec())
		}
	}
	if len(specs) == 1 && specs[0] == "none" {
		return nil, nil
	}
	var sinks []output.Sink
	source := output.Options{Announced: &output.Announced{}}
	for _, spec := range specs {
		sink, err := output.Open(spec, source)
		if err != nil {
			for _, s := range sinks {
				_ = s.Close()
			}
			return nil, fmt.Errorf("open output %q: %w", spec, err)
		}
		sinks = append(sinks, output.Mailbox(sink))
	}
	return sinks, nil
}

// openJournal makes o.Journal write lines to the file, forced to the disk with
// each cue.
func (f *runFlags) openJournal(o *play.Options) (closeIt func() error, err error) {
	if f.journal == "" {
		return func() error { return nil }, nil
	}
	file, err := folder.Append(f.journal)
	if err != nil {
		return nil, fmt.Errorf("open journal: %w", err)
	}
	w := bufio.NewWriter(file)
	lines := json.NewEncoder(w)
	var failed error
	o.Journal = func(e play.Entry) {
		if err := errors.Join(lines.Encode(e), w.Flush()); err != nil && failed == nil {
			failed = fmt.Errorf("write journal: %w", err)
		}
	}
	return func() error { return errors.Join(failed, w.Flush(), file.Sync(), file.Close()) }, nil
}

// summaryJSON is the form of run --json; times in milliseconds.
type summaryJSON struct {
	Frames  int          `json:"frames"`
	End     float64      `json:"end"`
	Stopped bool         `json:"stopped"`
	Median  float64      `json:"late_median_ms"`
	P999    float64      `json:"late_p999_ms"`
	Worst   float64      `json:"late_worst_ms"`
	Missed  int          `json:"missed"`
	Outputs []outputJSON `json:"outputs"`
}

type outputJSON struct {
	Name    string `json:"name"`
	Sent    uint64 `json:"sent"`
	Packets uint64 `json:"packets"`
	Dropped uint64 `json:"dropped"`
	Error   string `json:"error,omitempty"`
}

func printSummary(w io.Writer, s play.Summary, asJSON bool) error {
	ms := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
	if asJSON {
		out := summaryJSON{Frames: s.Frames, End: s.End.Seconds(), Stopped: s.Stopped, Median: ms(s.Late.Median), P999: ms(s.Late.P999), Worst: ms(s.Late.Worst), Missed: s.Late.Missed, Outputs: []outputJSON{}}
		for _, o := range s.Outputs {
			out.Outputs = append(out.Outputs, outputJSON{o.Name, o.Stats.Sent, o.Stats.Packets, o.Stats.Dropped, o.Stats.LastError})
		}
		return writeJSON(w, out)
	}
	fmt.Fprintf(w, "ended at %s after %d frames; %v\n", si.FormatTime(s.End), s.Frames, s.Late)
	for _, o := range s.Outputs {
		fmt.Fprintf(w, "%s: %d frames sent, %d dropped", o.Name, o.Stats.Sent, o.Stats.Dropped)
		if o.Stats.LastError != "" {
			fmt.Fprintf(w, "; last error: %s", o.Stats.LastError)
		}
		fmt.Fprintln(w)
	}
	return nil
}
