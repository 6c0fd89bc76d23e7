package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"lampblack/evening"
	"lampblack/folder"
)

// Bounds of what is written down, so that a place that runs for years fills no disk. Chosen, no
// source: a year and a month of nights, and a journal that a person can still open.
const (
	usualNights = 400
	leastNights = 2       // stay whatever is asked: this one, and the one that it is compared to
	mostNights  = 1 << 30 // octets of all nights of a show
	mostPlain   = 64 << 20
	oldPlain    = 9 // that many of a journal that was named
)

// nightPattern are the files of a night; what else lies beside them is not ours.
var nightPattern = regexp.MustCompile(`^([0-9]{4}-[0-9]{2}-[0-9]{2})\.(jsonl|orders|files|texts)$`)

// boundNights removes the oldest nights, or puts a journal that was named and has grown aside.
// What cannot be is told, and keeps no run from beginning.
func (f *runFlags) boundNights(ctx context.Context, words io.Writer) {
	if f.journal == "" || again != nil {
		return
	}
	var err error
	if nightPattern.MatchString(filepath.Base(f.journal)) {
		err = removeNights(filepath.Dir(f.journal), cmp.Or(f.nights, usualNights), mostNights, filepath.Base(f.journal))
	} else {
		err = putAside(ctx, f.journal, mostPlain)
	}
	if err != nil && ctx.Err() == nil {
		say(words, "note", fmt.Sprintf("old nights stay: %v", err))
	}
}

// removeNights leaves the newest nights of a folder: so many, and no more octets than most. The
// one that is in use stays.
func removeNights(dir string, keep int, most int64, inUse string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	sizes, files := map[string]int64{}, map[string][]string{}
	for _, e := range entries {
		m := nightPattern.FindStringSubmatch(e.Name())
		if m == nil || !e.Type().IsRegular() {
			continue
		}
		files[m[1]] = append(files[m[1]], e.Name())
		if info, err := e.Info(); err == nil {
			sizes[m[1]] += info.Size()
		}
	}
	dates := slices.Sorted(maps.Keys(files))
	slices.Reverse(dates)
	sum := int64(0)
	var all []error
	for i, date := range dates {
		sum += sizes[date]
		if i < max(keep, leastNights) && (sum <= most || i < leastNights) || slices.Contains(files[date], inUse) {
			continue
		}
		for _, name := range files[date] {
			all = append(all, os.Remove(filepath.Join(dir, name)))
		}
	}
	return errors.Join(all...)
}

// putAside renames a journal that was named and has grown, once its run has ended: NAME.1 is the
// newest of those.
func putAside(ctx context.Context, journal string, most int64) error {
	info, err := os.Stat(journal)
	if errors.Is(err, fs.ErrNotExist) || err == nil && (!info.Mode().IsRegular() || info.Size() <= most) {
		return nil
	}
	if err != nil {
		return err
	}
	over, err := hasEnded(ctx, journal)
	if err != nil || !over {
		return err // a run that was cut off is taken up from it
	}
	var all []error
	for _, name := range []string{journal, beside(journal, ".orders")} {
		for i := oldPlain; i >= 2; i-- { // the last is written over
			all = append(all, unlessAbsent(os.Rename(fmt.Sprintf("%s.%d", name, i-1), fmt.Sprintf("%s.%d", name, i))))
		}
		all = append(all, unlessAbsent(os.Rename(name, name+".1")))
	}
	return errors.Join(all...)
}

func unlessAbsent(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// hasEnded tells whether no run goes on by a journal: the last event of a run is its end, or
// there is none.
func hasEnded(ctx context.Context, journal string) (bool, error) {
	const tail = 64 << 10
	file, err := folder.OpenFile(ctx, journal, maxJournal)
	if err != nil {
		return false, err
	}
	defer file.Close()
	size, err := file.Seek(0, io.SeekEnd)
	if err == nil {
		_, err = file.Seek(max(0, size-tail), io.SeekStart)
	}
	if err != nil {
		return false, err
	}
	text, err := io.ReadAll(file)
	if err != nil {
		return false, err
	}
	lines := strings.Split(string(bytes.TrimSpace(text)), "\n")
	for _, line := range slices.Backward(lines) {
		var e evening.Event
		if json.Unmarshal([]byte(line), &e) != nil {
			return false, nil
		}
		if !e.Beside() {
			return e.Kind == evening.Ended, nil
		}
	}
	return true, nil
}
