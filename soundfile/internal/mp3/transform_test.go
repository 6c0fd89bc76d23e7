package mp3

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"
)

func random(n int, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 0))
	x := make([]float32, n)
	for i := range x {
		x[i] = rng.Float32()*2 - 1
	}
	return x
}

func near(t *testing.T, what string, i int, got float32, want float64) {
	t.Helper()
	if math.Abs(float64(got)-want) > 2e-5 {
		t.Fatalf("%s %d is %v: want %v", what, i, got, want)
	}
}

// imdct is the definition of ISO/IEC 11172-3, 2.4.3.4.10.2, for n outputs.
func imdct(x []float32, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		for k, v := range x {
			out[i] += float64(v) * math.Cos(math.Pi/float64(2*n)*float64(2*i+1+n/2)*float64(2*k+1))
		}
	}
	return out
}

// TestLongTransform compares with the definition, for each window of 2.4.3.4.10.3
// written out anew.
func TestLongTransform(t *testing.T) {
	shape := func(block, i int) float64 {
		long := math.Sin(math.Pi / 36 * (float64(i) + 0.5))
		short := func(i int) float64 { return math.Sin(math.Pi / 12 * (float64(i) + 0.5)) }
		switch {
		case block == startBlock && i >= 30 || block == stopBlock && i < 6:
			return 0
		case block == startBlock && i >= 24:
			return short(i - 18)
		case block == startBlock && i >= 18 || block == stopBlock && i >= 12 && i < 18:
			return 1
		case block == stopBlock && i < 12:
			return short(i - 6)
		}
		return long
	}
	for _, block := range []int{longBlock, startBlock, stopBlock} {
		x := [slots]float32(random(slots, uint64(block)))
		overlap := [slots]float32(random(slots, 9))
		before := overlap
		want := imdct(x[:], 36)
		longTransform(&x, &overlap, &windows[block])
		for i := range slots {
			near(t, "sample", i, x[i], want[i]*shape(block, i)+float64(before[i]))
			near(t, "overlap", i, overlap[i], want[18+i]*shape(block, 18+i))
		}
	}
}

// TestShortTransform compares three short transforms with the definition.
func TestShortTransform(t *testing.T) {
	x := [slots]float32(random(slots, 3))
	overlap := [slots]float32(random(slots, 4))
	var want [36]float64
	for i, v := range overlap {
		want[i] = float64(v)
	}
	for w := range 3 {
		var lines []float32
		for k := range 6 {
			lines = append(lines, x[3*k+w])
		}
		for i, v := range imdct(lines, 12) {
			want[6+6*w+i] += v * math.Sin(math.Pi/12*(float64(i)+0.5))
		}
	}
	shortTransform(&x, &overlap)
	for i := range slots {
		near(t, "sample", i, x[i], want[i])
		near(t, "overlap", i, overlap[i], want[18+i])
	}
}

// TestSynthesis compares with the flow chart of ISO/IEC 11172-3, figure A.2
// (2.4.3.2), done step by step.
func TestSynthesis(t *testing.T) {
	var s synthesis
	var v [1024]float64
	for granule := range 3 {
		x := [lines]float32(random(lines, uint64(granule)))
		got := make([]float32, lines)
		s.run(got, 1, &x)
		for slot := range slots {
			copy(v[64:], append([]float64(nil), v[:960]...))
			for i := range 64 {
				v[i] = 0
				for k := range 32 {
					v[i] += math.Cos(float64((16+i)*(2*k+1))*math.Pi/64) * float64(x[k*slots+slot])
				}
			}
			for j := range 32 {
				sum := 0.0
				for i := range 8 {
					sum += v[i*128+j]*float64(windowD(i*64+j)) + v[i*128+96+j]*float64(windowD(i*64+32+j))
				}
				near(t, "sample", 32*slot+j, got[32*slot+j], sum)
			}
		}
	}
}

// TestHuffmanCodes: every printed code is complete and free of prefixes, and
// every word is found.
func TestHuffmanCodes(t *testing.T) {
	check := func(name string, words []string, find func(w uint64) (int, uint32), value func(k int) uint32) {
		sum := 0.0
		for k, word := range words {
			sum += math.Exp2(-float64(len(word)))
			w := uint64(0)
			for i, b := range word {
				w |= uint64(b-'0') << (63 - i)
			}
			// Whatever follows the word must not matter.
			for _, rest := range []uint64{0, 1<<(64-len(word)) - 1} {
				if n, v := find(w | rest); n != len(word) || v != value(k) {
					t.Fatalf("table %s: %s is found as %d bits of value %#x: want %#x", name, word, n, v, value(k))
				}
			}
		}
		if sum != 1 {
			t.Errorf("table %s: the words fill %v of the tree", name, sum)
		}
	}
	for i, printed := range huffmanCodes {
		words := splitWords(printed)
		side := int(math.Sqrt(float64(len(words))))
		check(string(rune('0'+i)), words, pairCodes[i].find, func(k int) uint32 { return uint32(k/side<<4 | k%side) })
	}
	for i, printed := range quadCodes {
		check([]string{"A", "B"}[i], splitWords(printed), quads[i].find, func(k int) uint32 { return uint32(k) })
	}
}

func splitWords(s string) (words []string) {
	for len(s) > 0 {
		n := 0
		for n < len(s) && (s[n] == '0' || s[n] == '1') {
			n++
		}
		if n > 0 {
			words = append(words, s[:n])
		}
		s = s[min(n+1, len(s)):]
	}
	return words
}

// TestBands: the widths of each row fill a granule.
func TestBands(t *testing.T) {
	for row := range layouts {
		for kind, l := range layouts[row] {
			sum := 0
			for _, w := range l.width[:l.n] {
				sum += w
			}
			if sum != lines {
				t.Errorf("row %d, kind %d: %d lines", row, kind, sum)
			}
		}
	}
}

// The window is that of a low-pass at half a subband, and so as smooth as its
// rounding to 1/65536 lets it be: with the signs of table 3-B.3 undone, which
// turn every 64, its fourth differences are those of the rounding alone, at most
// (1+4+6+4+1)/2. A digit that was mistyped stands out.
func TestWindowIsSmooth(t *testing.T) {
	w := make([]float64, 513)
	for i := range w {
		v := 0.0
		if i < 512 {
			v = float64(windowD(i)) * 65536
		}
		if i/64%2 == 1 {
			v = -v
		}
		w[i] = v
	}
	for i := range w[:257] { // as a low-pass of constant delay is
		if w[i] != w[512-i] {
			t.Errorf("its places %d and %d differ: %v and %v", i, 512-i, w[i], w[512-i])
		}
	}
	for i := range len(w) - 4 {
		if d := w[i] - 4*w[i+1] + 6*w[i+2] - 4*w[i+3] + w[i+4]; d < -8 || d > 8 {
			t.Errorf("about %d the fourth difference is %v", i+2, d)
		}
	}
	// A low-pass so narrow passes a constant evenly: each of its 64 classes adds up
	// to 1, but for the rounding of their eight.
	for k := range 64 {
		sum := 0.0
		for i := k; i < 512; i += 64 {
			sum += w[i] / 65536
		}
		if sum = math.Abs(sum); math.Abs(sum-1) > 1e-4 {
			t.Errorf("class %d adds up to %v", k, sum)
		}
	}
}

// A stream of free format says nowhere how long its frames are: they are as long
// as the way to the next header, up to 4 KiB (the largest of a stated rate has
// 1441 bytes).
func TestFreeFormat(t *testing.T) {
	stream := func(size int) []byte {
		var b []byte
		for range 5 {
			frame := make([]byte, size)
			copy(frame, []byte{0xFF, 0xFB, 0x00, 0xC0}) // MPEG 1, layer III, free, 44.1 kHz, mono
			b = append(b, frame...)
		}
		return b
	}
	for size, known := range map[int]bool{300: true, 1441: true, 4092: true, 4200: false} {
		s := NewScanner(bytes.NewReader(stream(size)))
		if _, _, ok := s.Sync(1 << 20); ok != known {
			t.Errorf("frames of %d bytes: found %v", size, ok)
			continue
		}
		for k := 0; known && k < 4; k++ {
			h, frame, err := s.Next()
			if err != nil || len(frame) != size || h.Rate != 44100 || h.Channels != 1 || h.Bitrate != 0 {
				t.Fatalf("frame %d of %d bytes: %d bytes, %+v, %v", k, size, len(frame), h, err)
			}
		}
	}
}
