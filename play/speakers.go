package play

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"lampblack/play/line"
	"lampblack/si"
)

// Speakers is a sound device that several soundtracks play on at once, each on channels of
// its own: the zones of a place, or the one piece that there is. It owns the device, and
// mixes; extra sounds and test signals play over them and move nothing.
//
// Each track that Open returns is a clock by itself: it runs, holds, repeats and is left
// whatever the others do. What befalls the device befalls all of them: each says that it is
// gone, and comes in again where its own show is by then.
//
// As the device plays on while one of them holds, what it has taken already is heard to
// its end, some 50 ms.
type Speakers struct {
	mix  atomic.Pointer[mixer]  // set under mu
	miss atomic.Pointer[string] // the device that was asked for and is not there, "" for none

	silent atomic.Bool // nothing is heard, whatever plays

	signal func() *pcm // the test signal, which takes half a frame to make: it is made once, before it is asked for

	mu     sync.Mutex // guards what follows; the device is asked under it, which may take a second
	device device
	away   error // why there is no device, nil while there is
	taken  []line.Channels
	trims  []Trim // by channel
	closed bool

	beside sync.Mutex // guards what follows, for a moment only: a run's loop takes it
	extras []*extra
	test   *voice // that plays or has played
}

// OpenSpeakers opens a sound device: that of a name, as Devices lists them, or for "" that
// which the system has chosen. Where there is none of the name it opens that one, and Absent
// says so. Without any it returns ErrNoDevice.
func OpenSpeakers(name string) (*Speakers, error) {
	d, err := openDevice(name)
	if err != nil {
		return nil, err
	}
	s, err := newSpeakers(d)
	if err != nil {
		return nil, errors.Join(err, d.close())
	}
	s.signal()
	return s, nil
}

func newSpeakers(d device) (*Speakers, error) {
	f := d.outputs()
	if f.rate < 1 || f.channels < 1 {
		return nil, fmt.Errorf("%w: it says that it has %s at %d Hz", ErrNoDevice, si.Count(f.channels, "channel", "channels"), f.rate)
	}
	s := &Speakers{device: d, trims: make([]Trim, line.MaxChannels)}
	s.signal = sync.OnceValue(func() *pcm { return testSignal(f.rate) })
	mix := newMixer(f)
	mix.silent = &s.silent
	s.mix.Store(mix)
	err := d.start(s.mix.Load())
	s.look()
	return s, err
}

// look notes whether the device is the one that was asked for. Callers hold mu, or have the
// speakers to themselves.
func (s *Speakers) look() {
	name := ""
	if c, ok := s.device.(chosen); ok {
		name = c.absent()
	}
	s.miss.Store(&name)
}

// Channels is how many the device has.
func (s *Speakers) Channels() int { return s.mix.Load().channels }

// Fit is the channels that are meant by a pair on this device: one that has a single channel
// plays both on that.
func (s *Speakers) Fit(to line.Channels) line.Channels {
	if s.Channels() == 1 && to == (line.Channels{First: 1, Last: 2}) {
		return line.Channels{First: 1, Last: 1}
	}
	return to
}

// chosen is a device that was asked for by name.
type chosen interface {
	// absent is the name that was asked for where another is played on; "" where it is
	// the one.
	absent() string
	// found tells whether it is there by now.
	found() bool
}

// Name says what is played on.
func (s *Speakers) Name() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.device.name()
}

// Absent is the device that was asked for while another is played on; "" where all is well.
func (s *Speakers) Absent() string { return *s.miss.Load() }

// Trim sets what a channel is given in the hall. It is heard at once, and survives the loss of
// the device; a channel that the device has not waits for one that has.
func (s *Speakers) Trim(channel int, t Trim) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if channel < 1 || channel > len(s.trims) {
		return
	}
	s.trims[channel-1] = t
	s.mix.Load().trim(channel, t)
}

// Silence lets nothing be heard until it is called off, on whatever device: soundtracks, extra
// sounds and test signals go on unheard. What the device holds already is heard to its end,
// some 50 ms. It waits for nothing.
func (s *Speakers) Silence(on bool) { s.silent.Store(on) }

// rate is that of all that is mixed.
func (s *Speakers) rate() int { return s.mix.Load().rate } // which is never changed

// Open decodes a soundtrack, at the device's rate, for channels that nothing else plays
// on. They are free again when it is closed.
func (s *Speakers) Open(ctx context.Context, path string, to line.Channels, o SoundOptions) (*Sound, error) {
	s.seek()
	if err := s.take(to); err != nil {
		return nil, err
	}
	r, err := o.reel(ctx, path, s.rate())
	if err != nil {
		s.free(to)
		return nil, err
	}
	return s.play(r, to), nil
}

// seek takes the device that was asked for, where it has come while another is played on and
// nothing is heard.
func (s *Speakers) seek() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.change()
}

// change is seek. Callers hold mu.
func (s *Speakers) change() {
	c, ok := s.device.(chosen)
	if !ok || s.away != nil || c.absent() == "" || s.mix.Load().sounds() || !c.found() {
		return
	}
	s.away = errors.New("the one that was asked for is back")
	_ = s.find()
}

// play makes a clock of a reel on channels that were taken.
func (s *Speakers) play(r *reel, to line.Channels) *Sound {
	return newSound(r, &share{on: s, to: to})
}

// Close lets the device go, when all that plays on it has been closed.
func (s *Speakers) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.away, s.closed = errors.New("it was closed"), true
	return s.device.close()
}

// take reserves channels.
func (s *Speakers) take(to line.Channels) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.has(to); err != nil {
		return err
	}
	for _, t := range s.taken {
		if t.Meets(to) {
			return fmt.Errorf("%s of the sound device: something else plays on %s", to.Say(), t.Say())
		}
	}
	s.taken = append(s.taken, to)
	return nil
}

// has tells whether the device has channels.
func (s *Speakers) has(to line.Channels) error {
	switch n := s.mix.Load().channels; {
	case to.First < 1 || to.Count() < 1 || to.Count() > 2:
		return fmt.Errorf("%s of the sound device: want a pair, or one alone", to.Say())
	case to.Last > n:
		return fmt.Errorf("%s of the sound device: it has %s", to.Say(), si.Count(n, "channel", "channels"))
	}
	return nil
}

func (s *Speakers) free(to line.Channels) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.taken = slices.DeleteFunc(s.taken, func(t line.Channels) bool { return t == to })
}

// lost notes for all that the device is gone. Callers hold mu.
func (s *Speakers) lost(err error) error {
	s.away = err
	return err
}

// find opens the device again, which may have other channels than before. Callers hold mu.
func (s *Speakers) find() error {
	if err := s.device.reopen(); err != nil {
		return err
	}
	mix := newMixer(format{rate: s.rate(), channels: max(s.device.outputs().channels, 1)})
	mix.silent = &s.silent
	for i, t := range s.trims {
		mix.trim(i+1, t)
	}
	if err := s.device.start(mix); err != nil {
		return err
	}
	s.mix.Store(mix)
	s.away = nil
	s.look()
	return nil
}

// share is the device of one soundtrack on speakers.
type share struct {
	on    *Speakers
	to    line.Channels
	voice *voice // nil while nothing plays
	mix   *mixer // that has the voice: a device that is found gets a new one
}

func (d *share) outputs() format { return format{rate: d.on.rate(), channels: d.to.Count()} }

func (d *share) start(from stream) error {
	d.on.mu.Lock()
	defer d.on.mu.Unlock()
	d.drop()
	d.on.change()
	if d.on.away != nil {
		return d.on.away
	}
	d.mix = d.on.mix.Load()
	d.voice = d.mix.add(from, d.to)
	return nil
}

// heard counts from the frame of the mix that was the voice's first. What the hall has delayed
// on all of its channels is heard by so much later.
func (d *share) heard() (int64, bool, error) {
	d.on.mu.Lock()
	defer d.on.mu.Unlock()
	switch {
	case d.on.away != nil:
		return 0, false, d.on.away
	case d.voice == nil:
		return 0, false, errNothingPlays
	case d.mix != d.on.mix.Load():
		return 0, false, errors.New("it was away for a moment")
	}
	frames, moving, err := d.on.device.heard()
	if err != nil {
		return 0, false, d.on.lost(err)
	}
	d.on.look()
	frames -= d.voice.begun + d.mix.delay(d.to)
	return max(frames, 0), moving && frames > 0, nil
}

func (d *share) stop() {
	d.on.mu.Lock()
	defer d.on.mu.Unlock()
	d.drop()
}

// drop takes the voice out of the mix. Callers hold mu of the speakers.
func (d *share) drop() {
	if d.voice != nil {
		d.mix.drop(d.voice)
	}
	d.voice = nil
}

// reopen looks for the device, unless another soundtrack has found it.
func (d *share) reopen() error {
	s := d.on
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return s.away
	}
	if s.away != nil {
		if err := s.find(); err != nil {
			return err
		}
	}
	return s.has(d.to)
}

func (d *share) close() error {
	d.stop()
	d.on.free(d.to)
	return nil
}

func (d *share) name() string { return d.to.Say() + " of " + d.on.Name() }

// Quiet is over how long extra sounds are taken out where nobody says.
const Quiet = time.Second
