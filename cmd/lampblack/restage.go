package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/check/finding"
	"lampblack/folder"
	"lampblack/play/hand"
	"lampblack/rig"
	"lampblack/sheet"
	"lampblack/show"
	"lampblack/show/compare"
	"lampblack/si"
	"lampblack/source"
)

const restageHelp = `Take a show into another hall: the same score, looks and sounds in the room and on the
rig of HALL, a folder with room.yaml, rig.yaml and, for lamps that are not built in,
fixtures/. --room and --rig name single files instead; types lie in fixtures/ beside
the rig.

  lampblack restage my-show town-hall
  lampblack restage my-show town-hall --pictures looks.pdf --write my-show-in-town
  lampblack restage my-show --room town-hall/room.yaml

All that does not fit is told in one go: systems, units, surfaces, objects and marks that
looks name and the other hall has not. Where all fits: what each look keeps and loses of
what it asks for, what becomes lighter or darker beside that, and all that would stop a
run there. --pictures draws each look in both halls, side by side (.png, .svg or .pdf).

--write makes a new folder, whole or not at all; what was measured, aimed, trimmed or
handed out in the old hall stays behind. A room that is computed is no room that was seen:
walk it, and let local codes and licensed people decide.`

type restageFlags struct {
	room, rig, pictures, write string
	asJSON                     bool
}

func restageCmd() *cobra.Command {
	var f restageFlags
	c := &cobra.Command{
		Use:   "restage DIR [HALL]",
		Short: "take a show into another hall: what fits, what each look keeps and loses",
		Long:  restageHelp,
		Args:  cobra.RangeArgs(1, 2),
		RunE:  func(c *cobra.Command, args []string) error { return f.run(c, args) },
	}
	c.Flags().StringVar(&f.room, "room", "", "the room.yaml of the other hall")
	c.Flags().StringVar(&f.rig, "rig", "", "the rig.yaml there")
	c.Flags().StringVar(&f.pictures, "pictures", "", "draw the looks in both halls into this file (.png, .svg, .pdf)")
	c.Flags().StringVar(&f.write, "write", "", "make this new folder of the show in the other hall")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print it as JSON")
	return c
}

func (f *restageFlags) run(c *cobra.Command, args []string) error {
	ctx, words := c.Context(), c.ErrOrStderr()
	if len(args) == 1 && f.room == "" && f.rig == "" {
		return hinted{errors.New("which hall is not said"), "name its folder, or --room FILE and --rig FILE"}
	}
	if err := f.canWrite(ctx); err != nil {
		return err
	}
	l, faults, err := read(ctx, words, args[0])
	if err != nil {
		return err
	}
	if l == nil {
		return faults
	}
	defer l.close()
	laid, err := f.laid(ctx, l, args[1:])
	if err != nil {
		return err
	}
	before, after, err := f.both(ctx, words, l, faults, laid)
	if err != nil {
		return err
	}
	if err := f.tell(c, before, after); err != nil {
		return err
	}
	if f.pictures != "" && after.show != nil {
		if err := drawPairs(ctx, f.pictures, before.show, after.show); err != nil {
			return err
		}
	}
	if err := f.make(ctx, words, l, laid); err != nil {
		return err
	}
	if len(finding.Stops(after.findings)) > 0 {
		return errStops
	}
	return nil
}

// both works the show out at home and in the other hall. A show that is not whole at home is told as that.
func (f *restageFlags) both(ctx context.Context, words io.Writer, l *loaded, faults source.Faults, laid *folder.Laid) (before, after *loaded, err error) {
	wait := newWait(words, "working out the show at home")
	defer wait.done()
	if before, err = l.solve(ctx, words, reading{}, faults); err != nil {
		return nil, nil, err
	}
	if _, err := before.usable(words); err != nil {
		say(words, "note", "that is the show as it is: mend it first")
		return nil, nil, err
	}
	wait.now("working out the show in the other hall")
	after, err = l.variant(ctx, words, laid)
	return before, after, err
}

// tell prints what fits, what looks keep and lose, and what stops a run.
func (f *restageFlags) tell(c *cobra.Command, before, after *loaded) error {
	w := c.OutOrStdout()
	if f.asJSON {
		b := became{before: before, after: after, worse: after.findings}
		if after.show == nil {
			b.worse = nil
		} else {
			b.looks = compare.Shows(before.show, after.show)
		}
		out := b.out(nil)
		out.Faults = after.faulty()
		return writeJSON(w, out)
	}
	if after.show == nil {
		fmt.Fprintln(w, "these do not fit the other hall:")
		tellMisfits(w, after.findings)
		fmt.Fprintln(w, "\ngive what is there the names that the show uses, or change the names in its files; looks are held\nagainst one another when all fits")
		return nil
	}
	fmt.Fprintf(w, "all names fit: %s, %s\n\n", si.Count(len(after.show.Rig.Units), "unit", "units"), si.Count(len(after.show.Looks), "look", "looks"))
	tellLooks(w, compare.Shows(before.show, after.show))
	fmt.Fprintln(w)
	if stops := finding.Stops(after.findings); len(stops) > 0 {
		fmt.Fprintln(w, "this stops a run there:")
		writeFound(w, stops)
	} else {
		fmt.Fprintln(w, "nothing stops a run there")
	}
	if n := warns(after.findings); n > 0 {
		fmt.Fprintf(w, "beside that %s: lampblack check, on the new folder, tells all\n", si.Count(n, "warning", "warnings"))
	}
	if keys := ofTheOldHall(&after.files.Bill); len(keys) > 0 {
		fmt.Fprintf(w, "look through %s, which was written for the old hall: %s\n", show.BillFile, strings.Join(keys, ", "))
	}
	return nil
}

// tellMisfits prints faults, each once with all places in which it is.
func tellMisfits(w io.Writer, list []finding.Finding) {
	var texts []string
	places, hints := map[string][]string{}, map[string]string{}
	for i := range list {
		f := &list[i]
		if f.Severity != finding.Stop {
			continue
		}
		if !slices.Contains(texts, f.Text) {
			texts = append(texts, f.Text)
		}
		at := f.File
		if f.Line > 0 {
			at += fmt.Sprintf(" line %d", f.Line)
		}
		places[f.Text], hints[f.Text] = append(places[f.Text], at), f.Hint
	}
	for _, text := range texts {
		fmt.Fprintf(w, "□ %s\n", source.Visible(text))
		for _, below := range []string{hints[text], source.First(places[text], 12)} {
			if below != "" {
				fmt.Fprintf(w, "    %s\n", source.Visible(below))
			}
		}
	}
}

func warns(list []finding.Finding) (n int) {
	for i := range list {
		if list[i].Severity == finding.Warn {
			n++
		}
	}
	return n
}

// ofTheOldHall lists the keys of a bill that speak of a place.
func ofTheOldHall(b *show.Bill) (keys []string) {
	for key, said := range map[string]bool{
		"place": b.Place != "", "outputs": len(b.Outputs) > 0, "wiring rules": b.Wiring != "", "timing": b.Timing != (show.Timing{}),
		"alarm input": b.Alarm != nil, "alarm inputs": len(b.Alarms) > 0, "signed": len(b.Signed) > 0,
	} {
		if said {
			keys = append(keys, key)
		}
	}
	slices.Sort(keys)
	return keys
}

// staysBehind are files of the folder that belong to its hall, or to its nights.
var staysBehind = []string{show.RoomFile, show.RigFile, show.ReadingsFile, show.TrimsFile, hand.FocusFile, hand.TonightFile, sheet.RecordFile}

// laid lays the other hall over the show.
func (f *restageFlags) laid(ctx context.Context, l *loaded, halls []string) (*folder.Laid, error) {
	texts := map[string][]byte{}
	for _, name := range staysBehind[2:] {
		texts[name] = nil
	}
	if len(halls) > 0 {
		if err := layHall(ctx, texts, halls[0], f.room == "", f.rig == ""); err != nil {
			return nil, err
		}
	}
	if f.room != "" {
		data, err := folder.ReadFile(ctx, f.room, folder.MaxText)
		if err != nil {
			return nil, err
		}
		texts[show.RoomFile] = data
	}
	if f.rig != "" {
		data, err := folder.ReadFile(ctx, f.rig, folder.MaxText)
		if err != nil {
			return nil, err
		}
		texts[show.RigFile] = data
		if err := layTypes(ctx, texts, filepath.Dir(f.rig)); err != nil {
			return nil, err
		}
	}
	laid := &folder.Laid{FS: l.folder, Texts: texts}
	if data := texts[show.RigFile]; data != nil {
		laid.Hides = unnamedTypes(data)
	}
	return laid, nil
}

// unnamedTypes tells which of the show's own types no unit of a rig is of: they stay behind.
func unnamedTypes(text []byte) func(string) bool {
	r, _ := rig.Read(show.RigFile, text, nil) // its faults are told when the show is read
	named := map[string]bool{}
	for i := range r.Units {
		named[r.Units[i].TypeName.Name] = true
	}
	return func(name string) bool {
		id, isType := strings.CutSuffix(path.Base(name), ".yaml")
		return isType && path.Dir(name) == show.TypesDir && !named[id]
	}
}

// layHall lays what a hall's folder has.
func layHall(ctx context.Context, texts map[string][]byte, dir string, room, rig bool) error {
	h, err := folder.Open(ctx, dir)
	if err != nil {
		return hinted{fmt.Errorf("read hall: %w", err), "a hall is a folder with room.yaml and rig.yaml"}
	}
	defer h.Close()
	names := []string{}
	if room {
		names = append(names, show.RoomFile)
	}
	if rig {
		names = append(names, show.RigFile)
	}
	if room && rig {
		names = append(names, show.ReadingsFile, show.TrimsFile)
	}
	found := false
	for _, name := range names {
		data, err := h.Optional(name)
		if err != nil {
			return fmt.Errorf("read hall: %w", err)
		}
		if data != nil || name == show.RoomFile || name == show.RigFile {
			texts[name] = data
		}
		found = found || data != nil
	}
	switch {
	case !found:
		return hinted{fmt.Errorf("%s has neither %s nor %s", dir, show.RoomFile, show.RigFile), "name the folder of the hall, or --room FILE and --rig FILE"}
	case rig && texts[show.RigFile] == nil:
		delete(texts, show.RigFile) // the show's own rig goes along
	case rig:
		return layTypes(ctx, texts, dir)
	}
	return nil
}

// layTypes lays the fixture types that lie beside a rig, with their tables.
func layTypes(ctx context.Context, texts map[string][]byte, dir string) error {
	h, err := folder.Open(ctx, dir)
	if err != nil {
		return err
	}
	defer h.Close()
	entries, err := h.ReadDir(show.TypesDir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		name := path.Join(show.TypesDir, e.Name())
		if info, err := h.Stat(name); err != nil || !info.Mode().IsRegular() {
			continue
		}
		if texts[name], err = h.ReadFile(name); err != nil {
			return err
		}
	}
	return err
}

// canWrite refuses, before anything takes long, what can not be written.
func (f *restageFlags) canWrite(ctx context.Context) error {
	if ext := strings.ToLower(filepath.Ext(f.pictures)); f.pictures != "" && !slices.Contains(pairForms, ext) {
		return hinted{fmt.Errorf("pictures are not written as %q", filepath.Ext(f.pictures)), source.OneOf(ext, pairForms)}
	}
	if f.write == "" {
		return nil
	}
	into, err := folder.Create(ctx, f.write)
	if err != nil {
		return err
	}
	defer into.Close()
	return empty(into)
}

func empty(into *folder.Folder) error {
	entries, err := into.ReadDir(".")
	if err == nil && len(entries) > 0 {
		err = hinted{fmt.Errorf("%s has files in it", into.Dir()), "name a folder that is not there yet"}
	}
	return err
}

// make writes the new folder.
func (f *restageFlags) make(ctx context.Context, words io.Writer, l *loaded, laid *folder.Laid) error {
	if f.write == "" {
		return nil
	}
	names, _, _, err := l.takenAlong(false)
	if err != nil {
		return err
	}
	into, err := folder.Create(ctx, f.write)
	if err != nil {
		return err
	}
	defer into.Close()
	if err := empty(into); err != nil {
		return err
	}
	e := into.Edit()
	for name, data := range laid.Texts {
		if data != nil {
			e.Put(name, data)
		}
	}
	for _, name := range names {
		if _, over := laid.Texts[name]; over || laid.Hides != nil && laid.Hides(name) {
			continue
		}
		e.Stream(name, func(w io.Writer) error {
			in, err := l.folder.OpenFile(name)
			if err != nil {
				return err
			}
			defer in.Close()
			_, err = io.Copy(w, in)
			return err
		})
	}
	if err := e.Commit(); err != nil {
		return err
	}
	fmt.Fprintf(words, "wrote the show in the other hall into %s; next: lampblack check %s\n", f.write, f.write)
	return nil
}
