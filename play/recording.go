package play

import (
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"lampblack/soundfile"
)

// Keep opens what is recorded into, and says how many octets the disk has room for.
type Keep interface {
	Create() (io.WriteSeeker, func() error, error)
	Room() (uint64, error)
}

const (
	// leastRoom is what a disk keeps free for the show's journal and the system.
	leastRoom = 1 << 30
	// mostRecorded is the size of a recording: three hours of 16 bits in two channels.
	mostRecorded = 2 << 30
	// mostWaiting is how much sound waits for a disk.
	mostWaiting = 10 * time.Second
	// roomEvery is how much is written between two looks at the room.
	roomEvery = 16 << 20
)

// recording writes what is heard into a file of 16 bits, from a goroutine of its own: nothing
// that is heard waits for a disk. A run that is cut off leaves a file that can be read up to
// there.
type recording struct {
	keep    Keep
	mu      sync.Mutex
	wake    *sync.Cond
	waiting []float32
	format  format
	closed  bool
	since   time.Time // it is over before its time
	text    string    // why
	done    chan struct{}
}

func record(keep Keep) *recording {
	r := &recording{keep: keep, done: make(chan struct{})}
	r.wake = sync.NewCond(&r.mu)
	go r.write()
	return r
}

// take takes samples. An input of another form ends the recording, since a file has one.
func (r *recording) take(f format, samples []float32) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.text != "" || r.closed {
		return
	}
	if r.format == (format{}) {
		r.format = f
	}
	switch {
	case r.format.rate != f.rate || r.format.channels != f.channels:
		r.ends("what is heard is recorded no more: the input is another by now")
		return
	case len(r.waiting) > int(mostWaiting.Seconds())*f.rate*f.channels:
		r.ends("what is heard is recorded no more: the disk does not keep up")
		return
	}
	r.waiting = append(r.waiting, samples...)
	r.wake.Signal()
}

func (r *recording) ends(text string) {
	r.since, r.text = time.Now(), text
	r.wake.Signal()
}

// next waits for samples; none are left when it is over.
func (r *recording) next(old []float32) (samples []float32, f format) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for len(r.waiting) == 0 && !r.closed && r.text == "" {
		r.wake.Wait()
	}
	samples, r.waiting = r.waiting, old[:0]
	return samples, r.format
}

// write writes until it is over.
func (r *recording) write() {
	defer close(r.done)
	if err := r.writeAll(); err != nil {
		r.mu.Lock()
		r.ends("what is heard is recorded no more: " + err.Error())
		r.waiting = nil
		r.mu.Unlock()
	}
}

// errRoom means that the disk is nearly full.
var errRoom = errors.New("there is less than 1 GiB of room on the disk")

func (r *recording) writeAll() (err error) {
	samples, f := r.next(nil)
	if len(samples) == 0 {
		return nil
	}
	if err := r.room(); err != nil {
		return err
	}
	w, shut, err := r.keep.Create()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, shut()) }()
	wav, err := soundfile.NewWAVWriter(w, soundfile.Format{Rate: f.rate, Channels: f.channels, Bits: 16, Frames: -1})
	if err != nil {
		return err
	}
	size, looked := 0, 0
	for len(samples) > 0 {
		if err := wav.Write(samples); err != nil {
			return err
		}
		if size += 2 * len(samples); size > mostRecorded {
			return errors.Join(fmt.Errorf("it has %d GiB, the most that one run records", mostRecorded>>30), wav.Close())
		}
		if size-looked > roomEvery {
			looked = size
			if err := r.room(); err != nil {
				return errors.Join(err, wav.Close())
			}
		}
		samples, _ = r.next(samples)
	}
	return wav.Close()
}

func (r *recording) room() error {
	free, err := r.keep.Room()
	if err == nil && free < leastRoom {
		return errRoom
	}
	return nil // a disk that does not tell is written to until it refuses
}

// over tells why it ended before its time, "" where it goes on.
func (r *recording) over() (since time.Time, text string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.since, r.text
}

// close writes what waits, but holds nothing up for long.
func (r *recording) close() error {
	r.mu.Lock()
	r.closed = true
	r.wake.Signal()
	r.mu.Unlock()
	select {
	case <-r.done:
		return nil
	case <-time.After(2 * time.Second):
		return errors.New("the disk does not take the end of what was recorded")
	}
}
