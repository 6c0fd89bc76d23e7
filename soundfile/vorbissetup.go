package soundfile

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
)

// Limits of a setup header. The encoders in use make fewer than 2^19 values.
const (
	maxBookEntries = 1 << 18
	maxBookValues  = 1 << 22 // of all books together
)

// checkVorbisSetup walks the codebooks of a setup header (Vorbis I, section
// 3.2.1), the only part of it that declares how much memory it takes.
func checkVorbisSetup(p []byte) error {
	r := &lsbReader{data: p[7:]}
	values := 0
	for range r.read(8) + 1 {
		n, err := checkCodebook(r)
		if err != nil {
			return err
		}
		if values += n; values > maxBookValues {
			return fmt.Errorf("vorbis: codebooks of more than %d values", maxBookValues)
		}
	}
	return nil
}

var errVorbisSetup = errors.New("vorbis: damaged setup header")

// checkCodebook passes over one codebook and returns how many values it unpacks to.
func checkCodebook(r *lsbReader) (values int, err error) {
	if r.read(24) != 0x564342 {
		return 0, errVorbisSetup
	}
	dimensions, entries := int(r.read(16)), int(r.read(24))
	if entries < 1 || entries > maxBookEntries || dimensions < 1 {
		return 0, fmt.Errorf("vorbis: codebook of %d entries of %d values", entries, dimensions)
	}
	if err := checkLengths(r, entries); err != nil {
		return 0, err
	}
	lookup := r.read(4)
	if lookup == 0 {
		return entries, nil
	}
	values = entries * dimensions
	if lookup > 2 || values > maxBookValues {
		return 0, errVorbisSetup
	}
	r.skip(64)
	width := int(r.read(4)) + 1
	r.skip(1)
	count := values
	if lookup == 1 {
		count = int(math.Floor(math.Pow(float64(entries), 1/float64(dimensions))))
	}
	r.skip(count * width)
	if r.over() {
		return 0, errVorbisSetup
	}
	return values, nil
}

// checkLengths passes over the lengths of the code words.
func checkLengths(r *lsbReader, entries int) error {
	if r.read(1) == 0 {
		sparse := r.read(1) == 1
		for i := 0; i < entries && !r.over(); i++ {
			if !sparse || r.read(1) == 1 {
				r.skip(5)
			}
		}
	} else {
		length := r.read(5) + 1
		for at := 0; at < entries; length++ {
			at += int(r.read(bits.Len(uint(entries - at))))
			if at > entries || length > 32 {
				return errVorbisSetup
			}
		}
	}
	if r.over() {
		return errVorbisSetup
	}
	return nil
}

// lsbReader reads bits lowest first, as Vorbis packs them (section 2). Past the
// end it reads zeros.
type lsbReader struct {
	data []byte
	pos  int // bits
}

func (r *lsbReader) read(n int) (v uint32) {
	for i := range n {
		if at := r.pos >> 3; at < len(r.data) {
			v |= uint32(r.data[at]>>(r.pos&7)&1) << i
		}
		r.pos++
	}
	return v
}

func (r *lsbReader) skip(n int) { r.pos += n }

func (r *lsbReader) over() bool { return r.pos > 8*len(r.data) }
