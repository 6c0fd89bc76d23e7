package main

import (
	"bytes"
	"fmt"
	"io"
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
  lampblack sheet restage my-show -o again.zip

The ending of FILE says the form: .pdf, .svg (all pages in one picture), .csv (the
tables, for spreadsheets), or .md (text, to be completed by hand). A restage
package is a .zip: all papers, all tables, and the show itself as "lampblack pack"
packs it.

With --handed-out the folder remembers what stands on these papers, in
handed-out.json: later prints mark with a bar in the margin what has changed.

Papers of risks are drafts: a competent person must check, complete and sign them,
and local rules decide what must be said and where.`

type sheetFlags struct {
	out, paper, date, desk, labels string
	handed                         bool

	size  typeset.Paper
	stock typeset.Stock
	today time.Time
}

// restage is the name of the package that holds everything.
const restage = "restage"

func sheetCmd() *cobra.Command {
	var f sheetFlags
	c := &cobra.Command{
		Use:   "sheet [NAME… DIR]",
		Short: "print the papers of a show: lists, plans, cue sheets, labels",
		Long:  sheetHelp,
		Args:  cobra.ArbitraryArgs,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return append(sheet.Names(), sheet.All, restage), cobra.ShellCompDirectiveDefault
		},
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 || len(args) == 1 && f.out == "" {
				return listSheets(c.OutOrStdout())
			}
			if len(args) == 1 {
				return hinted{fmt.Errorf("which papers is not said"), "`lampblack sheet` lists them; all is the whole folder"}
			}
			return f.print(c, args[:len(args)-1], args[len(args)-1])
		},
	}
	c.Flags().StringVarP(&f.out, "output", "o", "", "the file to write: .pdf, .svg, .csv or .md (text on standard output if absent)")
	c.Flags().StringVar(&f.paper, "paper", typeset.A4.Name, "the paper: A4 or Letter")
	c.Flags().StringVar(&f.date, "date", "", "the date on the papers, as 2026-11-28; today if absent")
	c.Flags().StringVar(&f.desk, "desk", "", "the file that describes a small desk, for its programming sheet")
	c.Flags().StringVar(&f.labels, "labels", "", "the sheet of labels: "+strings.Join(typeset.StockNames(), ", ")+`, or its measures, as "`+typeset.StockForm+`"`)
	c.Flags().BoolVar(&f.handed, "handed-out", false, "remember in the folder what stands on these papers, so that later prints mark what has changed")
	return pieceFlag(c)
}

// listSheets says what there is.
func listSheets(out io.Writer) error {
	w := tabwriter.NewWriter(out, 0, 8, 2, ' ', 0)
	for _, k := range sheet.Kinds() {
		fmt.Fprintf(w, "%s\t%s\n", strings.ReplaceAll(k.Name, " ", "-"), k.Why)
	}
	fmt.Fprintf(w, "%s\t%s\n", sheet.All, "all of them in one file")
	fmt.Fprintf(w, "%s\t%s\n", restage, "a .zip of all papers, all tables and the show: to play it again elsewhere")
	return w.Flush()
}

// print writes the papers, and then remembers that they were handed out.
func (f *sheetFlags) print(c *cobra.Command, names []string, dir string) error {
	if err := f.understand(names); err != nil {
		return err
	}
	names, finds := resolved(names)
	subject, l, err := f.subject(c, dir, finds, slices.Contains(names, "programming sheet"))
	if err != nil {
		return err
	}
	defer l.close()
	names = f.wanted(c.ErrOrStderr(), names, subject)
	docs, err := sheet.Make(c.Context(), subject, names...)
	if err != nil {
		return err
	}
	data, err := l.folder.Optional(sheet.RecordFile)
	if err != nil {
		return err
	}
	record, err := sheet.ReadRecord(data)
	if err != nil {
		return hinted{err, "it is only a memory of what was handed out: take the file away, and the next papers have no marks"}
	}
	var noted []byte
	if f.handed {
		if noted, err = record.HandOut(docs, string(subject.Show.Version()), f.today).Bytes(); err != nil {
			return err
		}
	}
	record.Mark(docs)
	if filepath.Ext(f.out) == ".zip" {
		err = f.restage(c, l, subject, docs)
	} else {
		err = f.write(c, subject, docs)
	}
	if err != nil || !f.handed {
		return err
	}
	e := l.folder.Edit()
	e.Put(sheet.RecordFile, noted)
	return e.Commit()
}

// understand reads the options before anything takes long.
func (f *sheetFlags) understand(names []string) (err error) {
	if f.size, err = typeset.PaperOf(f.paper); err != nil {
		return err
	}
	forms := []string{".pdf", ".svg", ".csv", ".md"}
	all := append(sheet.Names(), sheet.All)
	if slices.Contains(names, restage) {
		forms, all = []string{".zip"}, append(all, restage)
		if len(names) > 1 {
			return fmt.Errorf("a restage package has all papers: name nothing beside it")
		}
		if f.out == "" {
			return hinted{fmt.Errorf("where to write is not said"), "add -o FILE.zip"}
		}
	}
	if ext := strings.ToLower(filepath.Ext(f.out)); f.out != "" && !slices.Contains(forms, ext) {
		return hinted{fmt.Errorf("papers are not written as %q", filepath.Ext(f.out)), source.OneOf(ext, forms)}
	}
	for _, name := range names {
		if _, ok := sheet.Of(name); !ok && !slices.Contains(all, name) {
			return hinted{fmt.Errorf("there is no paper %q", name), source.OneOf(strings.ReplaceAll(name, "-", " "), all)}
		}
	}
	var ok bool
	if f.stock, ok = typeset.StockOf(f.labels, f.size); !ok {
		if f.stock, err = typeset.ReadStock(f.labels, f.size); err != nil {
			return hinted{err, "one of " + strings.Join(typeset.StockNames(), ", ") + `, or as "` + typeset.StockForm + `"`}
		}
	}
	f.today = time.Now()
	if f.date != "" {
		if f.today, err = time.Parse(time.DateOnly, f.date); err != nil {
			return hinted{fmt.Errorf("%q is no date", f.date), "write it as 2026-11-28"}
		}
	}
	return nil
}

// resolved lists the papers by their own names, each once, and tells whether any of them tells what the
// checks found.
func resolved(names []string) (out []string, finds bool) {
	for _, k := range sheet.Kinds() {
		asked := slices.ContainsFunc(names, func(n string) bool {
			of, ok := sheet.Of(n)
			return n == sheet.All || n == restage || ok && of.Name == k.Name
		})
		if asked {
			out = append(out, k.Name)
			finds = finds || k.Finds()
		}
	}
	return out, finds
}

// wanted leaves out, of several papers, what this show has nothing for, and says so.
func (f *sheetFlags) wanted(words io.Writer, names []string, s *sheet.Subject) []string {
	if len(names) == 1 {
		return names
	}
	return slices.DeleteFunc(names, func(name string) bool {
		k, _ := sheet.Of(name)
		why := k.Without(s)
		if why != "" {
			say(words, "note", "left out: "+name+", as "+why)
		}
		return why != ""
	})
}

// write writes the papers in the form that the file's ending says.
func (f *sheetFlags) write(c *cobra.Command, s *sheet.Subject, docs []typeset.Document) error {
	form := strings.ToLower(filepath.Ext(f.out))
	if form == "" {
		form = ".md"
	}
	data, err := f.bytes(form, s, docs)
	if err != nil {
		return err
	}
	return put(c, f.out, data)
}

func (f *sheetFlags) bytes(form string, s *sheet.Subject, docs []typeset.Document) ([]byte, error) {
	var b bytes.Buffer
	var err error
	switch form {
	case ".csv":
		err = typeset.CSV(&b, docs...)
	case ".md":
		if err = typeset.Text(&b, docs...); err == nil {
			return []byte(source.VisibleLines(b.String())), nil
		}
	case ".svg":
		err = typeset.Set(f.size, sheet.Foot(s.Show, f.today), docs...).SVG(&b)
	default:
		err = typeset.Set(f.size, sheet.Foot(s.Show, f.today), docs...).PDF(&b)
	}
	return b.Bytes(), err
}
