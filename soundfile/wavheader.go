package soundfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// Format tags of the WAVE form (RFC 2361, and Microsoft's "Multiple channel
// audio data and WAVE files" for the extensible one).
const (
	tagPCM        = 0x0001
	tagFloat      = 0x0003
	tagALaw       = 0x0006
	tagMuLaw      = 0x0007
	tagExtensible = 0xFFFE
)

// unknownSize in a 32-bit size field: "see ds64" in RF64 (EBU Tech 3306), and
// "not known" from a program that writes to a pipe.
const unknownSize = 0xFFFFFFFF

// wavHeader is what stands before the samples of a WAV file.
type wavHeader struct {
	tag       uint16
	channels  int
	rate      int
	width     int    // bytes a sample takes in the file
	bits      int    // bits of it that count
	dataSize  uint64 // bytes of samples as declared
	unlimited bool   // dataSize is not known: samples go on to the end of the file
	open      bool   // the header says 0 bytes, yet samples follow: it was never brought to its end
}

// readWAVHeader leaves src at the first sample.
//
//	"RIFF" size "WAVE"                          RF64, BW64: size is 0xFFFFFFFF
//	"ds64" size  RIFF size, data size, …        there if a size needs 64 bits
//	"fmt " size  tag, channels, rate, …
//	 any   size  …                              passed over
//	"data" size  samples
func readWAVHeader(src *source) (h wavHeader, err error) {
	var head [12]byte
	if _, err := io.ReadFull(src, head[:]); err != nil {
		return h, errors.New("wav: the file ends in its header")
	}
	var long uint64 // size of data from ds64
	for {
		id, size, err := readChunkHead(src)
		if err != nil {
			return h, errors.New(`wav: no "data" chunk`)
		}
		start := src.pos
		switch id {
		case "ds64":
			long, err = readDS64(src, size)
		case "fmt ":
			if h.channels == 0 { // the first one counts
				err = h.readFmt(src, size)
			}
		case "data":
			if h.channels == 0 {
				return h, errors.New(`wav: no "fmt " chunk before the "data" chunk`)
			}
			h.setDataSize(size, long, src)
			return h, nil
		}
		if err != nil {
			return h, err
		}
		// Chunks start at even positions.
		if err := src.skip(int64(size) + int64(size&1) - (src.pos - start)); err != nil {
			return h, err
		}
	}
}

func readChunkHead(src *source) (id string, size uint32, err error) {
	var b [8]byte
	if _, err := io.ReadFull(src, b[:]); err != nil {
		return "", 0, err
	}
	return string(b[:4]), binary.LittleEndian.Uint32(b[4:]), nil
}

// readDS64 returns the 64-bit size of the data chunk (EBU Tech 3306, clause 3.5).
func readDS64(src *source, size uint32) (uint64, error) {
	var b [24]byte // RIFF size, data size, sample count
	if size < uint32(len(b)) {
		return 0, fmt.Errorf(`wav: "ds64" chunk of %d bytes: want at least 24`, size)
	}
	if _, err := io.ReadFull(src, b[:]); err != nil {
		return 0, errors.New("wav: the file ends in its header")
	}
	return binary.LittleEndian.Uint64(b[8:]), nil
}

// readFmt reads the "fmt " chunk:
//
//	 0  tag, 2 bytes             14  bits a sample, 2
//	 2  channels, 2              16  bytes that follow, 2
//	 4  rate in Hz, 4            18  bits that count, 2      the extensible form
//	 8  bytes a second, 4        20  mask of speakers, 4
//	12  bytes a frame, 2         24  GUID: a tag, and 14 bytes that are always the same
//
// The mask is not looked at: channels stay in the order of the file.
func (h *wavHeader) readFmt(src *source, size uint32) error {
	b := make([]byte, min(size, 40)) // the extensible form has 40 bytes
	if _, err := io.ReadFull(src, b); err != nil {
		return errors.New("wav: the file ends in its header")
	}
	if len(b) < 16 {
		return fmt.Errorf(`wav: "fmt " chunk of %d bytes: want at least 16`, size)
	}
	h.tag = binary.LittleEndian.Uint16(b)
	h.channels = int(binary.LittleEndian.Uint16(b[2:]))
	rate := binary.LittleEndian.Uint32(b[4:])
	align := int(binary.LittleEndian.Uint16(b[12:]))
	h.bits = int(binary.LittleEndian.Uint16(b[14:]))
	if h.tag == tagExtensible && len(b) >= 26 {
		if valid := int(binary.LittleEndian.Uint16(b[18:])); valid > 0 && valid <= h.bits {
			h.bits = valid
		}
		h.tag = binary.LittleEndian.Uint16(b[24:]) // the first two bytes of the sub-format's GUID
	}
	if h.channels == 0 {
		return errors.New("wav: 0 channels")
	}
	h.rate = int(min(rate, 1<<30))
	// The block size is the word on the width: a 20-bit sample lies in 3 bytes
	// in one program's files and in 4 in another's.
	h.width = align / h.channels
	if h.width == 0 || align%h.channels != 0 {
		h.width = (h.bits + 7) / 8
	}
	return nil
}

// setDataSize decides how far the samples go. Writers to a pipe leave 0xFFFFFFFF, and
// recorders that were cut off leave 0: that is believed only where nothing follows but chunks.
func (h *wavHeader) setDataSize(size uint32, long uint64, src *source) {
	h.dataSize = uint64(size)
	switch {
	case size == unknownSize && long > 0 && long < 1<<63:
		h.dataSize = long
	case size == unknownSize:
		h.unlimited = true
	case size == 0:
		h.open = src.left() != 0 && !chunkFollows(src)
		h.unlimited = h.open
	}
}

// chunkFollows says whether what comes next can be a chunk: four printable characters and a
// size that the file holds.
func chunkFollows(src *source) bool {
	b := src.peek(8)
	if len(b) < 8 {
		return false
	}
	for _, c := range b[:4] {
		if c < ' ' || c > '~' {
			return false
		}
	}
	left := src.left()
	return left < 0 || int64(binary.LittleEndian.Uint32(b[4:])) <= left-8
}
