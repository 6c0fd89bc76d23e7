package export

import (
	"bytes"
	"time"

	"lampblack/play/output"
	"lampblack/show"
)

// frameRate is the frames in a second that a run sends too, if it is not told
// another: what a line of 512 slots can carry (ANSI E1.11).
const frameRate = 44

// Frames writes the show's frames as a capture. Frames are at multiples of 1/44 s
// from the beginning, as a run would send them; the fade of a lights-up is not in it.
func Frames(s *show.Show) ([]byte, error) {
	var b bytes.Buffer
	w := output.NewCaptureWriter(&b)
	f := s.NewFrame()
	var frames []output.Frame
	for i := range f.Universes {
		u := &f.Universes[i]
		frames = append(frames, output.Frame{Universe: uint16(u.Number), Slots: u.Slots[:]})
	}
	for i := 0; ; i++ {
		at := time.Duration(i) * time.Second / frameRate
		if at > s.Length {
			break
		}
		s.At(f, at)
		if err := w.Write(at, frames); err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return b.Bytes(), err
}
