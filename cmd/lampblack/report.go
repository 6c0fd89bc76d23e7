package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/showreport"
	"lampblack/source"
	"lampblack/web"
)

const reportHelp = `Report what a night came to, from what its runs wrote down: what ran and when, what
happened beside the plan and who asked for it, late frames and faults, how long each
lamp burned, the ultraviolet that people had, and what was another than the night
before. It is Markdown, as text for paper; the page Report prints the same.

Hours and doses are computed from the show as it is now, with what its clocks and hands
did that night. What a hand held over it is told, and not counted.`

type reportFlags struct {
	night, journal, out  string
	json, csv, list, all bool
}

func reportCmd() *cobra.Command {
	var f reportFlags
	c := &cobra.Command{
		Use:   "report DIR",
		Short: "report what a night came to",
		Long:  reportHelp,
		Args:  dirArg,
		RunE:  func(c *cobra.Command, args []string) error { return f.run(c, args[0]) },
	}
	c.Flags().StringVar(&f.night, "night", "", "the night, by its date as 2026-11-28; the last if absent")
	c.Flags().StringVar(&f.journal, "journal", "", "the journal of the night, where the run was told to write another than the folder's")
	c.Flags().BoolVar(&f.list, "list", false, "print the nights that are written down")
	c.Flags().BoolVar(&f.all, "all", false, "print how long each lamp burned in all nights that are written down")
	c.Flags().BoolVar(&f.json, "json", false, "print JSON")
	c.Flags().BoolVar(&f.csv, "csv", false, "print a table for spreadsheets")
	c.Flags().StringVarP(&f.out, "output", "o", "", "the file to write (standard output if absent)")
	c.MarkFlagsMutuallyExclusive("json", "csv", "list")
	for _, other := range []string{"night", "journal"} {
		c.MarkFlagsMutuallyExclusive(other, "all", "list")
	}
	c.MarkFlagsMutuallyExclusive("night", "journal")
	c.MarkFlagsMutuallyExclusive("all", "csv")
	return c
}

func (f *reportFlags) run(c *cobra.Command, dir string) error {
	if f.list {
		for _, n := range nightsOf(dir) {
			fmt.Fprintln(c.OutOrStdout(), nightName(n))
		}
		return nil
	}
	l, err := solve(c.Context(), c.ErrOrStderr(), dir, reading{night: true})
	if err != nil {
		return err
	}
	defer l.close()
	if _, err := l.usable(c.ErrOrStderr()); err != nil {
		return err
	}
	var b bytes.Buffer
	if f.all {
		sum, err := sumNights(c.Context(), l)
		if err == nil && f.json {
			err = writeJSON(&b, sum)
		} else if err == nil {
			err = sum.print(&b)
		}
		if err != nil {
			return err
		}
		return put(c, f.out, b.Bytes())
	}
	r, since, err := f.make(c.Context(), l)
	if err != nil {
		return err
	}
	switch {
	case f.json:
		err = writeJSON(&b, nightJSON{r, since})
	case f.csv:
		err = r.CSV(&b, since)
	default:
		var text bytes.Buffer
		if err = r.Say(&text, since); err == nil {
			b.WriteString(source.VisibleLines(text.String()))
		}
	}
	if err != nil {
		return err
	}
	return put(c, f.out, b.Bytes())
}

// nightJSON is the form of report --json.
type nightJSON struct {
	*showreport.Report
	Since []string `json:"since"`
}

// make reports the night that is asked for, and what was another in the night before.
func (f *reportFlags) make(ctx context.Context, l *loaded) (r *showreport.Report, since []string, err error) {
	since = []string{}
	name, before := f.journal, ""
	if name == "" {
		all := nightsOf(l.folder.Dir())
		i := len(all) - 1
		if f.night != "" {
			i = slices.IndexFunc(all, func(n string) bool { return nightName(n) == f.night })
		}
		if i < 0 {
			err := fmt.Errorf("no run of this show has written down a night")
			if f.night != "" {
				err = fmt.Errorf("nothing is written down of the night of %s", f.night)
			}
			return nil, nil, hinted{err, "lampblack report --list names the nights; --journal names another file"}
		}
		name = all[i]
		if i > 0 {
			before = all[i-1]
		}
	}
	if r, err = reportOfNight(ctx, l, name); err != nil || before == "" {
		return r, since, err
	}
	was, err := reportOfNight(ctx, l, before)
	if err != nil {
		r.Doubts = append(r.Doubts, fmt.Sprintf("the night before, %s, cannot be reported: %v", nightName(before), err))
		return r, since, nil
	}
	return r, r.Against(was, filesOf(ctx, name), filesOf(ctx, before)), nil
}

// nights are those of a show's folder, for the page Report. The show is solved as it is now: what
// is on the stage is left alone.
type nights struct{ dir string }

func (n nights) Nights() []string {
	names := []string{}
	for _, journal := range nightsOf(n.dir) {
		names = append(names, nightName(journal))
	}
	return names
}

func (n nights) Report(ctx context.Context, night string) (web.NightReport, error) {
	l, err := solve(ctx, io.Discard, n.dir, reading{night: true})
	if err != nil {
		return web.NightReport{}, err
	}
	defer l.close()
	if _, err := l.usable(io.Discard); err != nil {
		return web.NightReport{}, errors.New("the files of the show do not read any more: lampblack check says why")
	}
	r, since, err := (&reportFlags{night: night}).make(ctx, l)
	return web.NightReport{Report: r, Since: since}, err
}

// reportOfNight reports a journal.
func reportOfNight(ctx context.Context, l *loaded, journal string) (*showreport.Report, error) {
	file, err := openNight(ctx, journal)
	if err != nil {
		return nil, fmt.Errorf("read journal: %w", err)
	}
	n := showreport.Night{Name: nightName(journal), Journal: file, Place: l.stage(), Hours: l.files.Calendar}
	if orders, err := openNight(ctx, beside(journal, ".orders")); err == nil {
		n.Orders = orders
	} else if !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read the orders: %w", err)
	}
	r, err := showreport.Of(ctx, n)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", journal, err)
	}
	return r, nil
}

// mostNight bounds what is read of a night.
const mostNight = 256 << 20

// openNight reads a file of a night whole.
func openNight(ctx context.Context, name string) (io.ReadSeeker, error) {
	text, err := folder.ReadFile(ctx, name, mostNight)
	if err != nil {
		return nil, err
	}
	return bytes.NewReader(text), nil
}

// beside is a file that belongs to a journal.
func beside(journal, ending string) string {
	return strings.TrimSuffix(journal, filepath.Ext(journal)) + ending
}

// nightName is the date of a night by its journal.
func nightName(journal string) string {
	return strings.TrimSuffix(filepath.Base(journal), filepath.Ext(journal))
}

// nightsOf are the journals of a show's nights, the oldest first: those in its folder, and
// those among the user's own files.
func nightsOf(dir string) []string {
	by := map[string]string{}
	for _, d := range slices.Backward(nightDirs(dir)) { // of two of a night, that in the folder counts
		entries, err := os.ReadDir(d)
		if err != nil {
			continue
		}
		for _, e := range entries {
			if e.Type().IsRegular() && filepath.Ext(e.Name()) == ".jsonl" {
				by[e.Name()] = filepath.Join(d, e.Name())
			}
		}
	}
	var all []string
	for _, name := range slices.Sorted(maps.Keys(by)) {
		all = append(all, by[name])
	}
	return all
}
