package vorbis

import (
	"errors"
	"fmt"
)

// A residue tells how the lines under the floor are coded: in partitions, each of
// a class, each class with up to eight vector books used one after the other
// (section 8). Each book of the eight passes adds to what the passes before it left, so
// that a coarse vector is refined by finer ones.
type residue struct {
	// 0: vectors spread over a partition; 1: vectors side by side; 2: as 1, with all
	// channels interleaved into one. Lines from begin up to end are coded, all others 0.
	kind       int
	begin, end int
	size       int // lines of a partition
	classes    int
	classBook  *codebook
	// By class and pass; nil where the class skips the pass.
	books [][8]*codebook
}

// readResidue reads the description of a residue in the setup header (8.6.1).
func readResidue(r *bitReader, books []*codebook) (*residue, error) {
	s := &residue{kind: r.take(16), begin: r.take(24), end: r.take(24), size: r.take(24) + 1}
	s.classes = r.take(6) + 1
	n := r.take(8)
	if s.kind > 2 || n >= len(books) || s.begin > s.end {
		return nil, fmt.Errorf("residue of type %d with codebook %d of %d", s.kind, n, len(books))
	}
	s.classBook = books[n]
	// A bit for each pass: three bits, then if a flag says so the upper five (8.6.1).
	cascade := make([]int, s.classes)
	for i := range cascade {
		cascade[i] = r.take(3)
		if r.flag() {
			cascade[i] |= r.take(5) << 3
		}
	}
	s.books = make([][8]*codebook, s.classes)
	for i, c := range cascade {
		for pass := range 8 {
			if c>>pass&1 == 0 {
				continue
			}
			n := r.take(8)
			if n >= len(books) || books[n].vectors == nil {
				return nil, errors.New("residue with a codebook that has no vectors")
			}
			s.books[i][pass] = books[n]
		}
	}
	return s, nil
}

// residueWork is memory that decoding uses again and again.
type residueWork struct {
	class [][]uint8 // by channel and partition
	mixed []float32 // the interleaved lines of type 2
}

// read decodes the lines of the channels that use says, adding to out. It stops
// where the packet ends.
func (s *residue) read(r *bitReader, w *residueWork, out [][]float32, use []bool) {
	any := false
	for _, u := range use {
		any = any || u
	}
	if !any {
		return
	}
	if s.kind != 2 {
		s.readVectors(r, w, out, use)
		return
	}
	// Type 2 codes all channels as one, line by line.
	half := len(out[0])
	if len(w.mixed) < half*len(out) {
		w.mixed = make([]float32, half*len(out))
	}
	mixed := w.mixed[:half*len(out)]
	clear(mixed)
	s.readVectors(r, w, [][]float32{mixed}, []bool{true})
	for ch, o := range out {
		for i := range o {
			o[i] += mixed[i*len(out)+ch]
		}
	}
}

// readVectors decodes residues of types 0 and 1 (8.6.2, 8.6.3), and what type 2 has made
// one channel of. The order of the loops is the order of the bits: passes, then
// partitions, then channels. Classes come in the first pass alone, one word for as many
// partitions as the class book has dimensions, just before the first of them is needed.
func (s *residue) readVectors(r *bitReader, w *residueWork, out [][]float32, use []bool) {
	limit := len(out[0])
	begin := min(s.begin, limit)
	partitions := (min(s.end, limit) - begin) / s.size
	if partitions == 0 {
		return
	}
	w.makeRoom(len(out), partitions)
	group := s.classBook.dimensions // partitions whose classes one word tells
	for pass := range 8 {
		for p := 0; p < partitions; p++ {
			if pass == 0 && p%group == 0 && !s.readClasses(r, w, use, p, partitions) {
				return
			}
			for ch, o := range out {
				if !use[ch] {
					continue
				}
				book := s.books[w.class[ch][p]][pass]
				if book == nil {
					continue
				}
				at := begin + p*s.size
				if !s.add(r, book, o[at:at+s.size]) {
					return
				}
			}
		}
	}
}

// makeRoom lets class hold the classes of so many channels and partitions. What is left
// in it from the residue before is written over before it is read.
func (w *residueWork) makeRoom(channels, partitions int) {
	for len(w.class) < channels {
		w.class = append(w.class, nil)
	}
	for ch := range channels {
		if len(w.class[ch]) < partitions {
			w.class[ch] = make([]uint8, partitions)
		}
	}
}

// readClasses reads the classes of the partitions from p on, one word a channel. The
// entry of the word is a number whose digits to the base of classes are the classes, the
// first partition's highest; hence the loop from the last one back.
func (s *residue) readClasses(r *bitReader, w *residueWork, use []bool, p, partitions int) bool {
	for ch, u := range use {
		if !u {
			continue
		}
		v := s.classBook.entry(r)
		if v < 0 {
			return false
		}
		for i := s.classBook.dimensions - 1; i >= 0; i-- {
			if p+i < partitions {
				w.class[ch][p+i] = uint8(v % s.classes)
			}
			v /= s.classes
			if v == 0 && i > partitions { // a book of absurd size: all else is class 0
				i = partitions
			}
		}
	}
	return true
}

// add decodes one partition: in type 0 the values of a vector lie apart, in the
// others side by side. It returns false where the packet ends; what was added stays.
// In types 1 and 2 the last vector is cut where it reaches past the partition.
func (s *residue) add(r *bitReader, book *codebook, o []float32) bool {
	n := book.dimensions
	if s.kind == 0 {
		step := len(o) / n
		for i := range step {
			v := book.vector(r)
			if v == nil {
				return false
			}
			for j, x := range v {
				o[i+j*step] += x
			}
		}
		return true
	}
	for len(o) > 0 {
		v := book.vector(r)
		if v == nil {
			return false
		}
		k := min(len(v), len(o))
		for j, x := range v[:k] {
			o[j] += x
		}
		o = o[k:]
	}
	return true
}
