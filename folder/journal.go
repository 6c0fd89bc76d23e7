package folder

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
)

const (
	journalName = ".lampblack-journal"
	tempEnding  = ".lampblack-new"
	// journalForm changes whenever a journal means something else.
	journalForm = 1
	// mostChanges bounds an edit: a large show has some hundred files.
	mostChanges = 2000
)

// journal is an edit that counts: what is left to do is done by whoever opens
// the folder next.
type journal struct {
	Form    int      `json:"form"`
	Changes []record `json:"changes"`
}

// record is the change of one file. Sums are SHA-256 in hex, "" for a file
// that is not there.
type record struct {
	Name string `json:"name"`
	Old  string `json:"old"`
	New  string `json:"new"`
}

// writable tells whether a name may be that of a file of an edit: one inside
// the folder, and none of the names that are used here.
func writable(name string) bool {
	base := path.Base(name)
	return fs.ValidPath(name) && name != "." && !strings.HasPrefix(base, ".lampblack-") && !strings.HasSuffix(base, tempEnding)
}

// temp is where the new text of a file waits: beside it, so that renaming
// never crosses from one disk to another.
func temp(name string) string {
	return path.Join(path.Dir(name), "."+path.Base(name)+tempEnding)
}

// readJournal returns nil when there is none, or one that was never finished
// being written and thus never counted.
func (f *Folder) readJournal() (*journal, error) {
	file, err := f.open(context.Background(), journalName, MaxText)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer file.Close()
	data, err := file.all()
	if err != nil {
		return nil, err
	}
	j := &journal{}
	if json.Unmarshal(data, j) != nil || j.Form != journalForm || len(j.Changes) > mostChanges {
		return &journal{}, nil
	}
	for _, r := range j.Changes {
		if !writable(r.Name) {
			return &journal{}, nil
		}
	}
	return j, nil
}

// settle finishes an edit that was cut off. Where that cannot be done, the
// folder reads as if it had been.
func (f *Folder) settle() error {
	if _, err := f.root.Lstat(journalName); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	unlock, err := f.lock()
	if err == nil {
		err = f.finish()
		unlock()
	}
	if err == nil || f.ctx.Err() != nil {
		return err
	}
	j, err := f.readJournal()
	if j == nil || err != nil {
		return err
	}
	f.pending = map[string]string{}
	due, _, err := f.due(j)
	if err != nil {
		return err
	}
	for _, r := range due {
		if r.New != "" {
			f.pending[r.Name] = temp(r.Name)
		}
	}
	return nil
}

// finish does what the journal says is left to do. The lock is held.
func (f *Folder) finish() error {
	j, err := f.readJournal()
	if j == nil || err != nil {
		return err
	}
	due, dropped, err := f.due(j)
	if err != nil {
		return err
	}
	for _, r := range due {
		if err := f.putInPlace(r); err != nil {
			return fmt.Errorf("finish an edit of %s: %w", f.dir, err)
		}
	}
	for _, r := range j.Changes {
		if err := f.clear(r, dropped); err != nil {
			return err
		}
	}
	if err := f.syncDirs(j.Changes); err != nil {
		return err
	}
	return f.dropJournal()
}

// due lists the changes that are to be made: those whose file is still as it
// was before the edit. When one cannot be made any more (a person wrote into
// its file since, or its new text is gone) and none has been made yet, the edit
// is dropped whole. Once one has been made there is no way back, and the others follow.
//
//	file is     new text waits    the change is
//	as New      either            made
//	as Old      yes, or none due  due
//	as Old      no                lost
//	other       either            lost
func (f *Folder) due(j *journal) (due []record, dropped bool, err error) {
	made, lost := 0, 0
	for _, r := range j.Changes {
		is, err := f.sum(r.Name)
		if err != nil {
			return nil, false, err
		}
		ready := r.New == ""
		if !ready {
			waits, err := f.sum(temp(r.Name))
			if err != nil {
				return nil, false, err
			}
			ready = waits == r.New
		}
		switch {
		case r.Old == r.New:
		case is == r.New:
			made++
		case is == r.Old && ready:
			due = append(due, r)
		default:
			lost++
		}
	}
	if lost > 0 && made == 0 {
		return nil, true, nil
	}
	return due, false, nil
}

// putInPlace makes one change. Renaming replaces what is there in one step.
func (f *Folder) putInPlace(r record) error {
	if r.New == "" {
		return f.remove(r.Name)
	}
	if err := f.try("rename", r.Name); err != nil {
		return err
	}
	return f.root.Rename(temp(r.Name), r.Name)
}

// clear removes a new text that has no place any more. One that a person's own
// stands in the place of, while the rest of its edit was made, gets a name that
// is seen.
func (f *Folder) clear(r record, dropped bool) error {
	waits, err := f.sum(temp(r.Name))
	if err != nil || r.New == "" || waits != r.New {
		return err
	}
	is, err := f.sum(r.Name)
	if err != nil {
		return err
	}
	if dropped || is == r.New || is == r.Old {
		_ = f.remove(temp(r.Name))
		return nil
	}
	kept := r.Name + ".not-written"
	if err := f.root.Rename(temp(r.Name), kept); err != nil {
		return err
	}
	f.left = append(f.left, kept)
	return nil
}

// sum is what a file holds: "" when it is not there, "?" when it is no file to
// read. It does not end with the context: an edit that counts is finished, or
// the process is killed and the next one finishes it.
func (f *Folder) sum(name string) (string, error) {
	file, err := f.open(context.Background(), name, MaxSound)
	switch {
	case err == nil:
	case errors.Is(err, fs.ErrNotExist):
		return "", nil
	case errors.Is(err, ErrFolder), errors.Is(err, ErrPlain), errors.Is(err, TooLarge{MaxSound}), f.leadsOut(name):
		return "?", nil
	default:
		return "", err
	}
	defer file.Close()
	h := sha256.New()
	if _, err := io.Copy(h, file); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// leadsOut tells whether a name is a link that cannot be followed inside the
// folder.
func (f *Folder) leadsOut(name string) bool {
	info, err := f.root.Lstat(name)
	return err == nil && info.Mode()&fs.ModeSymlink != 0
}

// writeJournal makes the edit count.
func (f *Folder) writeJournal(j journal) error {
	data, err := json.MarshalIndent(j, "", " ")
	if err != nil {
		return err
	}
	return f.writeOwn(journalName, data)
}

// writeOwn writes one of the files that a folder keeps for itself, whole or not at all.
func (f *Folder) writeOwn(name string, data []byte) error {
	write := func(w io.Writer) error { _, err := w.Write(data); return err }
	if _, err := f.writeNew(temp(name), 0, write); err != nil {
		return err
	}
	if err := f.try("rename", name); err != nil {
		return err
	}
	if err := f.root.Rename(temp(name), name); err != nil {
		return err
	}
	return f.syncDir(".")
}

func (f *Folder) dropJournal() error {
	if err := f.remove(journalName); err != nil {
		return err
	}
	return f.syncDir(".")
}

// remove removes a file; one that is not there is as good.
func (f *Folder) remove(name string) error {
	if err := f.try("remove", name); err != nil {
		return err
	}
	if err := f.root.Remove(name); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// syncDirs makes the names in the changes' folders survive a loss of power.
func (f *Folder) syncDirs(changes []record) error {
	var done []string
	for _, r := range changes {
		dir := path.Dir(r.Name)
		if slices.Contains(done, dir) {
			continue
		}
		done = append(done, dir)
		if err := f.syncDir(dir); err != nil {
			return err
		}
	}
	return nil
}

// syncDir forces the names in a folder to the disk: after a rename or a removal the contents
// of files may be safe and their names not.
func (f *Folder) syncDir(name string) error {
	if err := f.try("sync", name); err != nil {
		return err
	}
	dir, err := f.openDir(name)
	if err != nil {
		return err
	}
	defer dir.Close()
	return forceDir(dir)
}

// writeNew writes a new file, forced to the disk, and returns its sum. Mode 0
// leaves its permissions to the system.
func (f *Folder) writeNew(name string, mode os.FileMode, write func(io.Writer) error) (sum string, err error) {
	_ = f.remove(name) // what a killed process left
	if err := f.try("create", name); err != nil {
		return "", err
	}
	file, err := f.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return "", err
	}
	h := sha256.New()
	err = write(&writer{file: io.MultiWriter(file, h), folder: f, name: name})
	if err == nil && mode != 0 {
		_ = file.Chmod(mode) // some disks have no permissions
	}
	if err == nil {
		err = f.try("sync", name)
	}
	if err == nil {
		err = file.Sync()
	}
	if e := file.Close(); err == nil {
		err = e
	}
	return hex.EncodeToString(h.Sum(nil)), err
}

// writer writes while the folder's context lasts.
type writer struct {
	file   io.Writer
	folder *Folder
	name   string
}

func (w *writer) Write(p []byte) (int, error) {
	if err := w.folder.ctx.Err(); err != nil {
		return 0, err
	}
	if err := w.folder.try("write", w.name); err != nil {
		// A fault that is put in by a test cuts the writing off in the middle, as a full disk
		// does.
		n, _ := w.file.Write(p[:len(p)/2])
		return n, err
	}
	return w.file.Write(p)
}
