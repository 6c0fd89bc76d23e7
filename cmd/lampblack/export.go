package main

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"lampblack/check/finding"
	"lampblack/export"
	"lampblack/folder"
	"lampblack/show"
)

const exportHelp = `Write a show in a form that other machines read. A show with an unsigned
finding that stops a run is not written.`

// exportCmd lists the forms; each is a subcommand of its own, so that its help says
// what it writes.
func exportCmd() *cobra.Command {
	c := &cobra.Command{
		Use:   "export",
		Short: "write a show in a form that other machines read",
		Long:  exportHelp,
		Args:  cobra.NoArgs,
		RunE:  func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(exportForm("midi", "a Standard MIDI File with one note for each cue",
		`Write a Standard MIDI File 1.0, format 0, with 1 ms ticks: for each cue a note
at the time of its first change, and its number as a cue point. Cue 1 of the
list is note 0 on MIDI channel 1; after note 127 the next MIDI channel begins.`, export.MIDI),
		exportForm("mtc", "MIDI time code, 25 frames a second, as a Standard MIDI File",
			"Write MIDI time code from 0:00 to the end of the show: a full frame message and\nquarter frames, as a Standard MIDI File.", export.QuarterFrames),
		exportForm("ltc", "linear timecode, 25 frames a second, as a WAV file",
			"Write SMPTE ST 12-1 linear timecode from 0:00 to the end of the show, to be laid\nbeside the soundtrack: mono, 48 kHz, 16 bits.", export.Linear),
		exportForm("frames", "all frames of the show, 44 a second",
			"Write every frame of the show in the capture form that `run --outputs \"file PATH\"`\nwrites as well: columns of slots, compressed, with an index for seeking.", export.Frames),
		exportForm("csv", "the cue list as a table",
			"Write the cue list as it falls in time, for spreadsheets; for slow fades, how\nmany steps of their dimmers an eye can see, and the longest wait between two.", export.Cues),
		exportForm("gdtf-scene", "the rig as a scene file of DIN SPEC 15801 (MVR)",
			"Write units, positions, aims and addresses as an MVR scene (DIN SPEC 15801), with\na description of each of their types in it (DIN SPEC 15800).", export.Scene),
		exportTypeCmd())
	return c
}

// exportForm makes the subcommand of one form. make computes all bytes before the file
// is opened: what fails leaves the old file as it was.
func exportForm(name, short, long string, make func(*show.Show) ([]byte, error)) *cobra.Command {
	var out string
	c := &cobra.Command{
		Use:   name + " DIR -o FILE",
		Short: "write " + short,
		Long:  long,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			if out == "" {
				return hinted{fmt.Errorf("where to write is not said"), "add -o FILE"}
			}
			s, err := runnable(c, args[0])
			if err != nil {
				return err
			}
			data, err := make(s)
			if err != nil {
				return fmt.Errorf("export %s: %w", name, err)
			}
			return folder.WriteFile(c.Context(), out, data)
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "the file to write")
	return pieceFlag(c)
}

// runnable loads a show that no unsigned finding stops. It is for what leaves the
// house, or the computer: frames, notes, a run.
func runnable(c *cobra.Command, dir string) (*show.Show, error) {
	l, s, err := solved(c, dir)
	if err != nil {
		return nil, err
	}
	return s, l.unstopped(c)
}

// unstopped returns errStops after printing what stops a run and is unsigned. Faults of
// files cannot be signed for.
func (l *loaded) unstopped(c *cobra.Command) error {
	stops := finding.Stops(l.findings)
	if len(stops) == 0 {
		return nil
	}
	writeFound(c.ErrOrStderr(), stops)
	hint := "mend these"
	if slices.ContainsFunc(stops, func(f finding.Finding) bool { return f.ID != "file" }) {
		hint += "; what a person takes on instead is signed for with `lampblack sign`"
	}
	say(c.ErrOrStderr(), "hint", hint)
	return errStops
}
