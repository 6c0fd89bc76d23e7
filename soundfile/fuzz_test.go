package soundfile

import (
	"bytes"
	"encoding/binary"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"lampblack/soundfile/internal/ogg"
)

// fuzzLimit is how many frames of each input are read: hostile files may hold
// hours of honest silence in a few bytes.
const fuzzLimit = 1 << 16

// seed returns a tenth of a second in a codec, or nothing without the encoder.
func seed(f *testing.F, name string, args ...string) []byte {
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		return nil
	}
	path := filepath.Join(f.TempDir(), name)
	in := writeWAV(f, 48000, 2, 16, music(48000, 2, 0.1, 2))
	run(f, "ffmpeg", append(append([]string{"-nostdin", "-v", "error", "-i", in}, args...), path)...)
	b, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	return b
}

// survive reads one input without ffmpeg's help.
func survive(t *testing.T, b []byte) {
	t.Setenv("PATH", "")
	listen(b, fuzzLimit)
}

func FuzzWAV(f *testing.F) {
	for _, bits := range []int{16, 24, 32} {
		f.Add(wavBytes(f, 8000, 2, bits, music(8000, 2, 0.01, 1)))
	}
	f.Add(seed(f, "a.wav", "-c:a", "pcm_f64le", "-rf64", "always"))
	f.Add(seed(f, "a.wav", "-c:a", "pcm_alaw"))
	f.Fuzz(func(t *testing.T, b []byte) {
		survive(t, b)
		if len(b) > 12 { // and with a good beginning
			survive(t, append([]byte("RIFF\xff\xff\xff\xffWAVE"), b[12:]...))
		}
	})
}

// silentMP3 is n frames of MPEG-1 at 128 kbit/s and 44.1 kHz without content,
// which is valid.
func silentMP3(n int) []byte {
	frame := make([]byte, 417)
	copy(frame, "\xff\xfb\x90\x44")
	return bytes.Repeat(frame, n)
}

func FuzzMP3(f *testing.F) {
	f.Add(silentMP3(4))
	f.Add(seed(f, "a.mp3", "-c:a", "libmp3lame", "-b:a", "64k"))
	f.Add(seed(f, "a.mp3", "-c:a", "libmp3lame", "-ar", "11025", "-q:a", "9"))
	f.Fuzz(func(t *testing.T, b []byte) {
		survive(t, b)
		// And as the content of valid frames, so that all of it is decoded.
		framed := []byte{}
		for _, head := range []string{"\xff\xfb\x90\x44", "\xff\xfb\x90\x74", "\xff\xfb\x90\xc4"} {
			for rest := b; len(rest) > 0; {
				frame := make([]byte, 417)
				n := copy(frame[copy(frame, head):], rest)
				rest = rest[n:]
				framed = append(framed, frame...)
			}
		}
		survive(t, framed)
	})
}

func FuzzFLAC(f *testing.F) {
	f.Add(seed(f, "a.flac", "-c:a", "flac"))
	f.Add(seed(f, "a.flac", "-c:a", "flac", "-compression_level", "12", "-sample_fmt", "s32"))
	f.Add([]byte("fLaC"))
	// A stream of 16 and 32 bits in stereo, and a frame header with a true check.
	stream := func(bits uint64) []byte {
		b := append([]byte("fLaC\x80\x00\x00\x22\x10\x00\x10\x00"), make([]byte, 6)...)
		b = binary.BigEndian.AppendUint64(b, 44100<<44|1<<41|(bits-1)<<36)
		return append(b, make([]byte, 16)...)
	}
	header := func(code byte) []byte {
		h := []byte{0xFF, 0xF8, 0x79, code, 0x00, 0x0F, 0xFF} // 4096 samples at 44.1 kHz
		c := byte(0)
		for _, v := range h {
			for bit := range 8 {
				top := c>>7 ^ v>>(7-bit)&1
				c = c<<1 ^ top*0x07
			}
		}
		return append(h, c)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		survive(t, b)
		survive(t, append(append(stream(16), header(0xA8)...), b...)) // mid and side
		survive(t, append(append(stream(32), header(0x9E)...), b...)) // side and right, 33 bits
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

// unpaged cuts a good file into its packets.
func unpaged(b []byte) (packets [][]byte) {
	p := ogg.NewPackets(ogg.NewReader(bytes.NewReader(b)))
	for {
		k, err := p.Next()
		if err != nil {
			return packets
		}
		packets = append(packets, bytes.Clone(k.Data))
	}
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

func fuzzOgg(f *testing.F, headers int, files ...[]byte) {
	for _, file := range files {
		f.Add(glue(unpaged(file)))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		survive(t, paged(cutUp(b), headers))
		survive(t, append([]byte("OggS"), b...))
	})
}

func FuzzVorbis(f *testing.F) {
	fuzzOgg(f, 3, seed(f, "a.ogg", "-c:a", "libvorbis", "-q:a", "1"), seed(f, "a.ogg", "-c:a", "libvorbis", "-ar", "8000", "-ac", "1"))
}

func FuzzOpus(f *testing.F) {
	fuzzOgg(f, 2, seed(f, "a.opus", "-c:a", "libopus", "-b:a", "32k"),
		seed(f, "a.opus", "-c:a", "libopus", "-b:a", "12k", "-application", "voip"),
		seed(f, "a.opus", "-c:a", "libopus", "-b:a", "96k", "-ac", "6", "-mapping_family", "1"))
}
