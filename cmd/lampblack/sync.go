package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/play"
	"lampblack/play/lag"
	"lampblack/play/output"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
	"lampblack/web"
)

const syncHelp = `Measure how far sound is behind light at places of the hall. It plays clicks the
way that a soundtrack goes, and flashes some units; the page Seat, on a phone or on
this computer, takes both with camera and microphone at each place, or asks an eye
and an ear which came first.

Flashing light can bring on a seizure. The units flash up to 1.4 times a second for
about a minute, never ultraviolet: only people who know of it stay in the hall, and
nobody who is sensitive to it. The page asks for that before anything flashes.

Differences between places are found to some 5 ms, as long as the page stays open.
Camera and microphone have delays of their own, so that real figures need one place
where the real one is known: by eye and ear (some 30 ms), or typed.

A phone's browser gives a page its camera only over https: --phone --tls self, which
prints what the browser will warn of. This computer's own page needs neither.

With --keep it writes the figure of one place into ` + "`timing`" + ` in show.yaml, after a
yes; --seen does so for a figure that somebody knows, and plays nothing. Type q and
enter to end.

The alarm inputs of show.yaml are listened to: an alarm ends the flashing and the
clicks at once, with the lights up, until it is reset: r and enter. While a run of
the folder is on, nothing is measured.`

type syncFlags struct {
	units   []string
	outputs []string
	place   string
	far     string
	seen    string
	keep    bool
	json    bool
}

// syncCmd serves the pages as open does, with one more that measures.
func syncCmd() *cobra.Command {
	var at addresses
	var f syncFlags
	c := &cobra.Command{
		Use:   "sync DIR",
		Short: "measure sound against light at seats, with a phone or by eye",
		Long:  syncHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			l, err := solve(c.Context(), c.ErrOrStderr(), args[0], reading{})
			if err != nil {
				return err
			}
			s, err := l.usable(c.ErrOrStderr())
			if err != nil {
				return err
			}
			far := s.Bill.Timing.Speaker
			if f.far != "" {
				if err := far.UnmarshalText([]byte(f.far)); err != nil || far < 0 || far > 500 {
					return hinted{fmt.Errorf("--far %q is no distance", f.far), "as --far \"12 m\""}
				}
			}
			lines := linesOf(c.Context(), c.InOrStdin())
			m := &seats{}
			if f.seen != "" {
				m.tell = func(string) {}
				if err := m.Said(f.place, f.seen); err != nil {
					return err
				}
				return f.ends(c, l, m, far, lines)
			}
			return f.measure(c, l, s, m, at, far, lines)
		},
	}
	at.flags(c)
	c.Flags().StringArrayVar(&f.units, "unit", nil, "a unit that flashes (may be given several times, four at most; the first two with visible light if absent)")
	c.Flags().StringArrayVar(&f.outputs, "outputs", nil, "send here instead of to the show's outputs, as with run")
	c.Flags().StringVar(&f.place, "place", "centre seat", "the place whose figure is kept")
	c.Flags().StringVar(&f.far, "far", "", "how far that place is from the nearest loudspeaker (speaker to centre seat of show.yaml if absent)")
	c.Flags().StringVar(&f.seen, "seen", "", "the figure there is known: sound after light, as \"12 ms\" or \"12 ms ± 5 ms\"")
	c.Flags().BoolVar(&f.keep, "keep", false, "at the end, after a yes, write the figure of the place into show.yaml")
	c.Flags().BoolVar(&f.json, "json", false, "print the places as JSON at the end")
	return c
}

// measure opens outputs, sound and pages, and measures until q or the end of the command.
func (f *syncFlags) measure(c *cobra.Command, l *loaded, s *show.Show, m *seats, at addresses, far si.Length, lines <-chan string) (err error) {
	units, names, err := f.flashing(s)
	if err != nil {
		return err
	}
	specs := outputLines(s, f.outputs)
	if len(specs) == 0 {
		return hinted{errors.New("the show has no outputs, so that nothing can flash"), "outputs in show.yaml, or --outputs"}
	}
	if err := nobodyPlays(l.folder.Dir()); err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(c.Context())
	defer cancel()
	on, err := play.OpenSpeakers(s.Bill.Sound.Device)
	if err != nil {
		return hinted{err, "plug one in and switch it on; without any, --seen takes a figure that somebody knows"}
	}
	defer func() { err = errors.Join(err, on.Close()) }()
	if missing := on.Absent(); missing != "" {
		text, hint := absentText(missing)
		say(c.ErrOrStderr(), "warning", text)
		say(c.ErrOrStderr(), "hint", hint)
	}
	for _, t := range l.files.Trims.In(s.Bill.Place) {
		on.Trim(t.Channel, play.Trim{Level: t.Level, Delay: t.Delay})
	}
	sinks, err := openSinks(specs, output.Open)
	if err != nil {
		return err
	}
	wire := output.Own(sinks, syncRate)
	stage := newFlashed(s, wire, units)
	stage.rest()
	defer func() {
		_, last := wire.Close(500 * time.Millisecond)
		err = errors.Join(err, last)
	}()

	tell := func(what, text string) { say(c.ErrOrStderr(), what, text) }
	defer noticeOthers(tell, s.Bill.Title, sinks, nil)() // a run that begins meanwhile is told
	danger, err := hearFlashAlarm(ctx, tell, &s.Bill, wire, m)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, danger.close()) }()

	out := c.OutOrStdout()
	if f.json {
		out = c.ErrOrStderr()
	}
	m.ctx, m.flash, m.rest, m.seed = ctx, stage.flash, stage.rest, rand.Uint64
	m.light = names + " at " + fmt.Sprintf("%.0f %%", 100*flashLevel) + ", no ultraviolet"
	m.sound = func(at []time.Duration) (clicks, error) { return on.Clicks(at, on.Fit(s.Bill.Sound.To())) }
	m.tell = func(text string) { fmt.Fprintln(out, source.Visible(text)) }
	at.seats, at.phone.page = m, "/seat"
	_, failed, err := at.open(ctx, c, s, nil, l.folder.Dir(), false, "")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%s will flash while the page Seat measures: only people who know of it stay in the hall, and nobody who is sensitive to flashing light. q and enter end it.\n", source.Visible(names))
	quits := waitsForQuit(ctx, lines, danger.typed)
	_ = m.Stop()
	cancel()
	err = <-failed
	if !quits { // stopped: nobody is there to say yes
		f.keep = false
	}
	return errors.Join(err, f.ends(c, l, m, far, lines))
}

// waitsForQuit waits for q, and passes other lines on; where nobody types anything, for the end of the
// command.
func waitsForQuit(ctx context.Context, lines <-chan string, other func(string) bool) bool {
	for {
		select {
		case line, open := <-lines:
			if !open {
				<-ctx.Done()
				return false
			}
			if !other(line) && strings.HasPrefix(strings.ToLower(line), "q") {
				return true
			}
		case <-ctx.Done():
			return false
		}
	}
}

// ends prints the places and, after a yes, keeps one.
func (f *syncFlags) ends(c *cobra.Command, l *loaded, m *seats, far si.Length, lines <-chan string) error {
	m.mu.Lock()
	rows := m.rows()
	found, known := m.real(f.place)
	m.mu.Unlock()
	out := c.OutOrStdout()
	if f.json {
		out = c.ErrOrStderr()
		if err := writeJSON(c.OutOrStdout(), struct {
			Places []web.SeatRow `json:"places"`
		}{append([]web.SeatRow{}, rows...)}); err != nil {
			return err
		}
	} else if err := printSeats(out, rows); err != nil {
		return err
	}
	if !f.keep {
		return nil
	}
	if !known {
		return hinted{fmt.Errorf("the real figure of %q is not known, so that there is nothing to keep", f.place), "say it of one place where the phone was held: by eye and ear on the page, or typed there; --place names the place that is kept"}
	}
	return f.keeps(c, l, found, far, out, lines)
}

// keeps writes the delays by which a place has what was found, after a yes.
func (f *syncFlags) keeps(c *cobra.Command, l *loaded, found lag.Interval, far si.Length, out io.Writer, lines <-chan string) error {
	before := l.files.Bill.Timing
	t := before.Heard(show.Delay{Low: found.Low, High: found.High}, far)
	fmt.Fprintf(out, "\n%s, %v from the loudspeaker: sound after light %s\nsound delay: %s (was %s)\nlight delay: %s (was %s)\na run then sends light %s its sound (was %s)\n",
		source.Visible(f.place), far, found, delays(t.Sound), delays(before.Sound), delays(t.Light), delays(before.Light), sends(t.Offset()), sends(before.Offset()))
	fmt.Fprintf(out, "write this into %s? yes or no: ", show.BillFile)
	var line string
	select {
	case line = <-lines:
	case <-c.Context().Done():
	}
	fmt.Fprintln(out)
	if !strings.EqualFold(line, "yes") {
		fmt.Fprintln(out, "nothing was written")
		return nil
	}
	data, err := l.folder.ReadFile(show.BillFile)
	if err == nil {
		data, err = t.With(data)
	}
	if err != nil {
		return err
	}
	e := l.folder.Edit()
	e.Put(show.BillFile, data)
	if err := e.Commit(); err != nil {
		return unlessChanged(err)
	}
	fmt.Fprintf(out, "written into %s\n", show.BillFile)
	return nil
}

// sends says when light is sent.
func sends(offset time.Duration) string {
	if offset < 0 {
		return fmt.Sprintf("%d ms before", -offset.Milliseconds())
	}
	return fmt.Sprintf("%d ms after", offset.Milliseconds())
}

func delays(d show.Delay) string {
	ms := func(t time.Duration) float64 {
		return float64(t.Round(100*time.Microsecond)) / float64(time.Millisecond)
	}
	if d.Low == d.High {
		return fmt.Sprintf("%g ms", ms(d.Low))
	}
	return fmt.Sprintf("%g to %g ms", ms(d.Low), ms(d.High))
}

func printSeats(w io.Writer, rows []web.SeatRow) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "PLACE\tAGAINST THE FIRST\tSOUND AFTER LIGHT\tHOW")
	for _, r := range rows {
		for _, cell := range []*string{&r.Beside, &r.Behind} {
			if *cell == "" {
				*cell = "-"
			}
		}
		fmt.Fprintf(tw, "%s\t%s\t%s\t%s\n", source.Visible(r.Place), r.Beside, r.Behind, r.How)
	}
	return tw.Flush()
}

// Bounds of what flashes: few units, and not at full.
const (
	mostUnits  = 4
	flashLevel = .6

	syncRate = 40 // last frames a second, as a data line takes them
)

// flashing are the units that flash, with their names: those that are asked for, or the first
// two that have visible light.
func (f *syncFlags) flashing(s *show.Show) (units []int, names string, err error) {
	if len(f.units) > mostUnits {
		return nil, "", fmt.Errorf("%d units are more than are to flash: %d at most", len(f.units), mostUnits)
	}
	visible := func(u int) bool {
		from, to := s.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			if !s.Rig.Emitter(d).Light.BlackLight() {
				return true
			}
		}
		return false
	}
	for _, name := range f.units {
		u := s.Rig.Index(name)
		if u < 0 {
			return nil, "", hinted{fmt.Errorf("there is no unit %q", name), source.OneOf(name, s.Rig.UnitNames())}
		}
		if !visible(u) {
			return nil, "", fmt.Errorf("%s has no visible light, and ultraviolet does not flash here", name)
		}
		if !slices.Contains(units, u) {
			units = append(units, u)
		}
	}
	for u := range s.Rig.Units {
		if len(f.units) == 0 && len(units) < 2 && visible(u) {
			units = append(units, u)
		}
	}
	if len(units) == 0 {
		return nil, "", errors.New("no unit of the rig has visible light to flash with")
	}
	var all []string
	for _, u := range units {
		all = append(all, s.Rig.Units[u].Name.Name)
	}
	return units, strings.Join(all, ", "), nil
}

// flashed is a stage whose units flash, or which is lit to walk by.
type flashed struct {
	show      *show.Show
	wire      *output.Owner
	lit, dark *show.Frame
	up        *show.Frame
}

func newFlashed(s *show.Show, wire *output.Owner, units []int) *flashed {
	f := &flashed{show: s, wire: wire, lit: s.NewFrame(), dark: s.NewFrame(), up: s.NewFrame()}
	for _, u := range units {
		from, to := s.Rig.UnitDrives(u)
		for d := from; d < to; d++ {
			if !s.Rig.Emitter(d).Light.BlackLight() {
				f.lit.Levels[d] = flashLevel
			}
		}
	}
	s.Encode(f.lit)
	s.Encode(f.dark)
	s.LightsUp(f.up, 1)
	wire.Prepare(framesOf(f.up))
	return f
}

func (f *flashed) flash(on bool) {
	if on {
		f.wire.Stand(framesOf(f.lit))
		return
	}
	f.wire.Stand(framesOf(f.dark))
}

func (f *flashed) rest() { f.wire.Stand(framesOf(f.up)) }

func framesOf(f *show.Frame) []output.Frame {
	var out []output.Frame
	for i := range f.Universes {
		u := &f.Universes[i]
		out = append(out, output.Frame{Universe: uint16(u.Number), Slots: u.Slots[:]})
	}
	return out
}
