package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"lampblack/sheet"
	"lampblack/sheet/typeset"
	"lampblack/source"
)

const sheetHelp = `Print the papers of a show: names of papers, then the show's folder. Without a
name it lists the papers, with what each is for; "all" is the whole folder of
paper in one file.

  lampblack sheet                              what there is
  lampblack sheet patch-list my-show           as text
  lampblack sheet patch-list cue-sheet my-show -o papers.pdf
  lampblack sheet all my-show -o papers.pdf --paper letter

The ending of FILE says the form: .pdf, .svg (all pages in one picture), .csv (the
tables, for spreadsheets), or .md (text, to be completed by hand).

Papers of risks are drafts: a competent person must check, complete and sign them,
and local rules decide what must be said and where.`

type sheetFlags struct {
	out, paper, date string
}

func sheetCmd() *cobra.Command {
	var f sheetFlags
	c := &cobra.Command{
		Use:   "sheet [NAME… DIR]",
		Short: "print the papers of a show: lists, plans, cue sheets, labels",
		Long:  sheetHelp,
		Args:  cobra.ArbitraryArgs,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return append(sheet.Names(), sheet.All), cobra.ShellCompDirectiveDefault
		},
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) < 2 && (len(args) == 0 || f.out == "") {
				return listSheets(c)
			}
			return f.print(c, args[:len(args)-1], args[len(args)-1])
		},
	}
	c.Flags().StringVarP(&f.out, "output", "o", "", "the file to write: .pdf, .svg, .csv or .md (text on standard output if absent)")
	c.Flags().StringVar(&f.paper, "paper", "A4", "the paper: A4 or Letter")
	c.Flags().StringVar(&f.date, "date", "", "the date on the papers, as 2026-11-28; today if absent")
	return pieceFlag(c)
}

// listSheets says what there is.
func listSheets(c *cobra.Command) error {
	w := tabwriter.NewWriter(c.OutOrStdout(), 0, 8, 2, ' ', 0)
	for _, k := range sheet.Kinds() {
		fmt.Fprintf(w, "%s\t%s\n", strings.ReplaceAll(k.Name, " ", "-"), k.Why)
	}
	fmt.Fprintf(w, "%s\t%s\n", sheet.All, "all of them in one file")
	return w.Flush()
}

// sheetForms are the endings of files.
var sheetForms = []string{".pdf", ".svg", ".csv", ".md"}

func (f *sheetFlags) print(c *cobra.Command, names []string, dir string) error {
	paper, err := typeset.PaperOf(f.paper)
	if err != nil {
		return err
	}
	form := strings.ToLower(filepath.Ext(f.out))
	if f.out == "" {
		form = ".md"
	}
	if !slices.Contains(sheetForms, form) {
		return hinted{fmt.Errorf("papers are not written as %q", filepath.Ext(f.out)), source.OneOf(form, sheetForms)}
	}
	for _, name := range names {
		if _, ok := sheet.Of(name); !ok && name != sheet.All {
			return hinted{fmt.Errorf("there is no paper %q", name), source.OneOf(name, append(sheet.Names(), sheet.All))}
		}
	}
	today := time.Now()
	if f.date != "" {
		if today, err = time.Parse(time.DateOnly, f.date); err != nil {
			return hinted{fmt.Errorf("%q is no date", f.date), "write it as 2026-11-28"}
		}
	}
	l, s, err := solved(c, dir)
	if err != nil {
		return err
	}
	subject := &sheet.Subject{Show: s, Runs: []sheet.Run{{Show: s}}, Found: l.findings}
	docs, err := sheet.Make(c.Context(), subject, f.named(names, subject)...)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	pages := typeset.Set(paper, sheet.Foot(s, today), docs...)
	switch form {
	case ".pdf":
		err = pages.PDF(&b)
	case ".svg":
		err = pages.SVG(&b)
	case ".csv":
		err = typeset.CSV(&b, docs...)
	default:
		err = typeset.Text(&b, docs...)
	}
	if err != nil {
		return err
	}
	if form == ".md" {
		return put(c, f.out, []byte(source.VisibleLines(b.String())))
	}
	return put(c, f.out, b.Bytes())
}

// named resolves "all".
func (f *sheetFlags) named(names []string, s *sheet.Subject) []string {
	if !slices.Contains(names, sheet.All) {
		return names
	}
	var out []string
	for _, k := range sheet.Kinds() {
		if k.Without(s) == "" {
			out = append(out, k.Name)
		}
	}
	return out
}
