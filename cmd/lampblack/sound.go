package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/play"
	"lampblack/play/line"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const soundHelp = `List the sound devices of this computer, the inputs that live sound may come in by
(live sound in show.yaml; Linux only) and, with a show's folder, what is heard
of it where: pieces with their levels, loudspeakers with their channels and what
the hall gives them, extra sounds with their keys.

With --speaker it plays a test signal on one loudspeaker, or on all in turn: pink
noise from 500 Hz to 2 kHz for 3 s at -20 dBFS (root mean square, against a
full-scale sine), never louder; a trim of the hall may make it softer. Turn the
amplifier down first, and nobody's ear to a loudspeaker.

With --channel and --level or --delay it keeps what a loudspeaker is given in this
hall (` + "`place`" + ` in show.yaml) in hall.yaml, apart from the show.

To take in a new file for a piece, ` + "`lampblack retime DIR new.wav`" + ` (with --piece
NAME) moves the show to it as far as it is the same music; --undo takes it back.`

type soundFlags struct {
	speaker, called, level, delay string
	channel                       int
	json                          bool
}

// soundCmd works without a show's folder too: devices are there before a show is.
func soundCmd() *cobra.Command {
	var f soundFlags
	c := &cobra.Command{
		Use:   "sound [DIR]",
		Short: "list sound devices, test loudspeakers, keep their levels for the hall",
		Long:  soundHelp,
		Args:  cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			var files show.Files
			if len(args) == 1 {
				l, err := readWell(c, args[0])
				if err != nil {
					return err
				}
				defer l.close()
				files = l.files
				if f.channel != 0 {
					return l.keepTrim(c.OutOrStdout(), f)
				}
			}
			switch {
			case f.speaker == "" && (f.channel != 0 || f.level+f.delay+f.called != ""):
				return hinted{errors.New("a level is kept for a channel of a show's hall"), "as in `lampblack sound my-show --channel 1 --level \"-3 dB\"`"}
			case f.speaker != "":
				return playTest(c.Context(), c.OutOrStdout(), &files, f.speaker)
			}
			return listSound(c, &files, len(args) == 1, f.json)
		},
	}
	c.Flags().StringVar(&f.speaker, "speaker", "", "play the test signal on this loudspeaker: left, right, a name of hall.yaml, a zone and left, a channel's number, or all in turn")
	c.Flags().IntVar(&f.channel, "channel", 0, "the channel of the sound device whose level or delay is kept for the hall")
	c.Flags().StringVar(&f.level, "level", "", "its level, as \"-3 dB\" or \"70 %\"")
	c.Flags().StringVar(&f.delay, "delay", "", "its delay, as \"12 ms\"")
	c.Flags().StringVar(&f.called, "called", "", "what the loudspeaker is called, as balcony")
	c.Flags().BoolVar(&f.json, "json", false, "print JSON")
	return c
}

// loudspeaker is one that the show is heard from.
type loudspeaker struct {
	Name    string  `json:"name"`
	Channel int     `json:"channel"`
	Level   float64 `json:"level"` // dB
	Delay   float64 `json:"delay"` // ms
	side    string  // left, with its zone, whatever it is called
}

// loudspeakers are those of a show in its hall, by channel. hall.yaml names them, else their
// zone and side do.
func loudspeakers(f *show.Files) []loudspeaker {
	var out []loudspeaker
	add := func(prefix string, to line.Channels) {
		for c := to.First; c <= to.Last; c++ {
			side := "left"
			switch {
			case to.Count() == 1:
				side = cmp.Or(strings.TrimSpace(prefix), "middle")
				prefix = ""
			case c == to.Last:
				side = "right"
			}
			if !slices.ContainsFunc(out, func(l loudspeaker) bool { return l.Channel == c }) {
				out = append(out, loudspeaker{Name: prefix + side, Channel: c, side: prefix + side})
			}
		}
	}
	if f.Zones == nil {
		add("", f.Bill.Sound.To())
	} else {
		for _, z := range f.Zones.Zones {
			if z.Value != nil && heardIn(z.Value) {
				add(z.Name+" ", z.Value.Channels())
			}
		}
	}
	for i := range f.Bill.Extras {
		add("", f.Bill.Extras[i].Value.To(&f.Bill.Sound))
	}
	for _, t := range f.Trims.In(f.Bill.Place) {
		i := slices.IndexFunc(out, func(l loudspeaker) bool { return l.Channel == t.Channel })
		if i < 0 {
			out = append(out, loudspeaker{Name: "channel " + strconv.Itoa(t.Channel), Channel: t.Channel})
			i = len(out) - 1
		}
		out[i].Level, out[i].Delay = float64(t.Level), t.Delay.Seconds()*1000
		out[i].Name = cmp.Or(t.Speaker, out[i].Name)
	}
	slices.SortFunc(out, func(a, b loudspeaker) int { return a.Channel - b.Channel })
	return out
}

// heardIn tells whether a zone has a soundtrack.
func heardIn(z *show.Zone) bool {
	return z.Steps() != nil && slices.ContainsFunc(z.Steps().Steps, func(s show.OrderStep) bool { return !s.Stands() && (s.Own() || s.Soundtrack.Name != "") })
}

// listSound prints devices, and what is heard of a show.
func listSound(c *cobra.Command, f *show.Files, ofShow, asJSON bool) error {
	w := c.OutOrStdout()
	devices, err := play.Devices()
	if err != nil && !errors.Is(err, play.ErrNoDevice) {
		return err
	}
	inputs, _ := play.Inputs() // none where there are none
	if asJSON {
		return writeJSON(w, soundJSON(devices, inputs, f, ofShow))
	}
	if len(devices) == 0 {
		say(c.ErrOrStderr(), "note", "this computer has no sound device that programs may play on")
	} else if err := writeDevices(w, devices, f.Bill.Sound.Device); err != nil {
		return err
	}
	if name := f.Bill.Sound.Device; name != "" && len(devices) > 0 && play.Find(devices, name) < 0 {
		say(c.ErrOrStderr(), "warning", "show.yaml names the sound device "+strconv.Quote(name)+", which is not here")
		say(c.ErrOrStderr(), "hint", "plug it in and switch it on, or name one of these")
	}
	if err := writeInputs(c, inputs, &f.Bill.Live); err != nil || !ofShow {
		return err
	}
	return writeHeard(w, f)
}

// writeDevices prints the devices, and marks what is worth a look.
func writeDevices(w io.Writer, list []play.Device, named string) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "DEVICE\tCHANNELS\tRATE\tNAME")
	at := -1
	if named != "" {
		at = play.Find(list, named)
	}
	for i, d := range list {
		var marks []string
		if i == at {
			marks = append(marks, "the show's")
		}
		if d.Default {
			marks = append(marks, "the system's choice")
		}
		if d.Screen {
			marks = append(marks, "a screen's or projector's loudspeakers, by its name")
		}
		text := source.Visible(d.Called)
		if len(marks) > 0 {
			text += " (" + strings.Join(marks, "; ") + ")"
		}
		fmt.Fprintf(tw, "%s\t%d\t%d Hz\t%s\n", text, d.Channels, d.Rate, source.Visible(d.Name))
	}
	return tw.Flush()
}

// writeInputs prints what sound may come in by, for light that goes by live sound.
func writeInputs(c *cobra.Command, list []play.Device, l *show.Live) error {
	if len(list) == 0 {
		if l.Heard() {
			say(c.ErrOrStderr(), "warning", "show.yaml has live sound, and this computer has no sound input that programs may use")
		}
		return nil
	}
	tw := tabwriter.NewWriter(c.OutOrStdout(), 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "\nINPUT, FOR LIVE SOUND\tCHANNELS\tRATE\tNAME")
	at := -1
	if name := l.Input(); name != "" {
		if at = play.Find(list, name); at < 0 {
			say(c.ErrOrStderr(), "warning", "show.yaml names the sound input "+strconv.Quote(name)+", which is not here")
			say(c.ErrOrStderr(), "hint", "plug it in and switch it on, or name one of these")
		}
	}
	for i, d := range list {
		text := source.Visible(d.Called)
		switch {
		case i == at || d.Default && l.Heard() && l.Input() == "":
			text += " (the show's)"
		case d.Default:
			text += " (the system's choice)"
		}
		fmt.Fprintf(tw, "%s\t%d\t%d Hz\t%s\n", text, d.Channels, d.Rate, source.Visible(d.Name))
	}
	return tw.Flush()
}

// writeHeard prints what is heard of a show where.
func writeHeard(w io.Writer, f *show.Files) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "\nLOUDSPEAKER\tCHANNEL\tLEVEL\tDELAY")
	for _, l := range loudspeakers(f) {
		fmt.Fprintf(tw, "%s\t%d\t%s\t%g ms\n", source.Visible(l.Name), l.Channel, si.Decibels(l.Level), l.Delay)
	}
	fmt.Fprintln(tw, "\nPIECE\tLEVEL\tFADES IN\tFADES OUT\tSOUNDTRACK")
	for _, p := range heardPieces(f) {
		fmt.Fprintf(tw, "%s\t%s\t%s\t%s\t%s\n", source.Visible(p.name), p.sound.Level, fadeText(p.sound.FadeIn), fadeText(p.sound.FadeOut), source.Visible(p.file.Name))
	}
	if len(f.Bill.Extras) > 0 {
		fmt.Fprintln(tw, "\nEXTRA SOUND\tLEVEL\tKEY\tTRIGGER\tFILE")
		for i := range f.Bill.Extras {
			e := &f.Bill.Extras[i]
			fmt.Fprintf(tw, "%s\t%s\t%s\t%s\t%s\n", source.Visible(e.Name), e.Value.Level, cmp.Or(e.Value.Key.Name, "-"), cmp.Or(source.Visible(e.Value.Trigger.Name), "-"), source.Visible(e.Value.File.Name))
		}
	}
	if text := trimsText(f); text != "" {
		fmt.Fprintf(tw, "\n%s\n", source.Visible(text))
	}
	return tw.Flush()
}

func fadeText(d time.Duration) string {
	if d == 0 {
		return "-"
	}
	return si.Say(d.Seconds(), "s")
}

// heardPiece is a piece with its soundtrack and how loud it is.
type heardPiece struct {
	name  string
	file  source.Ref
	sound show.PieceSound
	to    line.Channels
}

// heardPieces are the pieces of a show that have soundtracks.
func heardPieces(f *show.Files) []heardPiece {
	own := heardPiece{"the show", f.Bill.Soundtrack, f.Bill.Sound.Piece(), f.Bill.Sound.To()}
	var out []heardPiece
	of := func(prefix string, o *show.Order, to line.Channels) {
		for i := range o.Steps {
			s := &o.Steps[i]
			p := heardPiece{prefix + s.Name(), s.Soundtrack, show.PieceSound{}, to}
			if s.Own() {
				p.file, p.sound = own.file, own.sound
			}
			if s.Heard != nil {
				p.sound = *s.Heard
			}
			if !s.Stands() && p.file.Name != "" {
				out = append(out, p)
			}
		}
	}
	switch {
	case f.Zones != nil:
		for _, z := range f.Zones.Zones {
			if z.Value != nil && z.Value.Steps() != nil {
				of(z.Name+"/", z.Value.Steps(), z.Value.Channels())
			}
		}
	case f.Order != nil:
		of("", f.Order, own.to)
	case own.file.Name != "":
		out = append(out, own)
	}
	return out
}

// soundListJSON is the form of sound --json.
type soundListJSON struct {
	Devices      []deviceJSON  `json:"devices"`
	Inputs       []deviceJSON  `json:"inputs"`
	Device       string        `json:"device,omitempty"` // that show.yaml names
	Loudspeakers []loudspeaker `json:"loudspeakers,omitempty"`
}

type deviceJSON struct {
	Name     string `json:"name"`
	Called   string `json:"called"`
	Default  bool   `json:"default"`
	Screen   bool   `json:"screen"`
	Channels int    `json:"channels"`
	Rate     int    `json:"rate"` // Hz
}

func soundJSON(devices, inputs []play.Device, f *show.Files, ofShow bool) soundListJSON {
	out := soundListJSON{Devices: []deviceJSON{}, Inputs: []deviceJSON{}, Device: f.Bill.Sound.Device}
	for _, d := range devices {
		out.Devices = append(out.Devices, deviceJSON(d))
	}
	for _, d := range inputs {
		out.Inputs = append(out.Inputs, deviceJSON(d))
	}
	if ofShow {
		out.Loudspeakers = loudspeakers(f)
	}
	return out
}

// playTest plays the test signal on loudspeakers, one after another.
func playTest(ctx context.Context, w io.Writer, f *show.Files, name string) error {
	list, err := named(loudspeakers(f), name)
	if err != nil {
		return err
	}
	on, err := play.OpenSpeakers(f.Bill.Sound.Device)
	if err != nil {
		return hinted{err, "plug one in and switch it on; `lampblack sound` lists what is there"}
	}
	defer func() { _ = on.Close() }()
	if missing := on.Absent(); missing != "" {
		text, hint := absentText(missing)
		fmt.Fprintln(w, text+"; "+hint)
	}
	for _, t := range f.Trims.In(f.Bill.Place) {
		on.Trim(t.Channel, play.Trim{Level: t.Level, Delay: t.Delay})
	}
	for _, l := range list {
		if err := on.Test(l.Channel); err != nil {
			return err
		}
		fmt.Fprintf(w, "%s: pink noise at -20 dBFS on channel %d of %s\n", source.Visible(l.Name), l.Channel, source.Visible(on.Name()))
		tick := time.NewTicker(50 * time.Millisecond)
		for on.Tests() {
			select {
			case <-ctx.Done():
				tick.Stop()
				return ctx.Err()
			case <-tick.C:
			}
		}
		tick.Stop()
	}
	return nil
}

// named are the loudspeakers that a person means.
func named(list []loudspeaker, name string) ([]loudspeaker, error) {
	if name == "all" {
		return list, nil
	}
	names := []string{"all"}
	for _, l := range list {
		if strings.EqualFold(l.Name, name) || strings.EqualFold(l.side, name) || strconv.Itoa(l.Channel) == name {
			return []loudspeaker{l}, nil
		}
		names = append(names, l.Name)
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 1 && n <= line.MaxChannels {
		return []loudspeaker{{Name: "channel " + name, Channel: n}}, nil
	}
	return nil, hinted{fmt.Errorf("there is no loudspeaker %q", name), source.OneOf(name, names)}
}

// trimOf reads what is to be kept of a channel: what is not said stays as it is.
func (l *loaded) trimOf(f soundFlags) (show.ChannelTrim, error) {
	t := show.ChannelTrim{Hall: l.files.Bill.Place, Channel: f.channel}
	for _, old := range l.files.Trims.In(t.Hall) {
		if old.Channel == f.channel {
			t.Level, t.Delay, t.Speaker = old.Level, old.Delay, old.Speaker
		}
	}
	t.Speaker = cmp.Or(f.called, t.Speaker)
	if f.level != "" {
		if err := t.Level.UnmarshalText([]byte(f.level)); err != nil {
			return t, err
		}
	}
	if f.delay != "" {
		var err error
		if t.Delay, err = si.ParseTime(f.delay); err != nil {
			return t, err
		}
	}
	return t, nil
}

// keepTrim writes what a loudspeaker is given in the hall.
func (l *loaded) keepTrim(w io.Writer, f soundFlags) error {
	t, err := l.trimOf(f)
	if err == nil {
		_, err = keepTrim(l.folder, t)
	}
	if err != nil {
		return unlessChanged(err)
	}
	where := "in " + t.Hall
	if t.Hall == "" {
		where = "in any hall"
	}
	fmt.Fprintf(w, "channel %d %s: %s, %g ms late (%s)\n", t.Channel, source.Visible(where), t.Level, t.Delay.Seconds()*1000, show.TrimsFile)
	return nil
}

// keepTrim writes a trim into hall.yaml, and returns the text. It is read as any reader would
// before it is kept.
func keepTrim(f *folder.Folder, t show.ChannelTrim) ([]byte, error) {
	data, err := f.Optional(show.TrimsFile)
	if err != nil {
		return nil, err
	}
	if data, err = t.With(data); err != nil {
		return nil, err
	}
	e := f.Edit()
	e.Put(show.TrimsFile, data)
	return data, e.Commit()
}

// keepTrimIn is keepTrim in a folder that is open for that alone. When somebody else writes
// meanwhile, it is added to what they wrote.
func keepTrimIn(ctx context.Context, dir string, t show.ChannelTrim) ([]byte, error) {
	for {
		f, err := folder.Open(ctx, dir)
		if err != nil {
			return nil, err
		}
		data, err := keepTrim(f, t)
		_ = f.Close()
		if !errors.Is(err, folder.ErrChanged) {
			return data, err
		}
	}
}
