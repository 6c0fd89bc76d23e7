package soundfile

import (
	"bytes"
	"encoding/binary"
	"flag"
	"testing"

	"lampblack/soundfile/internal/ogg"
)

// What of each input is read: hostile files may hold hours of honest silence in a
// few bytes, and long inputs say no more than short ones, and say it slowly.
const (
	fuzzLimit = 1 << 12 // frames
	fuzzBytes = 1 << 11
)

// fuzz gives f the seeds, and every input to try, cut to a length at which it is
// quick, without ffmpeg's help. Unless the command says otherwise, an input that
// finds something new is tried a hundred times smaller, and not for a minute, in
// which nothing else would be tried.
func fuzz(f *testing.F, seeds [][]byte, try func(b []byte)) {
	for _, s := range seeds {
		f.Add(s)
	}
	if m := flag.Lookup("test.fuzzminimizetime"); m.Value.String() == m.DefValue {
		flag.Set(m.Name, "100x")
	}
	f.Setenv("PATH", "")
	f.Fuzz(func(_ *testing.T, b []byte) { try(b[:min(len(b), fuzzBytes)]) })
}

// survive reads one input.
func survive(b []byte) { listen(b, fuzzLimit) }

func FuzzWAV(f *testing.F) {
	var seeds [][]byte
	for _, bits := range []int{16, 24, 32} {
		seeds = append(seeds, wavBytes(f, 8000, 2, bits, music(8000, 2, 0.01, 1)))
	}
	// 64-bit floats with a size table in front, and A-law, by hand (RFC 2361; EBU
	// Tech 3306).
	head := func(rf string, code, bits byte) []byte {
		b := append([]byte(rf), "fmt \x10\x00\x00\x00"...)
		return append(b, code, 0, 1, 0, 0x40, 0x1F, 0, 0, 0, 0, 0, 0, bits/8, 0, bits, 0)
	}
	sizes := "RF64\xff\xff\xff\xffWAVEds64\x1c\x00\x00\x00" + string(make([]byte, 28))
	seeds = append(seeds, append(head(sizes, 3, 64), append([]byte("data\xff\xff\xff\xff"), noise(64, 1)...)...))
	seeds = append(seeds, append(head("RIFF\x80\x00\x00\x00WAVE", 6, 8), append([]byte("data\x40\x00\x00\x00"), noise(64, 2)...)...))
	fuzz(f, seeds, func(b []byte) {
		survive(b)
		if len(b) > 12 { // and with a good beginning
			survive(append([]byte("RIFF\xff\xff\xff\xffWAVE"), b[12:]...))
		}
	})
}

func FuzzMP3(f *testing.F) {
	seeds := [][]byte{silentMP3(2), framedMP3("\xff\xfb\x90\x44", noise(413, 1)), framedMP3("\xff\xf3\x80\xc4", noise(413, 2)), noise(200, 3)}
	// Side information that asks for every block type, as content of a frame
	// (ISO/IEC 11172-3, 2.4.1.7): scalefactors, then window switching.
	for kind := range uint64(4) {
		w := &bitWriter{first: true}
		w.all(9, 0, 3, 0, 4, 0, 4, 0)
		for range 4 {
			w.all(12, 300, 9, 20, 8, 180, 4, 3, 1, 1, 2, kind, 1, kind&1, 5, 7, 5, 13, 9, 0x92, 1, 0, 1, 1, 1, 0)
		}
		seeds = append(seeds, append(w.out, noise(300, kind)...))
	}
	fuzz(f, seeds, func(b []byte) {
		survive(b)
		// And as the content of valid frames, so that all of it is decoded.
		b = b[:min(len(b), 2*413)]
		framed := []byte{}
		for _, head := range []string{"\xff\xfb\x90\x44", "\xff\xfb\x90\x74", "\xff\xfb\x90\xc4"} {
			framed = append(framed, framedMP3(head, b)...)
		}
		survive(framed)
	})
}

func FuzzFLAC(f *testing.F) {
	fuzz(f, append(flacSeeds(), []byte("fLaC"), append(flacStream(16), flacHeader(0x18)...)), func(b []byte) {
		survive(b)
		survive(append(append(flacStream(16), flacHeader(0xA8)...), b...)) // mid and side
		survive(append(append(flacStream(32), flacHeader(0x9E)...), b...)) // side and right, 33 bits
	})
}

// paged puts packets into Ogg pages, one each, with true check sums. A granule
// grows by 960 a packet behind the headers.
func paged(packets [][]byte, headers int) []byte {
	var out []byte
	for i, p := range packets {
		page := []byte("OggS\x00\x00")
		if i == 0 {
			page[5] = ogg.First
		}
		if i == len(packets)-1 {
			page[5] |= ogg.Last
		}
		if len(p) > 254*255 {
			p = p[:254*255]
		}
		le := binary.LittleEndian
		page = le.AppendUint64(page, uint64(max(i-headers+1, 0)*960))
		page = le.AppendUint32(page, 7)
		page = le.AppendUint32(page, uint32(i))
		page = le.AppendUint32(page, 0)
		page = append(page, byte(len(p)/255+1))
		page = append(page, bytes.Repeat([]byte{255}, len(p)/255)...)
		page = append(append(page, byte(len(p)%255)), p...)
		le.PutUint32(page[22:], oggCheck(page))
		out = append(out, page...)
	}
	return out
}

// oggCheck is the check sum of RFC 3533, section 6, bit by bit.
func oggCheck(b []byte) (c uint32) {
	for _, v := range b {
		c ^= uint32(v) << 24
		for range 8 {
			c = c<<1 ^ c>>31*0x04C11DB7
		}
	}
	return c
}

// cutUp makes packets of a fuzzed string: two bytes of length, then so many.
func cutUp(b []byte) (packets [][]byte) {
	for len(b) >= 2 {
		n := min(int(binary.LittleEndian.Uint16(b)), len(b)-2)
		packets = append(packets, b[2:2+n])
		b = b[2+n:]
	}
	return packets
}

func glue(packets [][]byte) (b []byte) {
	for _, p := range packets {
		b = binary.LittleEndian.AppendUint16(b, uint16(len(p)))
		b = append(b, p...)
	}
	return b
}

// fuzzOgg gives the target whole streams as packets, and packets behind good
// headers.
func fuzzOgg(f *testing.F, packets [][]byte, heads ...[][]byte) {
	var seeds [][]byte
	for _, h := range heads {
		seeds = append(seeds, glue(append(h[:len(h):len(h)], packets...)))
	}
	for _, p := range packets {
		seeds = append(seeds, glue([][]byte{p, p}))
	}
	fuzz(f, seeds, func(b []byte) {
		cut := cutUp(b)
		survive(paged(cut, len(heads[0])))
		survive(append([]byte("OggS"), b...))
		for _, h := range heads {
			survive(paged(append(h[:len(h):len(h)], cut[:min(len(cut), 8)]...), len(h)))
		}
	})
}

func FuzzVorbis(f *testing.F) {
	var packets [][]byte
	for i := range uint64(4) {
		p := noise(40, i)
		p[0] = p[0]&^3 | byte(i&1)<<1 // an audio packet, of a short or long block
		packets = append(packets, p)
	}
	fuzzOgg(f, packets, vorbisHeaders(1, 0), vorbisHeaders(1, 1), vorbisHeaders(2, 2))
}

func FuzzOpus(f *testing.F) {
	fuzzOgg(f, opusPackets(), opusHeaders(1), opusHeaders(2), opusHeaders(3))
}
