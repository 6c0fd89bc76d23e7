package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/rig"
	"lampblack/rig/manual"
	"lampblack/show"
)

const fixtureHelp = `Fixture types: what a kind of lamp is. Make one from the slot table of its manual or
from its maker's description, or list those that are built in.`

func fixtureCmd() *cobra.Command {
	c := &cobra.Command{
		Use:   "fixture",
		Short: "make a fixture type from a manual or a description, list those that are built in",
		Long:  fixtureHelp,
		Args:  cobra.NoArgs,
		RunE:  func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(fixtureNewCmd(), fixtureListCmd())
	return c
}

const fixtureNewHelp = `Make the fixture type NAME from a slot table as you have it: typed, pasted from a
manual, a page or a mail, or saved from a spreadsheet; in English, German, French or
Spanish, good or bad. FILE has it, or standard input.

What was understood is printed, with what to beware of and what the table does not tell.
On a terminal, with FILE, each of these is asked: answer in the words of a table ("0-9 off,
10-255 slow to fast", "red"), or press enter to leave it. What nobody can tell is kept out
of, so that no show enters it; "lampblack bench" then tries it on the lamp.

The type is written into fixtures/NAME.yaml of the show's folder. Size, beam and outputs,
which slot tables do not tell, are those of many such lamps, in wide intervals.

FILE may also be the maker's description by DIN SPEC 15800 (.gdtf); alone, without NAME, the
type is called as it calls the lamp. What it leaves out is unknown, never a default of the
standard: it becomes the usual light of such lamps, in wide intervals, and each doubt is told.

  lampblack fixture new "small par" table.txt    from the table of a manual
  lampblack fixture new lamp.gdtf                from a description

A table or a description may be wrong, or of another batch. Before people are in, try the
lamp.`

// fixtureNew is what the command was asked for.
type fixtureNew struct {
	in, out       string
	replace, json bool
}

func fixtureNewCmd() *cobra.Command {
	var f fixtureNew
	c := &cobra.Command{
		Use:   "new NAME [FILE] | new FILE.gdtf",
		Short: "make a fixture type from a manual's slot table or a maker's description",
		Long:  fixtureNewHelp,
		Args:  cobra.RangeArgs(1, 2),
		RunE:  func(c *cobra.Command, args []string) error { return f.make(c, args) },
	}
	c.Flags().StringVar(&f.in, "in", ".", "the show's folder")
	c.Flags().StringVarP(&f.out, "output", "o", "", "write this file instead; - prints the type alone")
	c.Flags().BoolVar(&f.replace, "replace", false, "write over a type of this name")
	c.Flags().BoolVar(&f.json, "json", false, "print what was understood as JSON")
	return c
}

// maxTable bounds a file that is said to be a slot table; more than package manual looks at, so
// that it can tell that it left some out.
const maxTable = 1 << 20

func (f *fixtureNew) make(c *cobra.Command, args []string) error {
	if isDescription(args[len(args)-1]) {
		return f.described(c, args)
	}
	name := strings.TrimSuffix(args[0], ".yaml")
	if err := typeName(name); err != nil {
		return err
	}
	if err := f.free(c.Context(), name); err != nil {
		return err
	}
	data, err := tableOf(c, args[1:])
	if err != nil {
		return err
	}
	read := manual.Read(data)
	if len(read.Modes) == 0 {
		return hinted{errors.New("no slot was found in the text"), "a slot begins a line with its number, as in: CH1 Red 0-255"}
	}
	out := c.OutOrStdout()
	switch {
	case f.json:
	case f.out == "-":
		fmt.Fprint(c.ErrOrStderr(), read.Words())
	default:
		fmt.Fprint(out, read.Words())
	}
	if len(args) == 2 && !f.json {
		askAbout(c, read)
	}
	if f.json {
		if err := writeJSON(out, read); err != nil {
			return err
		}
	}
	return f.write(c, name, read.YAML(name))
}

// typeName holds a name to what a file can be called everywhere.
func typeName(name string) error {
	odd := strings.IndexFunc(name, func(r rune) bool { return !unicode.IsPrint(r) || strings.ContainsRune(`/\:*?"<>|`, r) }) >= 0
	if name == "" || odd || len(name) > 80 || strings.HasPrefix(name, ".") || strings.TrimSpace(name) != name {
		return hinted{fmt.Errorf("a type cannot be called %q", name), "the name is that of a file: letters, figures, blanks and hyphens"}
	}
	return nil
}

func (f *fixtureNew) path(name string) string { return "fixtures/" + name + ".yaml" }

// free refuses early what would be refused at the end: a name that is taken, a folder that is
// no show's.
func (f *fixtureNew) free(ctx context.Context, name string) error {
	taken := hinted{fmt.Errorf("there is a type %q already", name), "--replace writes over it"}
	if f.out == "-" {
		return nil
	}
	if f.out != "" {
		if _, err := os.Lstat(f.out); err == nil && !f.replace {
			return hinted{fmt.Errorf("%s is there already", f.out), "--replace writes over it"}
		}
		return nil
	}
	d, err := folder.Open(ctx, f.in)
	if err != nil {
		return hinted{fmt.Errorf("the show's folder: %w", err), "--in DIR says which it is, -o FILE writes elsewhere"}
	}
	defer d.Close()
	shows := false
	for _, file := range []string{show.RigFile, show.BillFile, "fixtures"} {
		_, err := d.Stat(file)
		shows = shows || err == nil
	}
	if !shows {
		return hinted{fmt.Errorf("%s is no show's folder: it has neither %s nor %s", f.in, show.RigFile, show.BillFile), "--in DIR says which it is, -o FILE writes elsewhere"}
	}
	if _, err := d.Stat(f.path(name)); !errors.Is(err, fs.ErrNotExist) && !f.replace {
		return taken
	}
	return nil
}

// tableOf reads the file, or standard input.
func tableOf(c *cobra.Command, files []string) ([]byte, error) {
	if len(files) == 1 && files[0] != "-" {
		return folder.ReadFile(c.Context(), files[0], maxTable)
	}
	if _, ok := typedBy(c); ok {
		fmt.Fprintln(c.ErrOrStderr(), "Type or paste the slot table; ctrl-d on a line of its own ends it.")
	}
	data, err := io.ReadAll(io.LimitReader(c.InOrStdin(), maxTable))
	if err != nil {
		return nil, fmt.Errorf("read the table: %w", err)
	}
	return data, nil
}

// askAbout asks what the table does not tell, where somebody can be asked.
func askAbout(c *cobra.Command, read *manual.Reading) {
	in, ok := typedBy(c)
	if !ok || len(read.Questions) == 0 {
		return
	}
	out := c.OutOrStdout()
	fmt.Fprintln(out, "\nIn the words of a table, or enter to leave it:")
	lines := bufio.NewScanner(in)
	for _, q := range read.Questions {
		if q.Slot == 0 {
			continue
		}
		for range 3 {
			fmt.Fprintf(out, "  %s, slot %d: %s: ", q.Mode, q.Slot, q.Text)
			if !lines.Scan() {
				return
			}
			text := strings.TrimSpace(lines.Text())
			if text == "" || read.Answer(q, text) {
				break
			}
			fmt.Fprintln(out, "  that is not understood; as in: 0-9 off, 10-255 slow to fast")
		}
	}
}

// write writes the type, once it was read back as what it is.
func (f *fixtureNew) write(c *cobra.Command, name string, text []byte) error {
	if _, faults := rig.ReadType(name, f.path(name), text); faults.Err() != nil {
		return fmt.Errorf("what was made of the table is no type: %w", faults.Err())
	}
	switch {
	case f.out == "-":
		_, err := c.OutOrStdout().Write(text)
		return err
	case f.out != "":
		if err := folder.WriteFile(c.Context(), f.out, text); err != nil {
			return err
		}
		fmt.Fprintf(c.ErrOrStderr(), "wrote %s\n", f.out)
		return nil
	}
	d, err := folder.Open(c.Context(), f.in)
	if err != nil {
		return err
	}
	defer d.Close()
	e := d.Edit()
	e.Put(f.path(name), text)
	if err := e.Commit(); err != nil {
		return unlessChanged(err)
	}
	fmt.Fprintf(c.ErrOrStderr(), "wrote %s; next: name it in %s as `type: %s`, hang the lamp, and try it with lampblack bench\n", filepath.ToSlash(filepath.Join(f.in, f.path(name))), show.RigFile, name)
	return nil
}
