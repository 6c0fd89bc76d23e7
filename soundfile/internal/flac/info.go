package flac

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// Info is what the STREAMINFO block tells (8.2).
type Info struct {
	MinBlock, MaxBlock int // frames of sound in a frame
	Rate               int // Hz
	Channels           int
	Bits               int
	Total              int64 // frames of sound; 0 when not known
}

// Marker begins every stream.
const Marker = "fLaC"

// Type of the one block that is read, and the size of its body (8.1, 8.2).
const (
	streamInfoType = 0
	streamInfoSize = 34
)

// ReadInfo reads the marker and all metadata blocks and leaves r at the first
// frame. skip passes over bytes of r: a function, since a file can seek over a
// picture of megabytes where a stream must read it.
func ReadInfo(r io.Reader, skip func(n int64) error) (Info, error) {
	var info Info
	var head [4]byte
	if _, err := io.ReadFull(r, head[:]); err != nil || string(head[:]) != Marker {
		return info, errors.New(`flac: no "fLaC" at the beginning`)
	}
	for first, last := true, false; !last; first = false {
		if _, err := io.ReadFull(r, head[:]); err != nil {
			return info, errors.New("flac: the file ends in its header")
		}
		// A block's header: a bit that is set on the last block, 7 bits of type, 24 of size.
		last = head[0]&0x80 != 0
		size := int64(binary.BigEndian.Uint32(head[:]) & 0xFFFFFF)
		if !first {
			if err := skip(size); err != nil {
				return info, err
			}
			continue
		}
		if head[0]&0x7F != streamInfoType || size < streamInfoSize {
			return info, fmt.Errorf("flac: first metadata block of type %d and %d bytes: want STREAMINFO", head[0]&0x7F, size)
		}
		var b [streamInfoSize]byte
		if _, err := io.ReadFull(r, b[:]); err != nil {
			return info, errors.New("flac: the file ends in its header")
		}
		info = ParseInfo(b[:])
		if err := skip(size - streamInfoSize); err != nil {
			return info, err
		}
	}
	return info, nil
}

// ParseInfo reads the body of a STREAMINFO block of 34 bytes, highest byte first:
//
//	 0  least block size, 2 bytes       4  least frame size, 3 bytes (unused)
//	 2  greatest block size, 2 bytes    7  greatest frame size, 3 bytes (unused)
//	10  20 bits rate, 3 bits channels less one, 5 bits width less one, 36 bits total
//	18  MD5 sum of the sound, 16 bytes (unused)
//
// A shorter b is a mistake of the caller, and panics.
func ParseInfo(b []byte) (i Info) {
	if len(b) < streamInfoSize {
		panic("flac: STREAMINFO is too short")
	}
	i.MinBlock = int(binary.BigEndian.Uint16(b))
	i.MaxBlock = int(binary.BigEndian.Uint16(b[2:]))
	v := binary.BigEndian.Uint64(b[10:])
	i.Rate = int(v >> 44)
	i.Channels = int(v>>41&7) + 1
	i.Bits = int(v>>36&31) + 1
	i.Total = int64(v & (1<<36 - 1))
	return i
}
