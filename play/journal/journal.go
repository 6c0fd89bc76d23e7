// Package journal keeps what happens in a run on a disk that may fail: [Open] begins it, Add
// takes an event and never waits, and a goroutine writes each as a line and has the disk keep
// it, before it takes the next. Close waits for at most two seconds.
//
//	run ─ Add ─▶ lines of the last hour ─ goroutine ─▶ file ─ Sync ─▶ disk
//	                      ▲                    │
//	                      └── all of them anew ┘ when the file is another than it was
//
// A disk that is full, that takes no writing, or that is away loses nothing of the last
// hour: what could not be written is tried again until it can. A file that was moved away or
// deleted under the run, with its folder or without, is made anew, with the last hour in it.
// A line that was cut off is ended, and written whole behind that.
package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"sync"
	"time"

	"lampblack/evening"
	"lampblack/play/retry"
)

const (
	// keeps is how long a line is remembered, and most how many are: some hundred octets each.
	keeps = time.Hour
	most  = 20000
	// hangs is how long a line may wait before the disk counts as one that does not answer.
	hangs = time.Second
	// patience is how long Close waits for the disk.
	patience = 2 * time.Second
	// lookEvery is how often it looks whether the file is still there.
	lookEvery = 2 * time.Second
)

// File is what a journal is written to.
type File interface {
	io.Writer
	Sync() error
	// Gone tells that the name leads elsewhere by now, or nowhere.
	Gone() bool
	Close() error
}

// Opening opens the file for writing behind what it holds, and tells whether that ends in
// the middle of a line.
type Opening func() (f File, cut bool, err error)

// Journal is one that is kept.
type Journal struct {
	open Opening
	wake chan struct{} // holds one while there is something to write
	stop chan struct{}
	done chan struct{}

	mu    sync.Mutex // guards what follows
	lines []line     // of the last hour, those that are written first
	next  int        // the first that is not written
	lost  int        // that were forgotten unwritten
	fault error      // why nothing can be written now
	since time.Time  // when that began
	first error      // the first fault there was

	// Owned by the goroutine.
	file    File
	cut     bool // the file ends in the middle of a line
	retry   retry.Times
	waiting bool // for the next attempt
}

var errHangs = errors.New("write journal: its disk does not answer")

type line struct {
	at   time.Time
	text []byte
}

// Open begins to keep a journal. It opens the file by itself; a file that cannot be opened
// is one that cannot be written yet.
func Open(open Opening) *Journal {
	j := &Journal{open: open, wake: make(chan struct{}, 1), stop: make(chan struct{}), done: make(chan struct{})}
	j.wake <- struct{}{}
	go j.keep()
	return j
}

// Add takes an event. It never waits for the disk.
func (j *Journal) Add(e evening.Event) {
	text, err := json.Marshal(e)
	if err != nil {
		return // no event is such: its numbers are finite
	}
	now := time.Now()
	j.mu.Lock()
	j.forget(now)
	j.lines = append(j.lines, line{now, append(text, '\n')})
	j.mu.Unlock()
	select {
	case j.wake <- struct{}{}:
	default:
	}
}

// forget lets go of lines that are too old or too many. The lock is held.
func (j *Journal) forget(now time.Time) {
	n := max(0, len(j.lines)+1-most)
	for n < len(j.lines) && now.Sub(j.lines[n].at) > keeps {
		n++
	}
	j.lost += max(0, n-j.next)
	j.lines, j.next = slices.Delete(j.lines, 0, n), max(0, j.next-n)
}

// Fault says why nothing can be written now, and since when; nil while it can.
func (j *Journal) Fault() (since time.Time, err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.fault == nil && j.next < len(j.lines) {
		if at := j.lines[j.next].at; time.Since(at) > hangs {
			return at, errHangs
		}
	}
	return j.since, j.fault
}

// keep writes until Close.
func (j *Journal) keep() {
	defer close(j.done)
	look := time.NewTicker(lookEvery)
	defer look.Stop()
	for {
		select {
		case <-j.stop:
			j.write()
			if j.file != nil {
				j.failed(j.file.Close())
			}
			return
		case <-j.wake:
			if !j.waiting {
				j.write()
			}
		case <-look.C:
			if !j.waiting {
				j.write()
			}
		case <-j.again():
			j.write()
		}
	}
}

// again fires when the next attempt is due, if one is.
func (j *Journal) again() <-chan time.Time {
	if !j.waiting {
		return nil
	}
	return time.After(j.retry.Wait(time.Now()))
}

// write writes what is not written. When it cannot, it is tried again after a time.
func (j *Journal) write() {
	err := j.all()
	now := time.Now()
	switch {
	case err == nil:
		j.waiting = false
	case j.waiting:
		j.retry.Tried(now)
	default:
		j.retry.Lost(now)
		j.waiting = true
	}
	j.failed(err)
}

// failed keeps why nothing can be written, or that it can.
func (j *Journal) failed(err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if err != nil && j.fault == nil {
		j.since = time.Now()
	}
	if j.first == nil {
		j.first = err
	}
	j.fault = err
}

// all writes all lines that wait, into a file that is there.
func (j *Journal) all() error {
	if j.file != nil && j.file.Gone() {
		_ = j.file.Close() // nobody reads what it holds
		j.file = nil
		j.mu.Lock()
		j.next = 0
		j.mu.Unlock()
	}
	if j.file == nil {
		f, cut, err := j.open()
		if err != nil {
			return fmt.Errorf("open journal: %w", err)
		}
		j.file, j.cut = f, cut
	}
	for {
		l, ok := j.peek()
		if !ok {
			return nil
		}
		if err := j.one(l); err != nil {
			return fmt.Errorf("write journal: %w", err)
		}
	}
}

// peek is the next line that waits.
func (j *Journal) peek() (line, bool) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.next >= len(j.lines) {
		return line{}, false
	}
	return j.lines[j.next], true
}

// one writes a line and has the disk keep it.
func (j *Journal) one(l line) error {
	text := l.text
	if j.cut {
		text = slices.Concat([]byte{'\n'}, text)
	}
	n, err := j.file.Write(text)
	if err != nil {
		if n == len(text)-1 { // all but its end, which the next begins with
			j.written(l)
		}
		return j.apart(err)
	}
	j.cut = false
	j.written(l)
	if err := j.file.Sync(); err != nil {
		return j.apart(err)
	}
	return nil
}

// apart lets go of a file that fails: what is at its name may be whole again.
func (j *Journal) apart(err error) error {
	_ = j.file.Close()
	j.file = nil
	return err
}

// written says that a line is, unless it was forgotten meanwhile.
func (j *Journal) written(l line) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.next < len(j.lines) && bytes.Equal(j.lines[j.next].text, l.text) {
		j.next++
	}
}

// Close writes what waits, for at most two seconds, and tells what went wrong, if that left
// anything out.
func (j *Journal) Close() error {
	close(j.stop)
	select {
	case <-j.done:
	case <-time.After(patience): // the disk holds it; it must not hold the end
		return fmt.Errorf("write journal: its disk has not answered for %v: what happened last may be missing", patience)
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	if left := j.lost + len(j.lines) - j.next; left > 0 {
		return fmt.Errorf("%w: %d events are missing", j.first, left)
	}
	return nil
}
