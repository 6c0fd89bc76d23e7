package chase

import (
	"io"
	"time"

	"lampblack/play/clock"
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
	in, err := newInput(s.Device, open, read)
	if err != nil {
		return nil, err
	}
	return &Source{f, in}, nil
}

// Read returns where the show is by the timecode.
func (s *Source) Read(now time.Time) clock.Reading { return s.in.tell(s.Follower.Read(now), s.Name()) }

// Close stops reading.
func (s *Source) Close() error { return s.in.Close() }
