package journal

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
)

// disk is a disk with one file, in memory, that a test breaks.
type disk struct {
	mu     sync.Mutex
	text   []byte
	number int           // of the file that is there now
	room   int           // octets in all
	err    error         // what opening and writing comes to
	hangs  chan struct{} // what writing waits for
	writes int
	unkept bool // written, and Sync not asked for
}

var errFull, errAway = errors.New("no space left on device"), errors.New("input/output error")

type diskFile struct {
	d      *disk
	number int
}

func (d *disk) open() (File, bool, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.err != nil {
		return nil, false, d.err
	}
	return &diskFile{d, d.number}, len(d.text) > 0 && d.text[len(d.text)-1] != '\n', nil
}

func (f *diskFile) Write(b []byte) (int, error) {
	if f.d.hangs != nil {
		<-f.d.hangs
	}
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	f.d.writes++
	if f.d.err != nil {
		return 0, f.d.err
	}
	if f.number != f.d.number { // of a file that was deleted
		return len(b), nil
	}
	n := min(len(b), max(0, f.d.room-len(f.d.text)))
	f.d.text = append(f.d.text, b[:n]...)
	f.d.unkept = true
	if n < len(b) {
		return n, errFull
	}
	return n, nil
}

func (f *diskFile) Sync() error {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	f.d.unkept = false
	return f.d.err
}

func (f *diskFile) Gone() bool {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	return f.number != f.d.number
}

func (f *diskFile) Close() error { return nil }

// set changes the disk.
func (d *disk) set(do func()) {
	d.mu.Lock()
	defer d.mu.Unlock()
	do()
}

// cues are the events that the journal holds, and whether a line is damaged.
func (d *disk) cues() (string, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	var cues []string
	err := evening.Read(bytes.NewReader(d.text), "fair", func(e evening.Event) { cues = append(cues, e.Text) })
	return strings.Join(cues, " "), err
}

func event(cue int) evening.Event {
	return evening.Event{ID: fmt.Sprint(cue), Zone: "fair", Time: time.Now(), Kind: evening.Cue, Text: fmt.Sprint(cue)}
}

// Each event is on the disk, and kept there, before anything else is written.
func TestKept(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := &disk{room: 1 << 20}
		j := Open(d.open)
		for i := range 3 {
			j.Add(event(i))
			synctest.Wait()
			if d.writes != i+1 || d.unkept {
				t.Errorf("after event %d: %d written, one not kept: %v", i, d.writes, d.unkept)
			}
		}
		if err := j.Close(); err != nil {
			t.Error(err)
		}
		if got, err := d.cues(); got != "0 1 2" || err != nil {
			t.Errorf("%q, %v", got, err)
		}
	})
}

// A disk that is full, and a folder that takes no writing, are known at once; nothing of the
// last hour is lost, and it is written within five seconds of there being room.
func TestNoRoom(t *testing.T) {
	for name, c := range map[string]struct{ stops, goes func(d *disk) }{
		"full":      {func(d *disk) { d.room = len(d.text) + 40 }, func(d *disk) { d.room = 1 << 20 }},
		"read only": {func(d *disk) { d.err = errAway }, func(d *disk) { d.err = nil }},
	} {
		synctest.Test(t, func(t *testing.T) {
			d := &disk{room: 1 << 20}
			j := Open(d.open)
			j.Add(event(1))
			synctest.Wait()
			d.set(func() { c.stops(d) })
			j.Add(event(2))
			synctest.Wait()
			since, err := j.Fault()
			if err == nil || since != time.Now() {
				t.Errorf("%s: %v since %v", name, err, since)
			}
			for i := 3; i < 30; i++ {
				j.Add(event(i))
				time.Sleep(time.Minute)
			}
			if still, err := j.Fault(); err == nil || still != since {
				t.Errorf("%s: %v since %v", name, err, still)
			}
			d.set(func() { c.goes(d) })
			time.Sleep(5 * time.Second)
			if _, err := j.Fault(); err != nil {
				t.Errorf("%s: there is room, and %v", name, err)
			}
			got, _ := d.cues() // the line that was cut off is damaged, and there whole behind that
			if !strings.HasPrefix(got, "1 2 3 ") || !strings.HasSuffix(got, " 28 29") || strings.Count(got, " ") != 28 {
				t.Errorf("%s: %q", name, got)
			}
			if err := j.Close(); err != nil {
				t.Errorf("%s: all is written, and it says %v", name, err)
			}
		})
	}
}

// After more than an hour the oldest events are let go, and that is said at the end.
func TestLastHour(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := &disk{err: errAway, room: 1 << 20}
		j := Open(d.open)
		for i := range 90 {
			j.Add(event(i))
			time.Sleep(time.Minute)
		}
		d.set(func() { d.err = nil })
		time.Sleep(5 * time.Second)
		if got, err := d.cues(); !strings.HasSuffix(got, " 88 89") || strings.Count(got, " ")+1 < 60 || strings.Count(got, " ")+1 > 62 || err != nil {
			t.Errorf("%q, %v", got, err)
		}
		if err := j.Close(); !errors.Is(err, errAway) || !strings.Contains(err.Error(), "events are missing") {
			t.Error(err)
		}
		if n := cap(j.lines); n > 256 {
			t.Errorf("%d lines are remembered", n)
		}
	})
}

// A file that is deleted under the run is made anew, with the last hour in it.
func TestFileGone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := &disk{room: 1 << 20}
		j := Open(d.open)
		for i := range 100 {
			j.Add(event(i))
			time.Sleep(time.Minute)
		}
		d.set(func() { d.number++; d.text = nil })
		time.Sleep(2 * lookEvery)
		got, err := d.cues()
		if n := strings.Count(got, " ") + 1; n < 59 || n > 61 || !strings.HasSuffix(got, " 98 99") || err != nil {
			t.Errorf("%q, %v", got, err)
		}
		if err := j.Close(); err != nil {
			t.Error(err)
		}
	})
}

// A disk that hangs holds neither the run nor its end for more than two seconds.
func TestDiskHangs(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := &disk{room: 1 << 20, hangs: make(chan struct{})}
		j := Open(d.open)
		start := time.Now()
		for i := range 1000 {
			j.Add(event(i))
		}
		if took := time.Since(start); took != 0 {
			t.Errorf("the run waited for %v", took)
		}
		time.Sleep(1100 * time.Millisecond)
		if since, err := j.Fault(); err == nil || !since.Equal(start) {
			t.Errorf("a disk that hangs: %v since %v", err, since)
		}
		start = time.Now()
		err := j.Close()
		if took := time.Since(start); took != patience || err == nil {
			t.Errorf("the end waited for %v: %v", took, err)
		}
		close(d.hangs)
		<-j.done
	})
}

// Whatever a disk does, every event of the last hour is there whole once it lets itself be
// written, in order, and no line joins two.
func TestAnyDisk(t *testing.T) {
	for seed := range uint64(50) {
		synctest.Test(t, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 1))
			d := &disk{room: 1 << 20}
			j := Open(d.open)
			n := 0
			for range 40 {
				switch rng.IntN(4) {
				case 0:
					d.set(func() { d.room = len(d.text) + rng.IntN(300) })
				case 1:
					d.set(func() { d.err = errAway })
				case 2:
					d.set(func() { d.err, d.room = nil, 1<<20 })
				}
				for range rng.IntN(4) {
					j.Add(event(n))
					n++
				}
				time.Sleep(time.Duration(rng.IntN(8000)) * time.Millisecond)
			}
			d.set(func() { d.err, d.room = nil, 1<<20 })
			time.Sleep(5 * time.Second)
			if err := j.Close(); err != nil {
				t.Errorf("seed %d: %v", seed, err)
			}
			var want []string
			for i := range n {
				want = append(want, fmt.Sprint(i))
			}
			if got, _ := d.cues(); got != strings.Join(want, " ") {
				t.Errorf("seed %d: %q, want %d events", seed, got, n)
			}
		})
	}
}
