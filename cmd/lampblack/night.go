package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"time"

	"lampblack/folder"
)

// nightsDir is the folder of a show in which its nights are written down.
const nightsDir = "nights"

// dayBegins is the hour at which a night is over and another day begins.
const dayBegins = 6 * time.Hour

// noJournal asks for none.
const noJournal = "none"

// nightFile is where a run of the folder writes what happens, where nobody says: a file of the
// night inside the folder, or among the user's own files when that cannot be written to; ""
// for nowhere.
func nightFile(dir string, now time.Time) string {
	name := now.Add(-dayBegins).Format("2006-01-02") + ".jsonl"
	for _, d := range nightDirs(dir) {
		if os.MkdirAll(d, 0o755) != nil {
			continue
		}
		file, err := folder.Append(filepath.Join(d, name))
		if err == nil {
			file.Close()
			return filepath.Join(d, name)
		}
	}
	return ""
}

// findJournal says where the run writes what happens.
func (f *runFlags) findJournal(words io.Writer, dir string) {
	switch {
	case again != nil && again.Journal != "": // the night may be over meanwhile
		f.journal = again.Journal
	case f.journal == noJournal:
		f.journal = ""
	case f.journal == "":
		if f.journal = nightFile(dir, time.Now()); f.journal == "" {
			say(words, "warning", "nothing can be written down of this night: a run that fails begins anew")
			say(words, "hint", "--journal names a file that can be written")
		}
	}
}

// nightDirs are where the nights of a folder may lie: in it, and among the user's own files. The
// first that can be written to is written to.
func nightDirs(dir string) []string {
	all := []string{filepath.Join(dir, nightsDir)}
	if own := stateDir(dir); own != "" {
		all = append(all, own)
	}
	return all
}

// stateDir is where what the program writes down of a folder lies that cannot be written to.
func stateDir(dir string) string {
	base := userState()
	whole, err := filepath.Abs(dir)
	if base == "" || err != nil {
		return ""
	}
	sum := sha256.Sum256([]byte(whole))
	return filepath.Join(base, nightsDir, hex.EncodeToString(sum[:6]))
}

// breath is how often a run says that it lives.
const breath = time.Second

// breathe sets the time of the journal while a run lives: who takes it up sees how long ago it
// ended, though nothing may have happened for an hour before. The end of ctx ends it.
func breathe(ctx context.Context, journal string) {
	t := time.NewTicker(breath)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case now := <-t.C:
			_ = os.Chtimes(journal, time.Time{}, now)
		}
	}
}
