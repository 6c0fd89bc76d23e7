package folder

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// Edit is a change of several files that is made whole or not at all.
type Edit struct {
	folder  *Folder
	changes []change
}

// A change of one file; the last one of a name counts.
type change struct {
	name  string
	write func(io.Writer) error // nil removes the file
}

// Edit begins an edit. It is valid only while everything that was read from
// the folder stays as it was read.
func (f *Folder) Edit() *Edit { return &Edit{folder: f} }

// Put gives a file a new text.
func (e *Edit) Put(name string, data []byte) {
	e.Stream(name, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// Stream gives a file new contents that write brings when the edit is made.
func (e *Edit) Stream(name string, write func(io.Writer) error) {
	e.changes = slices.DeleteFunc(e.changes, func(c change) bool { return c.name == name })
	e.changes = append(e.changes, change{name, write})
}

// Remove takes a file away; one that is not there is no fault.
func (e *Edit) Remove(name string) { e.Stream(name, nil) }

// Commit makes the edit. When it returns nil all of it is on the disk. When it
// returns ErrChanged, somebody else was faster and nothing was written.
func (e *Edit) Commit() error {
	if len(e.changes) == 0 {
		return nil
	}
	if len(e.changes) > mostChanges {
		return fmt.Errorf("write into %s: %d files are more than the %d of one edit", e.folder.dir, len(e.changes), mostChanges)
	}
	if err := e.allowed(); err != nil {
		return err
	}
	// The lock is against other processes; under it, an edit that another left half made
	// is finished first, and only then is compared what was read with what is there.
	unlock, err := e.folder.lock()
	if err != nil {
		return err
	}
	defer unlock()
	if err := e.folder.finish(); err != nil {
		return err
	}
	if err := e.folder.compare(); err != nil {
		return fmt.Errorf("write into %s: %w", e.folder.dir, err)
	}
	if err := e.make(); err != nil {
		return fmt.Errorf("write into %s: %w", e.folder.dir, err)
	}
	return nil
}

// make writes the new files beside, the journal, and the files into place.
// Until the journal is in its place everything is taken back after an error.
func (e *Edit) make() error {
	f := e.folder
	j := journal{Form: journalForm}
	var made []string // folders
	e.sweep()
	err := e.stage(&j, &made)
	if err == nil {
		err = f.syncDirs(j.Changes)
	}
	if err == nil {
		err = f.writeJournal(j)
	}
	if err != nil {
		f.takeBack(j, made)
		return err
	}
	if err := f.finish(); err != nil {
		return fmt.Errorf("%w: what is missing is in %s, and the next command on the folder finishes it", err, journalName)
	}
	for _, r := range j.Changes {
		f.forget(r.Name)
	}
	return nil
}

// sweep removes new files of edits that never counted.
func (e *Edit) sweep() {
	// Only the folders that this edit writes into: a walk through all would be slow where
	// sound files lie.
	dirs := []string{"."}
	for _, c := range e.changes {
		if dir := path.Dir(c.name); !slices.Contains(dirs, dir) {
			dirs = append(dirs, dir)
		}
	}
	for _, name := range dirs {
		// Whatever fails here stays for another time: the files do no harm but take up room.
		dir, err := e.folder.root.Open(name)
		if err != nil {
			continue
		}
		names, _ := dir.Readdirnames(maxEntries)
		dir.Close()
		for _, n := range names {
			if strings.HasSuffix(n, tempEnding) {
				_ = e.folder.remove(path.Join(name, n))
			}
		}
	}
}

// forget lets a file that was written here be read anew.
func (f *Folder) forget(name string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	delete(f.seen, name)
}

// stage writes every new file beside its place, and notes in the journal what was there
// before and what is to be there (sums of the contents; "" for no file), and in made the
// folders that it had to make.
func (e *Edit) stage(j *journal, made *[]string) error {
	f := e.folder
	for _, c := range e.changes {
		name, err := f.resolve(c.name)
		if err != nil {
			return err
		}
		old, err := f.sum(name)
		if err != nil {
			return err
		}
		r := record{Name: name, Old: old}
		// What is no plain file, or leads out of the folder, is nobody's to replace.
		if old == "?" {
			return &fs.PathError{Op: "write", Path: c.name, Err: ErrPlain}
		}
		if c.write == nil {
			// Removing what is not there is no change.
			if r.Old != "" {
				j.Changes = append(j.Changes, r)
			}
			continue
		}
		if err := f.makeDir(path.Dir(name), made); err != nil {
			return err
		}
		mode := os.FileMode(0)
		if info, err := f.root.Stat(name); err == nil {
			mode = info.Mode().Perm()
		}
		j.Changes = append(j.Changes, r) // before it is written, so that it is taken back
		sum, err := f.writeNew(temp(name), mode, c.write)
		if err != nil {
			return err
		}
		j.Changes[len(j.Changes)-1].New = sum
	}
	return nil
}

// takeBack removes what an edit that does not count has written. The journal
// goes first: without it nothing counts.
func (f *Folder) takeBack(j journal, made []string) {
	_ = f.remove(temp(journalName))
	if f.remove(journalName) != nil {
		return // then the edit counts after all, and its files are needed
	}
	_ = f.syncDir(".")
	for _, r := range j.Changes {
		_ = f.remove(temp(r.Name))
	}
	// The innermost first; one in which somebody has put something meanwhile stays.
	for _, dir := range slices.Backward(made) {
		_ = f.remove(dir)
	}
}

// makeDir makes a folder inside the folder, and those that it lies in.
func (f *Folder) makeDir(name string, made *[]string) error {
	if _, err := f.root.Stat(name); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := f.makeDir(path.Dir(name), made); err != nil {
		return err
	}
	if err := f.try("mkdir", name); err != nil {
		return err
	}
	if err := f.root.Mkdir(name, 0o755); err != nil {
		return err
	}
	*made = append(*made, name)
	return nil
}

// resolve follows links inside the folder, so that an edit changes the file and
// leaves the link.
func (f *Folder) resolve(name string) (string, error) {
	const mostLinks = 20
	wanted := name
	for range mostLinks {
		if !writable(name) {
			break
		}
		info, err := f.root.Lstat(name)
		if errors.Is(err, fs.ErrNotExist) || err == nil && info.Mode()&fs.ModeSymlink == 0 {
			return name, nil
		}
		if err != nil {
			return "", err
		}
		to, err := f.root.Readlink(name)
		if err != nil {
			return "", err
		}
		// Joined, an absolute link would come to a place inside the folder.
		if path.IsAbs(filepath.ToSlash(to)) || filepath.IsAbs(to) {
			break
		}
		name = path.Join(path.Dir(name), strings.ReplaceAll(to, `\`, "/"))
	}
	return "", &fs.PathError{Op: "write", Path: wanted, Err: errors.New("it leads out of the folder, or has a name that is not for files of a show")}
}
