package vorbis

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/bits"
)

// A Decoder decodes one logical stream. It is for one goroutine; what it returns is its
// own memory.
type Decoder struct {
	// As the identification header told; to be read only. Rate is in Hz.
	Channels int
	Rate     int

	// Read from the headers by NewDecoder, and constant from then on. Index 0 is for short
	// blocks, 1 for long ones.
	blocks     [2]int // short and long
	floors     []*floor
	residues   []*residue
	mappings   []*mapping
	modes      []mode
	windows    [2][]float32 // rising halves
	transforms [2]*transform

	// Written to by each packet. Slices of slices go by channel first; lines are those of
	// the spectrum, half as many as the samples of a block, and are always of the length
	// that a long block needs.
	r        bitReader
	work     residueWork
	curves   []points
	lines    [][]float32
	samples  [][]float32 // of one block, windowed
	tail     [][]float32 // right half of the last block
	previous int         // its size; 0 when there is none
	out      []float32
}

// mapping tells which floor and residue a channel uses, and which channels are
// coupled (4.2.4). Steps of coupling stand in the order of the header; they were made
// in that order and are undone from the last to the first.
type mapping struct {
	magnitude, angle []int
	floor            []*floor // by channel
	residue          []*residue
	channels         [][]int // by residue
}

type mode struct {
	long    bool
	mapping *mapping
}

// NewDecoder reads the identification header (4.2.2) and the setup header
// (4.2.4).
func NewDecoder(ident, setup []byte) (*Decoder, error) {
	d := &Decoder{}
	if err := d.readIdent(ident); err != nil {
		return nil, fmt.Errorf("vorbis: %w", err)
	}
	if len(setup) < 7 || string(setup[:7]) != "\x05vorbis" {
		return nil, errors.New("vorbis: the setup header is missing")
	}
	d.r.load(setup[7:])
	if err := d.readSetup(&d.r); err != nil {
		return nil, fmt.Errorf("vorbis: %w", err)
	}
	for i, n := range d.blocks {
		d.windows[i] = window(n / 2)
		d.transforms[i] = newTransform(n)
	}
	d.curves = make([]points, d.Channels)
	for range d.Channels {
		d.lines = append(d.lines, make([]float32, d.blocks[1]/2))
		d.samples = append(d.samples, make([]float32, d.blocks[1]))
		d.tail = append(d.tail, make([]float32, d.blocks[1]/2))
	}
	return d, nil
}

// readIdent reads the identification header (4.2.2), all numbers lowest byte first:
//
//	 0  01 "vorbis"
//	 7  version, 4 bytes: 0
//	11  channels, 1 byte
//	12  rate in Hz, 4 bytes
//	16  bit rates: most, nominal, least, 4 bytes each; they promise nothing
//	28  exponents of the block sizes: short in the low 4 bits, long in the high
//	29  a framing bit, which is not looked at
func (d *Decoder) readIdent(b []byte) error {
	if len(b) < 30 || string(b[:7]) != "\x01vorbis" || binary.LittleEndian.Uint32(b[7:]) != 0 {
		return errors.New("damaged identification header")
	}
	d.Channels = int(b[11])
	// A rate of 0 or of billions is for the caller to refuse.
	d.Rate = int(min(binary.LittleEndian.Uint32(b[12:]), 1<<30))
	short, long := b[28]&15, b[28]>>4
	if short < 6 || long > 13 || short > long {
		return fmt.Errorf("block sizes 2^%d and 2^%d: want 2^6 to 2^13", short, long)
	}
	if d.Channels == 0 {
		return errors.New("0 channels")
	}
	d.blocks = [2]int{1 << short, 1 << long}
	return nil
}

// readSetup reads the setup header: five lists, each with its length less one in front,
// each of which may only point back into those before it. The order is the format's.
// Counts need no limit here: an entry of each list takes bits, and readCodebook holds
// memory in bounds.
func (d *Decoder) readSetup(r *bitReader) error {
	budget := maxValues
	var books []*codebook
	for range r.take(8) + 1 {
		b, err := readCodebook(r, &budget)
		if err != nil {
			return err
		}
		books = append(books, b)
	}
	for range r.take(6) + 1 { // placeholders for transforms in time
		if r.take(16) != 0 {
			return errors.New("unknown time domain transform")
		}
	}
	for range r.take(6) + 1 {
		f, err := readFloor(r, books)
		if err != nil {
			return err
		}
		d.floors = append(d.floors, f)
	}
	for range r.take(6) + 1 {
		s, err := readResidue(r, books)
		if err != nil {
			return err
		}
		d.residues = append(d.residues, s)
	}
	for range r.take(6) + 1 {
		m, err := d.readMapping(r)
		if err != nil {
			return err
		}
		d.mappings = append(d.mappings, m)
	}
	return d.readModes(r)
}

// readMapping reads one mapping (4.2.4, "Mappings"). In order of their bits:
//
//	16      type: 0 is the only one
//	1 (+4)  more than one submap? how many less one
//	1       coupling? then
//	  8       steps less one
//	  2·w     for each: channels of magnitude and angle; w holds the highest channel
//	2       reserved: 0
//	4·n     for each channel its submap, when there is more than one
//	24·s    for each submap: 8 unused, its floor, its residue
//
// A submap is a set of channels that share a floor's and a residue's description. The
// result turns that round: what a channel uses, and which channels a residue serves.
func (d *Decoder) readMapping(r *bitReader) (*mapping, error) {
	m := &mapping{}
	if r.take(16) != 0 {
		return nil, errors.New("unknown mapping")
	}
	submaps := 1
	if r.flag() {
		submaps = r.take(4) + 1
	}
	if err := d.readCoupling(r, m); err != nil {
		return nil, err
	}
	if r.take(2) != 0 {
		return nil, errors.New("damaged mapping")
	}
	use := make([]int, d.Channels) // the submap of each channel
	if submaps > 1 {
		for ch := range use {
			if use[ch] = r.take(4); use[ch] >= submaps {
				return nil, errors.New("damaged mapping")
			}
		}
	}
	return m, d.readSubmaps(r, m, submaps, use)
}

// readCoupling reads which channels are coupled, if any are. A step couples two
// channels; one may take part in several.
func (d *Decoder) readCoupling(r *bitReader, m *mapping) error {
	if !r.flag() {
		return nil
	}
	width := bits.Len(uint(d.Channels - 1))
	for range r.take(8) + 1 {
		a, b := r.take(width), r.take(width)
		if a == b || a >= d.Channels || b >= d.Channels {
			return fmt.Errorf("coupling of channels %d and %d of %d", a, b, d.Channels)
		}
		m.magnitude, m.angle = append(m.magnitude, a), append(m.angle, b)
	}
	return nil
}

// readSubmaps reads the floor and the residue of each submap, and gives them to its
// channels.
func (d *Decoder) readSubmaps(r *bitReader, m *mapping, submaps int, use []int) error {
	m.floor = make([]*floor, d.Channels)
	for s := range submaps {
		r.take(8) // unused
		f, res := r.take(8), r.take(8)
		if f >= len(d.floors) || res >= len(d.residues) {
			return errors.New("mapping with a floor or residue that is not there")
		}
		m.residue = append(m.residue, d.residues[res])
		m.channels = append(m.channels, nil)
		for ch, u := range use {
			if u == s {
				m.floor[ch] = d.floors[f]
				m.channels[s] = append(m.channels[s], ch)
			}
		}
	}
	return nil
}

// readModes reads the modes, a block size and a mapping each, and the framing bit that
// must end the header: the check that all the lists before were read as they were meant.
func (d *Decoder) readModes(r *bitReader) error {
	for range r.take(6) + 1 {
		long := r.flag()
		windowType, transformType, m := r.take(16), r.take(16), r.take(8)
		if windowType != 0 || transformType != 0 || m >= len(d.mappings) {
			return errors.New("damaged mode")
		}
		d.modes = append(d.modes, mode{long, d.mappings[m]})
	}
	if !r.flag() || r.over() {
		return errors.New("the setup header ends too early")
	}
	return nil
}

// window is the rising half, of n samples, of Vorbis's window (4.3.1),
//
//	w(i) = sin(π/2 · sin²(π/2 · (i+½)/n)).
//
// The squares of the rising and the falling half add up to 1, so that overlapping
// blocks give back what went in.
func window(n int) []float32 {
	w := make([]float32, n)
	for i := range w {
		s := math.Sin((float64(i) + 0.5) / float64(n) * math.Pi / 2)
		w[i] = float32(math.Sin(math.Pi / 2 * s * s))
	}
	return w
}

// Reset makes the next packet the first one again: nothing comes out of it.
func (d *Decoder) Reset() { d.previous = 0 }

var errPacket = errors.New("vorbis: damaged packet")

// Decode decodes an audio packet and returns the samples that it completes,
// interleaved, valid until the next call. The first packet completes none.
func (d *Decoder) Decode(packet []byte) ([]float32, error) {
	r := &d.r
	r.load(packet)
	if len(packet) == 0 || r.flag() {
		return nil, errPacket
	}
	// As many bits as hold the highest mode: none when there is one mode.
	n := r.take(bits.Len(uint(len(d.modes) - 1)))
	if n >= len(d.modes) {
		return nil, errPacket
	}
	m := d.modes[n]
	size, left, right := d.blocks[0], 0, 0 // windows left and right, 0 for short
	if m.long {
		// Only a long block must say what it meets: beside a short block its slope
		// on that side is the short one. A short block has short slopes anyway.
		size, left, right = d.blocks[1], r.take(1), r.take(1)
	}
	d.spectra(r, m.mapping, size/2)
	for ch := range d.Channels {
		which := 0
		if m.long {
			which = 1
		}
		d.transforms[which].run(d.lines[ch], d.samples[ch][:size])
		d.applyWindow(d.samples[ch][:size], d.windows[left], d.windows[right])
	}
	return d.overlap(size), nil
}

// spectra decodes floors and residues and multiplies them (4.3.2 to 4.3.6).
func (d *Decoder) spectra(r *bitReader, m *mapping, half int) {
	use := make([]bool, d.Channels)
	for ch := range d.Channels {
		m.floor[ch].read(r, &d.curves[ch])
		use[ch] = d.curves[ch].used
		clear(d.lines[ch][:half])
	}
	for i, a := range m.magnitude { // coupled channels need each other
		b := m.angle[i]
		if use[a] || use[b] {
			use[a], use[b] = true, true
		}
	}
	for s, res := range m.residue {
		var out [][]float32
		var wanted []bool
		for _, ch := range m.channels[s] {
			out = append(out, d.lines[ch][:half])
			wanted = append(wanted, use[ch])
		}
		if len(out) > 0 {
			res.read(r, &d.work, out, wanted)
		}
	}
	for i := len(m.magnitude) - 1; i >= 0; i-- {
		uncouple(d.lines[m.magnitude[i]][:half], d.lines[m.angle[i]][:half])
	}
	for ch := range d.Channels {
		if d.curves[ch].used {
			m.floor[ch].multiply(&d.curves[ch], d.lines[ch][:half])
		} else {
			clear(d.lines[ch][:half])
		}
	}
}

// uncouple turns magnitude and angle into two channels (4.3.5). The greater of the two
// by amount is the magnitude; the angle is the difference, and its sign tells which of
// the two it was.
func uncouple(magnitude, angle []float32) {
	for i, m := range magnitude {
		a := angle[i]
		switch {
		case m > 0 && a > 0:
			angle[i] = m - a
		case m > 0:
			magnitude[i], angle[i] = m+a, m
		case a > 0:
			angle[i] = m + a
		default:
			magnitude[i], angle[i] = m-a, m
		}
	}
}

// applyWindow shapes both sides of a block; the slopes lie about the quarters. A long
// block with a short neighbour is silent, then rises steeply, about its quarter:
//
//	          ______________
//	        .´              `·.
//	_______/                   `·._
//	0     n/4      n/2     3n/4     n
func (d *Decoder) applyWindow(x, left, right []float32) {
	n := len(x)
	if n == d.blocks[0] {
		left, right = d.windows[0], d.windows[0]
	}
	at := n/4 - len(left)/2
	clear(x[:at])
	for i, w := range left {
		x[at+i] *= w
	}
	at = 3*n/4 - len(right)/2
	for i := range right {
		x[at+i] *= right[len(right)-1-i]
	}
	clear(x[at+len(right):])
}

// overlap adds a block to the tail of the last one. What is complete reaches from
// the middle of that block to the middle of this one (4.3.8). Time in out and in tail
// begins at the middle of the last block, so this block begins at start, which is
// negative when a long one follows a short one: what lies before 0 then is under the
// flat, silent part of its window.
func (d *Decoder) overlap(size int) []float32 {
	ready := 0
	if d.previous > 0 {
		ready = d.previous/4 + size/4
	}
	if cap(d.out) < ready*d.Channels {
		d.out = make([]float32, ready*d.Channels)
	}
	out := d.out[:ready*d.Channels]
	start := d.previous/4 - size/4 // of this block in the output
	for ch := range d.Channels {
		x, tail := d.samples[ch][:size], d.tail[ch]
		for i := range ready {
			v := float32(0)
			if i < d.previous/2 {
				v = tail[i]
			}
			if i >= start {
				v += x[i-start]
			}
			out[i*d.Channels+ch] = v
		}
		copy(tail, x[size/2:])
	}
	d.previous = size
	return out
}
