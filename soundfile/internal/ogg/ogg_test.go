package ogg

import (
	"bytes"
	"encoding/binary"
	"io"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// page builds a page by RFC 3533, section 6.
func page(flags byte, granule int64, serial, count uint32, lacing []byte, body []byte) []byte {
	le := binary.LittleEndian
	b := append([]byte("OggS\x00"), flags)
	b = le.AppendUint64(b, uint64(granule))
	b = le.AppendUint32(b, serial)
	b = le.AppendUint32(b, count)
	b = le.AppendUint32(b, 0)
	b = append(append(append(b, byte(len(lacing))), lacing...), body...)
	var c uint32
	for _, v := range b {
		c ^= uint32(v) << 24
		for range 8 {
			c = c<<1 ^ c>>31*0x04C11DB7
		}
	}
	le.PutUint32(b[22:], c)
	return b
}

// TestPackets: packets of any length, laid over pages of any filling, come back,
// and a lost page is told.
func TestPackets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lacing, body []byte
		var want [][]byte
		for i := range rapid.IntRange(1, 12).Draw(t, "packets") {
			p := bytes.Repeat([]byte{byte(i + 1)}, rapid.SampledFrom([]int{0, 1, 254, 255, 256, 510, 3000}).Draw(t, "length"))
			want = append(want, p)
			body = append(body, p...)
			lacing = append(append(lacing, bytes.Repeat([]byte{255}, len(p)/255)...), byte(len(p)%255))
		}
		var file []byte
		count := uint32(0)
		open := false
		for len(lacing) > 0 {
			n := rapid.IntRange(1, min(len(lacing), 255)).Draw(t, "segments")
			size := 0
			for _, v := range lacing[:n] {
				size += int(v)
			}
			flags := byte(0)
			if open {
				flags |= Continued
			}
			if count == 0 {
				flags |= First
			}
			file = append(file, page(flags, int64(count), 9, count, lacing[:n], body[:size])...)
			open = lacing[n-1] == 255
			lacing, body = lacing[n:], body[size:]
			count++
		}
		got, gap := read(t, file)
		if gap || !slices.EqualFunc(got, want, bytes.Equal) {
			t.Fatalf("%d packets come back of %d, gap %v", len(got), len(want), gap)
		}
		// One flipped bit costs a page and what reaches over its edges, no more.
		file[rapid.IntRange(0, len(file)-1).Draw(t, "at")] ^= 1
		got, _ = read(t, file)
		for _, p := range got {
			if !slices.ContainsFunc(want, func(w []byte) bool { return bytes.Equal(p, w) }) {
				t.Fatalf("a packet of %d bytes that was never sent", len(p))
			}
		}
	})
}

func read(t *rapid.T, file []byte) (packets [][]byte, gap bool) {
	p := NewPackets(NewReader(bytes.NewReader(file)))
	for {
		k, err := p.Next()
		if err == io.EOF {
			return packets, gap
		}
		if err != nil {
			t.Fatal(err)
		}
		gap = gap || k.Gap
		packets = append(packets, bytes.Clone(k.Data))
	}
}
