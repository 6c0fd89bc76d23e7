package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/desk"
	"lampblack/folder"
	"lampblack/show"
)

const deskHelp = `Fit a show into a small desk that recalls stored scenes on MIDI: choose the
scenes that lose the least, plan where each is stored, and shift the notes for
the delays on the way.

DESK is a YAML file that describes the desk: how many slots and scenes, what
recalls them, what its fade can do. ` + "`lampblack schema desk`" + ` prints its form.
These files are written into the folder given with -o: notes.mid recalls the
scenes in time with the soundtrack; sheet.txt and sheet.csv say what to program,
scene by scene, and begins with the units to switch off or to address anew;
losses.txt says what the checks find in the show as the desk plays it, then what
the desk cannot do of the show, worst first; loss-1.svg and so on show the looks
that lose the most, as meant and as the desk has them. On paper, with boxes to tick:
lampblack sheet programming-sheet DIR --desk DESK -o sheet.pdf.

The exit status is 1 when a finding stops the show on this desk; then neither
sheet nor notes are written.`

// deskCmd takes the desk's description from anywhere: it belongs to the hall, not to
// the show.
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
	return pieceFlag(c)
}

// fitDesk holds the show against the checks twice: as it is, and as the desk plays it.
// What stops it on the desk alone keeps sheet and notes from being written, lest
// somebody program them; the losses are written all the same, as they say why.
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
	l, s, err := solved(c, dir)
	if err != nil {
		return err
	}
	if err := l.unstopped(c); err != nil {
		return err
	}
	before, err := l.ofPiece(c.Context())
	if err != nil {
		return err
	}
	plan, err := desk.Reduce(c.Context(), s, d)
	if err != nil {
		return err
	}
	found, err := check.Run(c.Context(), plan.Played(), check.Options{})
	if err != nil {
		return err
	}
	files, err := deskFiles(plan, found, before)
	if err == nil && pieceNamed(c) == allPieces && l.evening != nil && len(finding.Stops(found)) == 0 {
		var b bytes.Buffer
		err = plan.WriteOrder(&b, deskSteps(l.evening))
		files = append(files, namedFile{"order.txt", b.Bytes()})
	}
	if err != nil {
		return err
	}
	if err := writeAll(c.Context(), out, files); err != nil {
		return err
	}
	writeChecks(c.OutOrStdout(), found, before, width(c.OutOrStdout()), colours(c.OutOrStdout()))
	fmt.Fprintf(c.ErrOrStderr(), "%d scenes, %d recalls, %d losses: see %s\n", len(plan.Scenes), len(plan.Recalls), len(plan.Losses), out)
	if len(finding.Stops(found)) > 0 {
		say(c.ErrOrStderr(), "hint", "the show on this desk must not run so: no sheet and no notes are written, and any there are of an earlier try")
		return errStops
	}
	return nil
}

// writeChecks prints what stops or warns of the show on the desk: first what the show
// by itself does not have, or not so badly. Notes are left out: they were read when the
// show itself was checked.
func writeChecks(w io.Writer, found, before []finding.Finding, columns int, colour bool) {
	var fresh, same []finding.Finding
	for _, f := range found {
		was := func(b finding.Finding) bool { return asBad(b, f) }
		switch {
		case f.Severity == finding.Note || f.ID == "colour-unmatched": // how colours differ is among the losses, with its cause
		case slices.ContainsFunc(before, was):
			same = append(same, f)
		default:
			fresh = append(fresh, f)
		}
	}
	if len(fresh) > 0 {
		fmt.Fprint(w, "Only on this desk, or worse there than in the show itself:\n\n")
		finding.WriteText(w, fresh, columns, colour)
		fmt.Fprintln(w)
	}
	if len(same) > 0 {
		fmt.Fprint(w, "As in the show itself:\n\n")
		finding.WriteText(w, same, columns, colour)
		fmt.Fprintln(w)
	}
}

// asBad tells whether a finding is one that the show by itself has too, at that
// place and time and no better.
func asBad(was, now finding.Finding) bool {
	place := func(f finding.Finding) string { // without the number that tells like ones apart
		name, _, _ := strings.Cut(f.Place, " (")
		return name
	}
	return was.ID == now.ID && was.Severity == now.Severity && place(was) == place(now) &&
		was.From <= now.To && now.From <= was.To && now.Margin >= was.Margin-sameMargin
}

// sameMargin is how much a margin may move, as a share of the limit, before the
// finding counts as worse.
const sameMargin = .02

// deskFiles makes all files before any is written: what is lost and how it
// looks, and, unless the checks stop the show on this desk, what to program it by.
func deskFiles(p *desk.Plan, found, before []finding.Finding) ([]namedFile, error) {
	notes, err := p.MIDI().Append(nil)
	if err != nil {
		return nil, err
	}
	var sheet, losses, table bytes.Buffer
	if err := p.WriteSheet(&sheet); err != nil {
		return nil, err
	}
	writeChecks(&losses, found, before, 100, false)
	if err := p.WriteReport(&losses); err != nil {
		return nil, err
	}
	if err := p.WriteCSV(&table); err != nil {
		return nil, err
	}
	files := []namedFile{{"losses.txt", losses.Bytes()}}
	if len(finding.Stops(found)) == 0 {
		files = append(files, namedFile{"notes.mid", notes}, namedFile{"sheet.txt", sheet.Bytes()}, namedFile{"sheet.csv", table.Bytes()})
	}
	pictures, err := lossPictures(p)
	return append(files, pictures...), err
}

// lossPictures draws the looks that lose the most. Losses are worst first, so the first
// few that have something to see are those to look at.
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

// deskSteps are the steps of an evening on the line on which it usually goes.
func deskSteps(e *show.Evening) []desk.Step {
	var out []desk.Step
	at := time.Duration(0)
	hand := true // the first is begun by hand
	for i := range e.Steps {
		s := &e.Steps[i]
		out = append(out, desk.Step{Name: s.Name(), At: at, Hand: hand, Words: s.Standby})
		at += s.Usual()
		hand = s.Stands() && !s.Until.ByItself()
	}
	return out
}
