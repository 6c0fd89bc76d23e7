package export

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
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
	if err := each(s, w.Write); err != nil {
		return nil, err
	}
	err := w.Close()
	return b.Bytes(), err
}

// Sum is the SHA-256, in hex, of all frames of [Frames]: for each, universe by universe,
// the number of the universe (16 bits, big endian) and its slots. Two machines on which
// it is the same send the same light.
func Sum(ctx context.Context, s *show.Show) (string, error) {
	h := sha256.New()
	var number [2]byte
	err := each(s, func(_ time.Duration, frames []output.Frame) error {
		for _, f := range frames {
			binary.BigEndian.PutUint16(number[:], f.Universe)
			h.Write(number[:])
			h.Write(f.Slots)
		}
		return ctx.Err()
	})
	return hex.EncodeToString(h.Sum(nil)), err
}

// each calls for every frame of the show; what it is given is the same memory each time.
func each(s *show.Show, do func(time.Duration, []output.Frame) error) error {
	f := s.NewFrame()
	var frames []output.Frame
	for i := range f.Universes {
		u := &f.Universes[i]
		frames = append(frames, output.Frame{Universe: uint16(u.Number), Slots: u.Slots[:]})
	}
	for i := 0; ; i++ {
		at := time.Duration(i) * time.Second / frameRate
		if at > s.Length {
			return nil
		}
		s.At(f, at)
		if err := do(at, frames); err != nil {
			return err
		}
	}
}
