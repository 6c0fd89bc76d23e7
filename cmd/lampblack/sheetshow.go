package main

import (
	"archive/zip"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"lampblack/bundle"
	"lampblack/desk"
	"lampblack/doors"
	"lampblack/folder"
	"lampblack/play/hand"
	"lampblack/sheet"
	"lampblack/sheet/typeset"
	"lampblack/show"
	"lampblack/si"
)

// subject is the show as papers want it: an evening from its first step to its last, or each zone of a place.
// The checks, which take longest, are left out where no paper tells what they found.
func (f *sheetFlags) subject(c *cobra.Command, dir string, finds, desks bool) (*sheet.Subject, *loaded, error) {
	load := solve
	if finds {
		load = loadAs
	}
	l, err := load(c.Context(), c.ErrOrStderr(), dir, reading{})
	if err != nil {
		return nil, nil, err
	}
	s, err := f.of(c, l)
	if err == nil && f.desk != "" && desks {
		s.Desk, err = deskPlan(c.Context(), f.desk, s.Show)
	}
	if err != nil {
		l.close()
		return nil, nil, err
	}
	return s, l, nil
}

// of is what a show that was loaded gives papers.
func (f *sheetFlags) of(c *cobra.Command, l *loaded) (*sheet.Subject, error) {
	s := &sheet.Subject{Found: l.findings, Paper: f.size, Stock: f.stock}
	var err error
	if s.Show, err = l.usable(c.ErrOrStderr()); err == nil {
		err = f.runs(c, l, s)
	}
	if err != nil {
		return nil, err
	}
	s.Aimed = aimedIn(c.Context(), l)
	setup := l.doorsSetup(nil)
	setup.Outputs = nil
	s.Preshow = doors.New(setup).Items()
	return s, nil
}

// runs finds what has cues.
func (f *sheetFlags) runs(c *cobra.Command, l *loaded, s *sheet.Subject) error {
	name := pieceNamed(c)
	switch {
	case name != "":
		if err := l.pick(name); err != nil {
			return err
		}
		s.Show, s.Runs = l.show, []sheet.Run{{Show: l.show}}
		if s.Found == nil {
			return nil
		}
		found, err := l.ofPiece(c.Context())
		s.Found = found
		return err
	case l.place != nil:
		for i := range l.place.Zones {
			z := &l.place.Zones[i]
			s.Runs = append(s.Runs, runsOf(z.Evening, z.Name+": ")...)
		}
	case l.evening != nil && len(l.evening.Steps) > 1:
		s.Show = l.evening.Whole()
		s.Runs = runsOf(l.evening, "")
	default:
		s.Runs = []sheet.Run{{Show: s.Show}}
	}
	return nil
}

// runsOf are the steps of an evening: pieces, each on its own line, and what stands between them.
func runsOf(e *show.Evening, zone string) []sheet.Run {
	var out []sheet.Run
	for i := range e.Steps {
		s := &e.Steps[i]
		r := sheet.Run{Name: zone + s.Name(), Show: s.Show}
		if s.Stands() {
			r.Stands = fmt.Sprintf("The look %s stands until %s.", s.Look.Name, s.Until)
			if u := s.Usual(); u > 0 && !s.Until.ByItself() {
				r.Stands = fmt.Sprintf("The look %s stands until %s, usually %s.", s.Look.Name, s.Until, si.Say(u.Seconds(), "s"))
			}
		}
		if s.Standby != "" {
			r.Name += " (standby: “" + s.Standby + "”)"
		}
		out = append(out, r)
	}
	return out
}

// deskPlan is the show on the desk of a file.
func deskPlan(ctx context.Context, name string, s *show.Show) (*desk.Plan, error) {
	data, err := folder.ReadFile(ctx, name, folder.MaxText)
	if err != nil {
		return nil, err
	}
	d, faults := desk.Read(filepath.Base(name), data)
	if faults.Err() != nil {
		return nil, faults
	}
	return desk.Reduce(ctx, s, d)
}

// aimedIn tells of each unit that is noted as aimed, where its aim is still that of the rig, when it was.
func aimedIn(ctx context.Context, l *loaded) map[string]string {
	out := map[string]string{}
	list, err := hand.LoadChart(ctx, l.folder.Dir())
	if err != nil {
		return out // what cannot be read is as good as not noted
	}
	for _, a := range hand.Still(l.show.Rig, list) {
		if out[a.Unit] = "yes"; !a.On.IsZero() {
			out[a.Unit] = a.On.Format(time.DateOnly)
		}
	}
	return out
}

// restage writes the package that a show is played again from: papers, tables, and the show.
func (f *sheetFlags) restage(c *cobra.Command, l *loaded, s *sheet.Subject, docs []typeset.Document) error {
	contents, err := l.contents(c.Context(), c.ErrOrStderr(), packFlags{})
	if err != nil {
		return err
	}
	if contents.Light, err = l.light(c.Context(), c.ErrOrStderr()); err != nil {
		return err
	}
	name, err := contents.Name()
	if err != nil {
		return err
	}
	pdf, err := f.bytes(".pdf", s, docs)
	if err != nil {
		return err
	}
	return folder.WriteStream(c.Context(), f.out, func(w io.Writer) error {
		z := zip.NewWriter(w)
		put := func(name string, data []byte) error {
			e, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: f.today.UTC().Truncate(24 * time.Hour)})
			if err == nil {
				_, err = e.Write(data)
			}
			return err
		}
		if err := put("papers.pdf", pdf); err != nil {
			return err
		}
		if err := put("READ-ME-FIRST.txt", []byte(fmt.Sprintf(restageWords, s.Show.Bill.Title, name))); err != nil {
			return err
		}
		for i := range docs {
			table, err := f.bytes(".csv", s, docs[i:i+1])
			if err != nil {
				return err
			}
			if len(table) > 0 {
				err = put("tables/"+strings.NewReplacer(" ", "-", ":", "").Replace(strings.ToLower(docs[i].Title))+".csv", table)
			}
			if err != nil {
				return err
			}
		}
		e, err := z.CreateHeader(&zip.FileHeader{Name: name + ".zip", Method: zip.Store, Modified: f.today.UTC().Truncate(24 * time.Hour)})
		if err != nil {
			return err
		}
		if err := bundle.Write(e, contents); err != nil {
			return err
		}
		return z.Close()
	}, nil)
}

const restageWords = `%s, to be played again

papers.pdf   all papers: print the ones that are wanted
tables/      the same tables for spreadsheets

%s.zip
             the show: texts, fixture types, sounds. It stays one file: every
             command of Lampblack takes it, and "lampblack unpack" makes a folder
             of it.

Another hall is another show: its room, its power, its ways out and its rules are
looked at anew, by people who know them.
`

// put writes to a file, or to standard output when none is named.
func put(c *cobra.Command, name string, data []byte) error {
	if name != "" {
		return folder.WriteFile(c.Context(), name, data)
	}
	_, err := verbatim(c.OutOrStdout()).Write(data)
	return err
}
