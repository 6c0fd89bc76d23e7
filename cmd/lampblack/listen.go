package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/si"
	"lampblack/soundtrack"
	"lampblack/source"
)

const listenHelp = `Find the moments of a soundtrack: hits, beats and bars, turns, swells, hushes
and voices, each with its time, strength and reason.

WAV, FLAC, MP3, Ogg Vorbis and Opus are read directly, anything else by ffmpeg
if it is installed. What was heard is kept, so that the same file is heard once.`

// listenFlags are the options of listen; zero values print the table of everything but
// beats.
type listenFlags struct {
	json, csv bool
	picture   string
	hear      string
	top       int
	kinds     []string
}

// listenCmd needs no show: it is for a sound file by itself.
func listenCmd() *cobra.Command {
	var f listenFlags
	c := &cobra.Command{
		Use:   "listen FILE",
		Short: "find the moments of a soundtrack",
		Long:  listenHelp,
		Args:  cobra.ExactArgs(1),
		RunE:  func(c *cobra.Command, args []string) error { return listen(c, args[0], f) },
	}
	c.Flags().BoolVar(&f.json, "json", false, "print JSON")
	c.Flags().BoolVar(&f.csv, "csv", false, "print a table for spreadsheets")
	c.Flags().StringVar(&f.picture, "picture", "", "write a picture of the track (.svg or .png)")
	c.Flags().StringVar(&f.hear, "hear", "", "write the track with a signal on each moment, a sound of its own for each kind (.wav)")
	c.Flags().IntVar(&f.top, "top", 0, "only the so many hits most worth lighting")
	c.Flags().StringSliceVar(&f.kinds, "kind", nil, "only these kinds: hit, beat, bar, turn, swell, hush, voice")
	return c
}

// listen refuses kinds that there are not before it spends a minute on listening.
func listen(c *cobra.Command, path string, f listenFlags) error {
	for _, k := range f.kinds {
		if !slices.Contains(kinds(), k) {
			return hinted{fmt.Errorf("there is no kind of moment %q", k), source.OneOf(k, kinds())}
		}
	}
	if err := f.hearable(path); err != nil {
		return err
	}
	bar := newProgress(c.ErrOrStderr(), "listening")
	t, err := soundtrack.Listen(c.Context(), path, cacheDir(), soundtrack.Options{Progress: bar.set})
	bar.done()
	if err != nil {
		return err
	}
	if f.picture != "" {
		if err := drawTrack(c.Context(), t, f.picture); err != nil {
			return err
		}
	}
	moments := f.choose(t)
	if f.hear != "" {
		if err := writeAloud(c.Context(), t, path, f.hear, moments); err != nil {
			return err
		}
	}
	switch {
	case f.json:
		shown := *t
		shown.Moments = moments
		return writeJSON(c.OutOrStdout(), &shown)
	case f.csv:
		shown := *t
		shown.Moments = moments
		return shown.WriteCSV(c.OutOrStdout())
	}
	return printTrack(c.OutOrStdout(), t, moments)
}

// kinds are all kinds of moment, as --kind takes them.
func kinds() []string {
	return []string{string(soundtrack.Hit), string(soundtrack.Beat), string(soundtrack.Bar), string(soundtrack.Turn), string(soundtrack.Swell), string(soundtrack.Hush), string(soundtrack.Voice)}
}

// choose leaves out what was not asked for. --top counts hits alone.
func (f listenFlags) choose(t *soundtrack.Track) []soundtrack.Moment {
	return slices.DeleteFunc(slices.Clone(t.Moments), func(m soundtrack.Moment) bool {
		if len(f.kinds) > 0 && !slices.Contains(f.kinds, string(m.Kind)) {
			return true
		}
		return f.top > 0 && m.Kind == soundtrack.Hit && m.Rank > f.top
	})
}

// printTrack prints a table. Beats are left to --json: there are too many to
// read.
func printTrack(w io.Writer, t *soundtrack.Track, moments []soundtrack.Moment) error {
	fmt.Fprintf(w, "%s, %d Hz, %d channels, programme loudness %.1f LUFS, range %.1f LU\n", si.FormatTime(t.Duration), t.Rate, t.Channels, t.Programme, t.Range)
	printTempo(w, t)
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "\nTIME\tKIND\tFOR\tSTRENGTH\tRANK\tWHY")
	for _, m := range moments {
		if m.Kind == soundtrack.Beat || m.Kind == soundtrack.Bar {
			continue
		}
		rank, length := "", ""
		if m.Rank > 0 {
			rank = fmt.Sprint(m.Rank)
		}
		if m.Kind != soundtrack.Hit && m.End > m.Time {
			length = fmt.Sprintf("%.1f s", (m.End - m.Time).Seconds())
		}
		fmt.Fprintf(tw, "%s\t%s\t%s\t%.2f\t%s\t%s\n", si.FormatTime(m.Time), m.Kind, length, m.Strength, rank, m.Why)
	}
	return tw.Flush()
}

// drawTrack writes the picture in the form that its name ends in.
func drawTrack(ctx context.Context, t *soundtrack.Track, path string) error {
	data, err := t.Picture(path)
	if err != nil {
		return err
	}
	return folder.WriteFile(ctx, path, data)
}

// printTempo tells the stretches of even tempo that are long enough to count
// along with.
func printTempo(w io.Writer, t *soundtrack.Track) {
	const worthTelling = 8 * time.Second
	for _, s := range t.Tempo {
		if s.BPM <= 0 || s.To-s.From < worthTelling {
			continue
		}
		bar := ""
		if s.BeatsABar > 0 {
			bar = fmt.Sprintf(", %d in a bar", s.BeatsABar)
		}
		fmt.Fprintf(w, "%s to %s: %.1f beats a minute%s\n", si.FormatTime(s.From), si.FormatTime(s.To), s.BPM, bar)
	}
}
