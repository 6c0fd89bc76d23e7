package vorbis

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
	"sort"
)

// Limits that keep a header from taking memory by declaration. The encoders in
// use stay below 2^14 entries a book and 2^19 values in all.
const (
	maxEntries = 1 << 18
	maxValues  = 1 << 21
)

// A codebook is a Huffman code whose entries may stand for vectors (section 3).
type codebook struct {
	dimensions int
	entries    int
	vectors    []float32 // entries times dimensions; nil for a scalar book
	short      []uint32  // by the next shortBits bits: entry<<8 | length, 0 for none
	long       []word    // longer words, sorted
}

// word is a code word, its bits in order of reading from the highest down.
type word struct {
	code   uint32
	length uint8
	entry  uint32
}

// shortBits is how many bits the table looks at in one step. Frequent words are
// short, so nearly all are found there; 4 kB a book stay in the processor's cache.
const shortBits = 10

// readCodebook reads a book's header; budget is the number of values that it may
// still unpack.
func readCodebook(r *bitReader, budget *int) (*codebook, error) {
	// The bytes "BCV", read lowest first.
	if r.take(24) != 0x564342 {
		return nil, errors.New("a codebook does not begin where it should")
	}
	b := &codebook{}
	b.dimensions, b.entries = r.take(16), r.take(24)
	if b.entries < 1 || b.entries > maxEntries || b.dimensions < 1 {
		return nil, fmt.Errorf("codebook of %d entries of %d values", b.entries, b.dimensions)
	}
	lengths, err := readLengths(r, b.entries)
	if err != nil {
		return nil, err
	}
	if err := b.assign(lengths); err != nil {
		return nil, err
	}
	return b, b.readVectors(r, budget)
}

// readLengths reads the length of each entry's word; 0 is an unused entry. There are
// three forms (3.2.1): ordered, in which the lengths only rise and the header tells
// how many entries have each; dense, five bits an entry; and sparse, in which a flag
// before them says whether the entry is used at all.
func readLengths(r *bitReader, entries int) ([]uint8, error) {
	ordered := r.flag()
	if !ordered && r.pos+entries > r.end {
		return nil, errors.New("the codebooks end too early") // each entry takes a bit
	}
	lengths := make([]uint8, entries)
	if !ordered {
		sparse := r.flag()
		for i := range lengths {
			if !sparse || r.flag() {
				lengths[i] = uint8(r.take(5) + 1)
			}
		}
		return lengths, nil
	}
	length := r.take(5) + 1
	for at := 0; at < entries; length++ {
		n := r.take(bits.Len(uint(entries - at)))
		if at+n > entries || length > 32 || r.over() {
			return nil, errors.New("codebook with impossible word lengths")
		}
		for range n {
			lengths[at] = uint8(length)
			at++
		}
	}
	return lengths, nil
}

// assign gives each entry the lowest word of its length that is still free
// (section 3.2.1). free[l] is the lowest free node at depth l of the tree, as
// its path from the highest bit down, or 0 when none is: the path of zeros alone is
// never free, since the first entry takes it.
//
// A word of length n is cut from the deepest free node that is not below depth n. Of two
// free nodes the deeper one always lies further to the left, so that one is also the
// lowest. On the way down from it the left branch is followed and each right branch
// becomes the free node of its depth, which keeps that order.
func (b *codebook) assign(lengths []uint8) error {
	var free [33]uint32
	used, only := 0, 0
	b.short = make([]uint32, 1<<shortBits)
	for entry, n := range lengths {
		if n == 0 {
			continue
		}
		used++
		only = entry
		if used == 1 {
			b.put(0, n, entry)
			for l := 1; l <= int(n); l++ {
				free[l] = 1 << (32 - l)
			}
			continue
		}
		at := int(n)
		for at > 0 && free[at] == 0 {
			at--
		}
		if at == 0 {
			return errors.New("codebook with more words than its lengths leave room for")
		}
		code := free[at]
		free[at] = 0
		for l := at + 1; l <= int(n); l++ { // the other branches on the way down
			free[l] = code | 1<<(32-l)
		}
		b.put(code, n, entry)
	}
	// The specification of 2020 allows this one tree that is not full; other trees that
	// leave words unused are let pass, and such a word is told when it is met.
	if used == 1 { // a single word is read as one bit of either value
		for i := range b.short {
			b.short[i] = uint32(only)<<8 | 1
		}
		b.long = nil
	}
	sort.Slice(b.long, func(i, j int) bool { return b.long[i].code < b.long[j].code })
	return nil
}

// put files one word. The table is looked up with bits in the order of reading from
// the lowest up, words are kept from the highest down: hence the reversal. A short word
// stands in the table once for each value of the bits that follow it.
func (b *codebook) put(code uint32, length uint8, entry int) {
	if length > shortBits {
		b.long = append(b.long, word{code, length, uint32(entry)})
		return
	}
	first := int(bits.Reverse32(code))
	for i := first; i < len(b.short); i += 1 << length {
		b.short[i] = uint32(entry)<<8 | uint32(length)
	}
}

// entry reads a word and returns its entry; -1 when there is no such word, or
// the packet has ended.
func (b *codebook) entry(r *bitReader) int {
	w := r.window()
	if c := b.short[w&(1<<shortBits-1)]; c != 0 {
		r.pos += int(c & 0xFF)
		if r.pos > r.end {
			return -1
		}
		return int(c >> 8)
	}
	return b.longEntry(r, w)
}

// longEntry looks for a word that the table does not hold. Since no word begins another,
// the last word that is not above the bits read, taken as a number, is the only one that
// can be their beginning.
func (b *codebook) longEntry(r *bitReader, w uint64) int {
	key := bits.Reverse32(uint32(w))
	i := sort.Search(len(b.long), func(i int) bool { return b.long[i].code > key }) - 1
	if i < 0 || (key^b.long[i].code)>>(32-b.long[i].length) != 0 {
		r.pos = r.end + 1
		return -1
	}
	r.pos += int(b.long[i].length)
	if r.pos > r.end {
		return -1
	}
	return int(b.long[i].entry)
}

// vector reads a word and returns the vector it stands for, or nil.
func (b *codebook) vector(r *bitReader) []float32 {
	e := b.entry(r)
	if e < 0 {
		return nil
	}
	return b.vectors[e*b.dimensions : (e+1)*b.dimensions]
}

// readVectors reads the numbers that vectors are made of and makes them
// (section 3.2.1, "VQ lookup table vector representation"). Kind 0 has none, the book
// serves for numbers alone. In kind 1 the entries are the points of a grid: a few
// numbers serve for every dimension, and the entry's digits to that base say which. In
// kind 2 each entry has its own numbers. With sequence set, each value of a vector is
// told as what it is above the one before it.
func (b *codebook) readVectors(r *bitReader, budget *int) error {
	kind := r.take(4)
	if kind == 0 {
		return nil
	}
	// Neither factor can make the product overflow: 2^18 entries of 2^16 values.
	*budget -= b.entries * b.dimensions
	if kind > 2 || *budget < 0 {
		return fmt.Errorf("codebook of kind %d with %d values", kind, b.entries*b.dimensions)
	}
	least, step := unpackFloat(r.take(32)), unpackFloat(r.take(32))
	width := r.take(4) + 1
	sequence := r.flag()
	count := b.entries * b.dimensions
	if kind == 1 {
		count = gridSize(b.entries, b.dimensions)
	}
	if r.pos+count*width > r.end {
		return errors.New("the codebooks end too early")
	}
	numbers := make([]float64, count)
	for i := range numbers {
		numbers[i] = float64(r.take(width))*step + least
	}
	b.vectors = make([]float32, b.entries*b.dimensions)
	for e := range b.entries {
		v := b.vectors[e*b.dimensions : (e+1)*b.dimensions]
		last, rest := 0.0, e
		for i := range v {
			k := e*b.dimensions + i
			if kind == 1 {
				k = rest % count
				rest /= count
			}
			x := numbers[k] + last
			v[i] = float32(x)
			if sequence {
				last = x
			}
		}
	}
	return nil
}

// gridSize is lookup1_values: the greatest n with n^dimensions ≤ entries (9.2.3). The
// root in floating point may be off by one either way, so whole numbers decide.
func gridSize(entries, dimensions int) int {
	n := int(math.Pow(float64(entries), 1/float64(dimensions)))
	for !powerAtMost(n, dimensions, entries) {
		n--
	}
	for powerAtMost(n+1, dimensions, entries) {
		n++
	}
	return n
}

// powerAtMost tells whether n^exponent ≤ limit, and stops before it could overflow.
func powerAtMost(n, exponent, limit int) bool {
	if n <= 1 {
		return true
	}
	p := 1
	for range exponent {
		if p *= n; p > limit {
			return false
		}
	}
	return true
}

// unpackFloat reads the format's own floating point (9.2.2): from the highest bit down
// a sign, an exponent of 10 bits with a bias of 788, and a mantissa of 21 bits that is a
// whole number.
func unpackFloat(x int) float64 {
	mantissa := float64(x & 0x1FFFFF)
	if x&(1<<31) != 0 {
		mantissa = -mantissa
	}
	return math.Ldexp(mantissa, x>>21&0x3FF-788)
}
