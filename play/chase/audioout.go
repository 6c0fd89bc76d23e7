package chase

import (
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"lampblack/play/device"
	"lampblack/wire/timecode"
)

const (
	// blockTime is how much audio is written at once, and leadTime how far
	// before its time: what reads the pipe has that much to go on with.
	blockTime = 10 * time.Millisecond
	leadTime  = 40 * time.Millisecond
)

// LinearTimecode writes linear timecode as audio, 16-bit little-endian mono
// samples, into a pipe or to a program, in time with the show, from a
// goroutine of its own. While the show stands it writes silence.
type LinearTimecode struct {
	name  string
	rate  timecode.Rate
	start time.Duration
	fs    int
	out   io.WriteCloser
	stop  chan struct{}
	done  chan struct{}

	mu       sync.Mutex // guards what follows
	running  bool
	at       time.Time
	position time.Duration // at that instant, as timecode
	stats    Stats
	fault    error // why nothing leaves
	since    time.Time
	closed   bool

	// Owned by the goroutine.
	encoder *timecode.Encoder
	place   time.Duration // timecode of the encoder's next sample
	samples []float32
	bytes   []byte
	behind  time.Duration // by how much what is written is read later than it is meant to be
}

// OpenLinearTimecode writes to a pipe that somebody reads, sampleRate samples a
// second.
func OpenLinearTimecode(pipe string, start timecode.Time, sampleRate int) (*LinearTimecode, error) {
	f, err := device.Open(pipe, os.O_WRONLY)
	if err != nil {
		return nil, err
	}
	// A reader that begins late would be behind by all that the pipe holds, for good.
	device.Shorten(f, int(leadTime.Seconds()*float64(sampleRate))*2)
	return NewLinearTimecode("pipe "+pipe, f, start, sampleRate)
}

// NewLinearTimecode writes to out, which it closes in the end.
func NewLinearTimecode(name string, out io.WriteCloser, start timecode.Time, sampleRate int) (*LinearTimecode, error) {
	if _, err := timecode.NewEncoder(timecode.EncoderOptions{Start: start, SampleRate: sampleRate}); err != nil {
		out.Close()
		return nil, err
	}
	l := &LinearTimecode{name: name, rate: start.Rate, start: start.Offset(), fs: sampleRate, out: out,
		stop: make(chan struct{}), done: make(chan struct{}), samples: make([]float32, sampleRate/100)}
	go l.run()
	return l, nil
}

// Name says what goes where.
func (l *LinearTimecode) Name() string {
	return fmt.Sprintf("linear timecode %v at %d Hz, %s", l.rate, l.fs, l.name)
}

// Stats counts blocks of 10 ms.
func (l *LinearTimecode) Stats() Stats {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.stats
}

// Update says that the show is at a position, and whether it runs.
func (l *LinearTimecode) Update(at time.Time, position time.Duration, running bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.at, l.position, l.running = at, position+l.start, running
}

// wanted is the timecode at an instant.
func (l *LinearTimecode) wanted(at time.Time) (p time.Duration, running bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.position + at.Sub(l.at), l.running
}

// run writes block after block, each leadTime before its instant.
func (l *LinearTimecode) run() {
	defer close(l.done)
	begin := time.Now().Add(leadTime)
	timer := time.NewTimer(0)
	defer timer.Stop()
	for n := 0; ; n++ {
		due := begin.Add(time.Duration(n) * blockTime)
		timer.Reset(time.Until(due.Add(-leadTime)))
		select {
		case <-timer.C:
		case <-l.stop:
			return
		}
		l.fill(due.Add(l.holds()))
		l.write()
	}
}

// holds is by how much a block is read later than leadTime after it was written, as the pipe
// holds more than that: some time's mean, for readers take it in pieces.
func (l *LinearTimecode) holds() time.Duration {
	file, ok := l.out.(*os.File)
	if !ok {
		return 0
	}
	n, ok := device.Waiting(file)
	if !ok {
		return 0
	}
	more := max(time.Duration(n/2)*time.Second/time.Duration(l.fs)-leadTime, 0)
	if (more - l.behind).Abs() > jump { // a reader that begins, or stops
		l.behind = more
	}
	l.behind += (more - l.behind) / 32
	return l.behind
}

// fill makes the block of an instant.
func (l *LinearTimecode) fill(due time.Time) {
	p, running := l.wanted(due)
	if !running {
		l.encoder = nil
		clear(l.samples)
		return
	}
	off := p - l.place
	if l.encoder == nil || off.Abs() > jump {
		l.begin(p)
		off = 0
	}
	block := l.samples
	// The show's clock and ours drift apart: a sample more or less in a block
	// moves the signal by 20 us, which no reader minds.
	one := time.Second / time.Duration(l.fs)
	switch {
	case off > one: // behind: leave one out
		l.encoder.Read(block[:1])
		l.place += one
	case off < -one: // ahead: write one twice
		l.encoder.Read(block[1:])
		block[0] = block[1]
		l.place += blockTime - one
		return
	}
	l.encoder.Read(block)
	l.place += time.Duration(len(block)) * time.Second / time.Duration(l.fs)
}

// begin starts a signal at a position, in the middle of its frame.
func (l *LinearTimecode) begin(p time.Duration) {
	frame := l.rate.Frames(p)
	l.encoder, _ = timecode.NewEncoder(timecode.EncoderOptions{Start: l.rate.Frame(frame), SampleRate: l.fs}) // checked before
	skip := make([]float32, int((p-l.rate.Duration(frame)).Seconds()*float64(l.fs)))
	l.encoder.Read(skip)
	l.place = p
}

func (l *LinearTimecode) write() {
	l.bytes = l.bytes[:0]
	for _, x := range l.samples {
		l.bytes = binary.LittleEndian.AppendUint16(l.bytes, uint16(int16(32767*x)))
	}
	if d, ok := l.out.(interface{ SetWriteDeadline(time.Time) error }); ok {
		d.SetWriteDeadline(time.Now().Add(blockTime)) // plain writers of tests have none
	}
	_, err := l.out.Write(l.bytes)
	l.mu.Lock()
	defer l.mu.Unlock()
	if err != nil {
		l.stats.Dropped++
		l.stats.LastError = fmt.Sprintf("%s: %v", l.name, err)
		if l.fault == nil {
			l.since = time.Now()
		}
		l.fault = err
		return
	}
	l.fault = nil
	l.stats.Sent++
}

// Fault says why no signal leaves, and since when.
func (l *LinearTimecode) Fault() (since time.Time, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.since, l.fault
}

// Close stops the signal and closes what it goes to.
func (l *LinearTimecode) Close() error {
	l.mu.Lock()
	before := l.closed
	l.closed = true
	l.mu.Unlock()
	if before {
		return nil
	}
	close(l.stop)
	<-l.done
	return l.out.Close()
}
