package chase

import (
	"io"
	"os"
	"time"

	"lampblack/play/clock"
	"lampblack/play/device"
	"lampblack/play/line"
	"lampblack/wire/timecode"
)

// Source is the clock of a show that follows another machine's timecode.
type Source struct {
	*Follower
	in *input
}

// Follow opens timecode in: "mtc" or "ltc"; loss says what is done without it. Other is called
// with every other message of a MIDI port, valid only during the call, if it is not nil.
func Follow(text string, loss Loss, other func(at time.Time, message []byte)) (*Source, error) {
	s, err := line.ParseClock(text)
	if err != nil {
		return nil, err
	}
	from := s.Device
	if from == "-" {
		from = "standard input"
	}
	f := NewFollower(map[string]string{"mtc": "MIDI time code from ", "ltc": "linear timecode from "}[s.Kind]+from, s.Start.Offset(), loss)
	return follow(f, s, func() (io.ReadCloser, error) { return openInput(s.Device) }, other)
}

func follow(f *Follower, s line.Clock, open func() (io.ReadCloser, error), other func(time.Time, []byte)) (*Source, error) {
	read := func(r io.Reader) error { return (&MIDIInput{Follower: f, Other: other}).Follow(r) }
	if s.Kind == "ltc" {
		var rate []timecode.Rate
		if s.Rated {
			rate = append(rate, s.Rate)
		}
		read = func(r io.Reader) error { return NewAudioInput(f, s.Samples, rate...).Follow(r) }
	}
	in, err := newInput(s.Device, open, func(r io.Reader) error { pass(r); return read(r) })
	if err != nil {
		return nil, err
	}
	return &Source{f, in}, nil
}

// pass reads past what a pipe holds as it is opened: that was sent before anybody listened, and
// would be taken for what is sent now.
func pass(r io.Reader) {
	file, ok := r.(*os.File)
	if !ok {
		return
	}
	if n, ok := device.Waiting(file); ok && n > 0 {
		_, _ = file.Read(make([]byte, min(n, 1<<20)))
	}
}

// Read returns where the show is by the timecode.
func (s *Source) Read(now time.Time) clock.Reading { return s.in.tell(s.Follower.Read(now), s.Name()) }

// Close stops reading.
func (s *Source) Close() error { return s.in.Close() }
