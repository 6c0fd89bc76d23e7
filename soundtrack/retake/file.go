package retake

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"time"
)

// A print's file is
//
//	"lampblack print 1\n"
//	duration    int64, nanoseconds
//	frames      uint32: codes and levels
//	samples     uint32: signs
//	codes       frames times uint32
//	levels      frames times uint8
//	signs       ⌈samples/64⌉ times uint64
//	check       uint32: CRC-32 (IEEE) of all before
//
// with the lowest byte first. The same track gives the same bytes.
const fileMark = "lampblack print 1\n"

// maxHours bounds what a file may declare.
const maxHours = 48

// AppendBinary appends the print's file to b.
func (p *Print) AppendBinary(b []byte) ([]byte, error) {
	start := len(b)
	le := binary.LittleEndian
	b = append(b, fileMark...)
	b = le.AppendUint64(b, uint64(p.duration))
	b = le.AppendUint32(b, uint32(len(p.codes)))
	b = le.AppendUint32(b, uint32(p.signs.n))
	for _, c := range p.codes {
		b = le.AppendUint32(b, c)
	}
	b = append(b, p.level...)
	for _, w := range p.signs.words {
		b = le.AppendUint64(b, w)
	}
	return le.AppendUint32(b, crc32.ChecksumIEEE(b[start:])), nil
}

// MarshalBinary returns the print's file.
func (p *Print) MarshalBinary() ([]byte, error) { return p.AppendBinary(nil) }

// ReadPrint reads the file of a print. Memory grows with what is there, not with
// what is declared.
func ReadPrint(r io.Reader) (*Print, error) {
	const most = maxHours * 3600 * (rate/8 + 5*rate/hop + 1)
	b, err := io.ReadAll(io.LimitReader(r, most))
	if err != nil {
		return nil, fmt.Errorf("read print: %w", err)
	}
	p := &Print{}
	if err := p.UnmarshalBinary(b); err != nil {
		return nil, err
	}
	return p, nil
}

// UnmarshalBinary reads the file of a print.
func (p *Print) UnmarshalBinary(b []byte) error {
	const head = len(fileMark) + 16
	le := binary.LittleEndian
	if !bytes.HasPrefix(b, []byte(fileMark)) {
		return errors.New("read print: not a print of a track, or of another version")
	}
	if len(b) < head+4 {
		return errors.New("read print: the file is cut")
	}
	h := b[len(fileMark):]
	length := time.Duration(le.Uint64(h))
	frames, samples := int64(le.Uint32(h[8:])), int64(le.Uint32(h[12:]))
	words := (samples + 63) / 64
	if want := int64(head) + 5*frames + 8*words + 4; int64(len(b)) != want {
		return fmt.Errorf("read print: the file has %d bytes: want %d", len(b), want)
	}
	body := len(b) - 4
	if crc32.ChecksumIEEE(b[:body]) != le.Uint32(b[body:]) {
		return errors.New("read print: the file is damaged: its check sum is wrong")
	}
	if length < 0 || length > maxHours*time.Hour {
		return fmt.Errorf("read print: a length of %v: want at most %d h", length, maxHours)
	}
	p.duration = length
	p.codes = make([]uint32, frames)
	for i := range p.codes {
		p.codes[i] = le.Uint32(b[head+4*i:])
	}
	at := head + 4*int(frames)
	p.level = bytes.Clone(b[at : at+int(frames)])
	at += int(frames)
	p.signs = signs{words: make([]uint64, words), n: int(samples)}
	for i := range p.signs.words {
		p.signs.words[i] = le.Uint64(b[at+8*i:])
	}
	return nil
}
