package soundfile

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// wavDecoder reads the samples of a WAV file.
type wavDecoder struct {
	src     *source
	convert func(dst []float32, src []byte) // one sample of each width
	block   int                             // bytes a frame
	width   int                             // bytes a sample
	left    uint64                          // bytes still declared; MaxUint64 when unlimited
	note    []string
	raw     []byte
	out     []float32
}

// wavBlock is the number of bytes read at once, about; the frame size rounds it.
const wavBlock = 32 << 10

// openWAV reads the header and plans the reading. What the file really holds bounds what
// it declares; on a pipe only the end tells.
func openWAV(src *source) (Stream, error) {
	h, err := readWAVHeader(src)
	if err != nil {
		return nil, err
	}
	convert, err := h.converter()
	if err != nil {
		return nil, err
	}
	f := Format{Codec: "wav", Rate: h.rate, Channels: h.channels, Bits: h.bits, Frames: -1}
	if err := f.check(); err != nil {
		return nil, err
	}
	d := &wavDecoder{src: src, convert: convert, width: h.width, block: h.width * h.channels, left: h.dataSize}
	if h.unlimited {
		d.left = math.MaxUint64
	}
	if h.open {
		d.note = append(d.note, "the header says that there are 0 bytes of sound, as a recording does that was not brought to its end: what follows is read as sound")
	}
	if left := src.left(); left >= 0 {
		if !h.unlimited && h.dataSize > uint64(left) {
			d.note = append(d.note, fmt.Sprintf("the header declares %d bytes of samples, the file holds %d", h.dataSize, left))
		}
		d.left = min(d.left, uint64(left))
		f.Frames = int64(d.left) / int64(d.block)
	}
	size := max(wavBlock/d.block, 1) * d.block
	d.raw = make([]byte, size)
	d.out = make([]float32, size/d.width)
	return newStream(f, d)
}

// next reads whole frames only; a rest of bytes that is no frame is left.
func (d *wavDecoder) next() ([]float32, error) {
	want := int(min(uint64(len(d.raw)), d.left))
	want -= want % d.block
	if want == 0 {
		return nil, io.EOF
	}
	n, err := io.ReadFull(d.src, d.raw[:want])
	// The file was cut while it was read: what came is given, and nothing more is expected.
	if err == io.ErrUnexpectedEOF {
		err = nil
		d.left = uint64(n)
	}
	d.left -= uint64(n)
	n -= n % d.block
	out := d.out[:n/d.width]
	d.convert(out, d.raw[:n])
	return out, err
}

func (d *wavDecoder) remarks() []string { return d.note }
func (d *wavDecoder) close() error      { return nil }

// converter picks the arithmetic for one kind of sample. Samples narrower than
// their bytes are left-justified (Microsoft, "Multiple channel audio data and
// WAVE files"), so that full scale is that of the bytes.
func (h *wavHeader) converter() (func([]float32, []byte), error) {
	if c := converters[sampleKind{h.tag, h.width}]; c != nil {
		return c, nil
	}
	if h.tag == tagPCM || h.tag == tagFloat {
		return nil, fmt.Errorf("wav: samples of %d bytes under format tag %d", h.width, h.tag)
	}
	return nil, fmt.Errorf("%w: wav with format tag 0x%04x", errNotOurs, h.tag)
}

// sampleKind is how one sample lies in the file.
type sampleKind struct {
	tag   uint16
	width int // bytes
}

// converters are the kinds that are read. Other codecs in a WAV file are for the
// helper program.
var converters = map[sampleKind]func(dst []float32, src []byte){
	{tagPCM, 1}:   convertU8,
	{tagPCM, 2}:   convertS16,
	{tagPCM, 3}:   convertS24,
	{tagPCM, 4}:   convertS32,
	{tagFloat, 4}: convertF32,
	{tagFloat, 8}: convertF64,
	{tagALaw, 1}:  convertTable(&alaw),
	{tagMuLaw, 1}: convertTable(&mulaw),
}

// convertU8 and its sisters fill dst from the bytes of as many samples. 8 bits are without
// sign, their middle being 128; wider integers are signed, lowest byte first.
func convertU8(dst []float32, src []byte) {
	for i := range dst {
		dst[i] = float32(int(src[i])-128) / 128
	}
}

func convertS16(dst []float32, src []byte) {
	for i := range dst {
		dst[i] = float32(int16(binary.LittleEndian.Uint16(src[2*i:]))) / (1 << 15)
	}
}

func convertS24(dst []float32, src []byte) {
	for i := range dst {
		b := src[3*i : 3*i+3]
		v := int32(uint32(b[0])<<8 | uint32(b[1])<<16 | uint32(b[2])<<24)
		dst[i] = float32(v) / (1 << 31) // exact: 24 bits fit a float32
	}
}

func convertS32(dst []float32, src []byte) {
	for i := range dst {
		dst[i] = float32(int32(binary.LittleEndian.Uint32(src[4*i:]))) / (1 << 31)
	}
}

func convertF32(dst []float32, src []byte) {
	for i := range dst {
		dst[i] = math.Float32frombits(binary.LittleEndian.Uint32(src[4*i:]))
	}
}

func convertF64(dst []float32, src []byte) {
	for i := range dst {
		dst[i] = float32(math.Float64frombits(binary.LittleEndian.Uint64(src[8*i:])))
	}
}

func convertTable(t *[256]float32) func([]float32, []byte) {
	return func(dst []float32, src []byte) {
		for i := range dst {
			dst[i] = t[src[i]]
		}
	}
}

// alaw and mulaw hold the values of ITU-T G.711, full scale 1.
var alaw, mulaw = g711()

func g711() (a, mu [256]float32) {
	for i := range 256 {
		a[i] = float32(alawValue(byte(i))) / (1 << 15)
		mu[i] = float32(mulawValue(byte(i))) / (1 << 15)
	}
	return a, mu
}

// alawValue expands by G.711 table 1: even bits are inverted, 13 bits of value
// are left-justified in 16.
func alawValue(b byte) int {
	b ^= 0x55
	segment, step := int(b>>4&7), int(b&15)
	v := step<<4 + 8
	if segment > 0 {
		v = (v + 0x100) << (segment - 1)
	}
	if b&0x80 == 0 {
		return -v
	}
	return v
}

// mulawValue expands by G.711 table 2: all bits are inverted, the bias of 33 (of
// 14 bits) is 132 in 16.
func mulawValue(b byte) int {
	b = ^b
	v := (int(b&15)<<3+0x84)<<(b>>4&7) - 0x84
	if b&0x80 != 0 {
		return -v
	}
	return v
}
