package main

import (
	"bytes"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"lampblack/desk"
	"lampblack/folder"
)

const deskHelp = `Fit a show into a small desk that recalls stored scenes on MIDI: choose the
scenes that lose the least, plan where each is stored, and shift the notes for
the delays on the way.

DESK is a YAML file that describes the desk: how many slots and scenes, what
recalls them, what its fade can do. ` + "`lampblack schema desk`" + ` prints its form.
These files are written into the folder given with -o: notes.mid recalls the
scenes in time with the soundtrack; sheet.txt and sheet.csv say what to program,
scene by scene; losses.txt says what the desk cannot do of the show, worst
first; loss-1.svg and so on show the looks that lose the most, as meant and as
the desk has them.`

func deskCmd() *cobra.Command {
	var out string
	c := &cobra.Command{
		Use:   "desk DIR DESK -o FOLDER",
		Short: "fit a show into a small desk that recalls stored scenes",
		Long:  deskHelp,
		Args:  cobra.ExactArgs(2),
		RunE:  func(c *cobra.Command, args []string) error { return fitDesk(c, args[0], args[1], out) },
	}
	c.Flags().StringVarP(&out, "output", "o", "", "the folder to write into")
	return c
}

func fitDesk(c *cobra.Command, dir, description, out string) error {
	if out == "" {
		return hinted{fmt.Errorf("where to write is not said"), "add -o FOLDER"}
	}
	data, err := folder.ReadFile(c.Context(), description, folder.MaxText)
	if err != nil {
		return err
	}
	d, faults := desk.Read(filepath.Base(description), data)
	if faults.Err() != nil {
		return faults
	}
	s, err := runnable(c, dir)
	if err != nil {
		return err
	}
	plan, err := desk.Reduce(c.Context(), s, d, desk.Options{Offset: s.Bill.Timing.Offset()})
	if err != nil {
		return err
	}
	files, err := deskFiles(plan)
	if err != nil {
		return err
	}
	if err := writeAll(c.Context(), out, files); err != nil {
		return err
	}
	fmt.Fprintf(c.ErrOrStderr(), "%d scenes, %d recalls, %d losses: see %s\n", len(plan.Scenes), len(plan.Recalls), len(plan.Losses), out)
	return nil
}

// deskFiles makes all files before any is written.
func deskFiles(p *desk.Plan) ([]namedFile, error) {
	notes, err := p.MIDI().Append(nil)
	if err != nil {
		return nil, err
	}
	var sheet, losses, table bytes.Buffer
	if err := p.WriteSheet(&sheet); err != nil {
		return nil, err
	}
	if err := p.WriteReport(&losses); err != nil {
		return nil, err
	}
	if err := p.WriteCSV(&table); err != nil {
		return nil, err
	}
	files := []namedFile{{"notes.mid", notes}, {"sheet.txt", sheet.Bytes()}, {"sheet.csv", table.Bytes()}, {"losses.txt", losses.Bytes()}}
	pictures, err := lossPictures(p)
	return append(files, pictures...), err
}

// lossPictures draws the looks that lose the most.
func lossPictures(p *desk.Plan) ([]namedFile, error) {
	const most = 5
	var out []namedFile
	for i := range p.Losses {
		if len(out) == most {
			break
		}
		var b bytes.Buffer
		if !p.Losses[i].Pictured() {
			continue
		}
		if err := p.WritePicture(&b, &p.Losses[i]); err != nil {
			return nil, err
		}
		out = append(out, namedFile{fmt.Sprintf("loss-%d.svg", len(out)+1), b.Bytes()})
	}
	return out, nil
}
