package flac

import (
	"bytes"
	"encoding/hex"
	"testing"
)

// TestExample decodes the first example of RFC 9639, appendix D.1: one frame of
// one sample in two channels, as printed there.
func TestExample(t *testing.T) {
	b, err := hex.DecodeString("664c614380000022100010000000" + "0f00000f0ac442f0000000013e84" +
		"b41807dc69030758" + "6a3dad1a2e0f" + "fff869180000bf03" + "58fd0312" + "8baa9a")
	if err != nil {
		t.Fatal(err)
	}
	r := bytes.NewReader(b)
	info, err := ReadInfo(r, func(n int64) error { _, err := r.Seek(n, 1); return err })
	if err != nil {
		t.Fatal(err)
	}
	if want := (Info{4096, 4096, 44100, 2, 16, 1}); info != want {
		t.Errorf("%+v: want %+v", info, want)
	}
	got, err := NewDecoder(r, info).Next()
	if err != nil || len(got) != 2 || got[0]*(1<<15) != 25588 || got[1]*(1<<15) != 10416 {
		t.Errorf("%v, %v: want 25588 and 10416 of 32768", got, err)
	}
}

// TestWide decodes 32-bit sound in mid and side, whose side takes 33 bits; no
// encoder here makes it, so the frame is put together by hand.
func TestWide(t *testing.T) {
	left, right := int64(-1<<31), int64(1<<31-1)
	mid, side := (left+right)>>1, left-right
	var w bitWriter
	w.put(0xFFF8, 16)
	w.put(6<<4|9, 8)     // block size in a byte behind, 44.1 kHz
	w.put(10<<4|7<<1, 8) // mid and side, 32 bits
	w.put(0, 8)          // number
	w.put(0, 8)          // one sample
	w.put(uint64(crc8(w.b)), 8)
	for i, v := range []int64{mid, side} {
		w.put(0<<1, 8) // constant
		w.put(uint64(v), 32+i)
	}
	for w.n%8 != 0 {
		w.put(0, 1)
	}
	w.put(uint64(crc16(w.b)), 16)
	d := NewDecoder(bytes.NewReader(w.b), Info{Rate: 44100, Channels: 2, Bits: 32})
	got, err := d.Next()
	if err != nil || len(got) != 2 || got[0] != -1 || got[1] != 1 {
		t.Errorf("%v, %v: want full scale down and up", got, err)
	}
}

// bitWriter writes bits, highest first.
type bitWriter struct {
	b []byte
	n int
}

func (w *bitWriter) put(v uint64, n int) {
	for i := n - 1; i >= 0; i-- {
		if w.n%8 == 0 {
			w.b = append(w.b, 0)
		}
		w.b[w.n/8] |= byte(v>>i&1) << (7 - w.n%8)
		w.n++
	}
}
