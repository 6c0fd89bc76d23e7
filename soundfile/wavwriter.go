package soundfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// WriteWAV writes interleaved samples as a WAV file: bits is 16 or 24 for
// integers, 32 for floats. The same samples give the same bytes.
func WriteWAV(w io.Writer, rate, channels, bits int, samples []float32) error {
	f := Format{Rate: rate, Channels: channels, Bits: bits}
	if channels > 0 {
		f.Frames = int64(len(samples) / channels)
	}
	ww, err := NewWAVWriter(w, f)
	if err != nil {
		return err
	}
	if err := ww.Write(samples); err != nil {
		return err
	}
	return ww.Close()
}

// A WAVWriter writes a WAV file piece by piece. Integers are rounded to the
// nearest step, halves away from zero, and held at full scale; no dither is
// added, so that the bytes depend on the samples alone.
type WAVWriter struct {
	w       io.Writer
	format  Format
	written int64 // frames
	buf     []byte
}

// NewWAVWriter writes the header. f needs Rate, Channels and Bits (16 and 24 for
// integers, 32 for floats). With f.Frames at -1 the sizes are set by Close when
// w can seek, and are left at "unknown" otherwise.
func NewWAVWriter(w io.Writer, f Format) (*WAVWriter, error) {
	f.Codec = "wav"
	if err := f.check(); err != nil {
		return nil, err
	}
	if f.Bits != 16 && f.Bits != 24 && f.Bits != 32 {
		return nil, fmt.Errorf("wav: %d bits a sample: want 16, 24 or 32 (float)", f.Bits)
	}
	ww := &WAVWriter{w: w, format: f}
	header := ww.header(f.Frames)
	if ww.plain() {
		header = ww.plainHeader()
	}
	_, err := w.Write(header)
	return ww, err
}

// Write appends interleaved samples, whole frames.
func (w *WAVWriter) Write(samples []float32) error {
	if len(samples)%w.format.Channels != 0 {
		return fmt.Errorf("wav: %d samples do not fill frames of %d channels", len(samples), w.format.Channels)
	}
	const piece = 4096
	for len(samples) > 0 {
		n := min(len(samples), piece*w.format.Channels)
		w.buf = appendSamples(w.buf[:0], samples[:n], w.format.Bits)
		if _, err := w.w.Write(w.buf); err != nil {
			return err
		}
		w.written += int64(n / w.format.Channels)
		samples = samples[n:]
	}
	return nil
}

// Close pads the data and sets the sizes. It does not close the writer below.
func (w *WAVWriter) Close() error {
	if w.format.Frames >= 0 && w.format.Frames != w.written {
		return fmt.Errorf("wav: %d frames written, %d declared", w.written, w.format.Frames)
	}
	if w.dataSize(w.written)&1 == 1 {
		if _, err := w.w.Write([]byte{0}); err != nil {
			return err
		}
	}
	if w.format.Frames >= 0 {
		return nil
	}
	ws, ok := w.w.(io.WriteSeeker)
	if !ok {
		return nil
	}
	_, err1 := ws.Seek(0, io.SeekStart)
	_, err2 := ws.Write(w.header(w.written))
	_, err3 := ws.Seek(0, io.SeekEnd)
	return errors.Join(err1, err2, err3)
}

// dataSize is the length of the samples in bytes, the byte of padding not counted.
func (w *WAVWriter) dataSize(frames int64) int64 {
	return frames * int64(w.format.Channels*w.format.Bits/8)
}

// plain tells whether the form of 1991 says it all: 16 bits, one or two
// channels, a size that is known and fits. Every reader takes that one; many
// small ones take no other.
func (w *WAVWriter) plain() bool {
	f := w.format
	return f.Bits == 16 && f.Channels <= 2 && f.Frames >= 0 && w.dataSize(f.Frames)+plainHeaderSize < unknownSize
}

const plainHeaderSize = 44

// plainHeader is RIFF, fmt with WAVE_FORMAT_PCM, and data, nothing between
// (IBM and Microsoft, Multimedia Programming Interface and Data Specifications
// 1.0, 1991).
func (w *WAVWriter) plainHeader() []byte {
	f := w.format
	size := w.dataSize(f.Frames)
	align := f.Channels * f.Bits / 8
	le := binary.LittleEndian
	b := make([]byte, 0, plainHeaderSize)
	b = le.AppendUint32(append(b, "RIFF"...), uint32(plainHeaderSize-8+size+size&1))
	b = le.AppendUint32(append(b, "WAVEfmt "...), 16)
	b = le.AppendUint16(b, tagPCM)
	b = le.AppendUint16(b, uint16(f.Channels))
	b = le.AppendUint32(b, uint32(f.Rate))
	b = le.AppendUint32(b, uint32(f.Rate*align))
	b = le.AppendUint16(b, uint16(align))
	b = le.AppendUint16(b, uint16(f.Bits))
	return le.AppendUint32(append(b, "data"...), uint32(size))
}

// wavHeaderSize: RIFF 12, JUNK or ds64 8+28, fmt 8+40, fact 8+4, data 8.
const wavHeaderSize = 12 + 36 + 48 + 12 + 8

// header has the same length whatever is known, so that Close can write over
// it: a JUNK chunk keeps the room of the ds64 chunk that RF64 needs past 4 GiB
// (EBU Tech 3306).
func (w *WAVWriter) header(frames int64) []byte {
	f := w.format
	riff, data := uint32(unknownSize), uint32(unknownSize)
	size := w.dataSize(max(frames, 0))
	total := size + size&1 + wavHeaderSize - 8
	magic, first := "RIFF", "JUNK"
	switch {
	case frames >= 0 && total < unknownSize:
		riff, data = uint32(total), uint32(size)
	case frames >= 0:
		magic, first = "RF64", "ds64"
	}
	le := binary.LittleEndian
	b := make([]byte, 0, wavHeaderSize)
	b = le.AppendUint32(append(b, magic...), riff)
	b = le.AppendUint32(append(b, "WAVE"+first...), 28)
	if first == "ds64" {
		b = le.AppendUint64(b, uint64(total))
		b = le.AppendUint64(b, uint64(size))
		b = le.AppendUint64(b, uint64(frames))
		b = le.AppendUint32(b, 0)
	} else {
		b = append(b, make([]byte, 28)...)
	}
	b = appendFmt(b, f)
	b = le.AppendUint32(append(b, "fact"...), 4)
	b = le.AppendUint32(b, uint32(min(uint64(frames), unknownSize)))
	return le.AppendUint32(append(b, "data"...), data)
}

// pcmGUID is the tail that all sub-formats made of a format tag share.
const pcmGUID = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"

// speakers are the channel masks of Microsoft's extensible form for 1 to 8
// channels: C; L R; L R C; L R BL BR; L R C BL BR; 5.1; 6.1; 7.1.
var speakers = [...]uint32{1: 0x4, 2: 0x3, 3: 0x7, 4: 0x33, 5: 0x37, 6: 0x3F, 7: 0x70F, 8: 0x63F}

// appendFmt appends the "fmt " chunk in its extensible form; see readFmt for its layout.
func appendFmt(b []byte, f Format) []byte {
	le := binary.LittleEndian
	tag := uint16(tagPCM)
	if f.Bits == 32 {
		tag = tagFloat
	}
	align := f.Channels * f.Bits / 8
	mask := uint32(0)
	if f.Channels < len(speakers) {
		mask = speakers[f.Channels]
	}
	b = le.AppendUint32(append(b, "fmt "...), 40)
	b = le.AppendUint16(b, tagExtensible)
	b = le.AppendUint16(b, uint16(f.Channels))
	b = le.AppendUint32(b, uint32(f.Rate))
	b = le.AppendUint32(b, uint32(f.Rate*align))
	b = le.AppendUint16(b, uint16(align))
	b = le.AppendUint16(b, uint16(f.Bits))
	b = le.AppendUint16(b, 22) // bytes that follow
	b = le.AppendUint16(b, uint16(f.Bits))
	b = le.AppendUint32(b, mask)
	b = le.AppendUint16(b, tag)
	return append(b, pcmGUID...)
}

// appendSamples appends samples of 16 or 24 bits as integers, of 32 as floats.
func appendSamples(b []byte, samples []float32, bits int) []byte {
	for _, v := range samples {
		switch bits {
		case 16:
			b = binary.LittleEndian.AppendUint16(b, uint16(quantise(v, 1<<15)))
		case 24:
			q := quantise(v, 1<<23)
			b = append(b, byte(q), byte(q>>8), byte(q>>16))
		default:
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
		}
	}
	return b
}

// quantise rounds v times full to an integer within [-full, full-1]. NaN is 0.
func quantise(v float32, full float64) int32 {
	x := math.Round(float64(v) * full)
	if x != x {
		return 0
	}
	return int32(max(-full, min(full-1, x)))
}
