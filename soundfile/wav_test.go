package soundfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func openBytes(t testing.TB, b []byte) Stream {
	t.Helper()
	s, err := Open(bytes.NewReader(b), "sound")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func wavBytes(t testing.TB, rate, channels, bits int, samples []float32) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteWAV(&b, rate, channels, bits, samples); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestWAVWidths: files of every sample format that two other programs write come
// back as ffmpeg reads them.
func TestWAVWidths(t *testing.T) {
	need(t, "ffmpeg", "ffmpeg")
	need(t, "sox", "sox")
	src := writeWAV(t, 44100, 6, 24, music(44100, 6, 1, 3))
	ff := func(codec string, more ...string) func(out string) {
		return func(out string) {
			args := append([]string{"-nostdin", "-v", "error", "-i", src, "-c:a", codec}, more...)
			run(t, "ffmpeg", append(args, out)...)
		}
	}
	sox := func(args ...string) func(out string) {
		return func(out string) { run(t, "sox", append(append([]string{"-D", src}, args...), out)...) }
	}
	cases := map[string]func(out string){
		"u8": ff("pcm_u8"), "s16": ff("pcm_s16le"), "s24": ff("pcm_s24le"), "s32": ff("pcm_s32le"),
		"f32": ff("pcm_f32le"), "f64": ff("pcm_f64le"), "A-law": ff("pcm_alaw"), "u-law": ff("pcm_mulaw"),
		"rf64": ff("pcm_s16le", "-rf64", "always"), "192 kHz": ff("pcm_s24le", "-ar", "192000"), "8 kHz": ff("pcm_s16le", "-ar", "8000"),
		"sox 8": sox("-b", "8"), "sox 16": sox("-b", "16"), "sox 24": sox("-b", "24"), "sox 32": sox("-b", "32"),
		"sox float": sox("-e", "floating-point", "-b", "32"), "sox double": sox("-e", "floating-point", "-b", "64"),
		"sox mono": sox("-b", "16", "-c", "1"), "sox not extensible": sox("-t", "wavpcm", "-b", "24"),
	}
	for name, write := range cases {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "a.wav")
			write(path)
			got, f := decodeFile(t, path)
			if want := ffmpegDecode(t, path); !slices.Equal(got, want) {
				t.Errorf("%+v: %d samples, ffmpeg has %d; %.1f dB apart", f, len(got), len(want), snr(want, got))
			}
		})
	}
}

// TestWAVPipe reads what ffmpeg writes to a pipe, where no size is known.
func TestWAVPipe(t *testing.T) {
	need(t, "ffmpeg", "ffmpeg")
	want := music(22050, 1, 1, 4)
	b := run(t, "ffmpeg", "-nostdin", "-v", "error", "-i", writeWAV(t, 22050, 1, 32, want), "-c:a", "pcm_f32le", "-f", "wav", "-")
	s := openBytes(t, b)
	if got := drain(t, s); !slices.Equal(got, want) {
		t.Errorf("%d samples: want the %d that went in", len(got), len(want))
	}
	if f := s.Format(); f.Frames != int64(len(want)) {
		t.Errorf("%d frames: want %d, from the size of the file", f.Frames, len(want))
	}
}

// TestWAVUnfinished: a recording that was cut off says 0 bytes, with the file's size before it
// or without; its samples are read, with a word. One that is empty, or in which only other
// chunks follow, stays empty.
func TestWAVUnfinished(t *testing.T) {
	whole := wavBytes(t, 8000, 1, 16, music(8000, 1, 1, 4))
	head := bytes.Index(whole, []byte("data")) + 8
	samples := whole[head:]
	declared := func(riff int, rest []byte) []byte {
		b := append(slices.Clone(whole[:head]), rest...)
		binary.LittleEndian.PutUint32(b[4:], uint32(riff))
		binary.LittleEndian.PutUint32(b[head-4:], 0)
		return b
	}
	for _, c := range []struct {
		name   string
		file   []byte
		frames int
	}{
		{"no size at all", declared(0, samples), 8000},
		{"size of the file, none of the samples", declared(len(whole)-8, samples), 8000},
		{"empty", declared(head-8, nil), 0},
		{"empty, with a chunk behind", declared(head+4, []byte("LIST\x04\x00\x00\x00INFO")), 0},
	} {
		s := openBytes(t, c.file)
		if got := len(drain(t, s)); got != c.frames {
			t.Errorf("%s: %d samples, want %d", c.name, got, c.frames)
		}
		if told := len(Notes(s)) > 0; told != (c.frames > 0) {
			t.Errorf("%s: notes %q", c.name, Notes(s))
		}
	}
}

// TestWAVWriterIsRead: other programs read what is written here.
func TestWAVWriterIsRead(t *testing.T) {
	need(t, "ffmpeg", "ffmpeg")
	need(t, "sox", "sox")
	for _, bits := range []int{16, 24, 32} {
		path := writeWAV(t, 48000, 2, bits, music(48000, 2, 1, 9))
		got, _ := decodeFile(t, path)
		if want := ffmpegDecode(t, path); !slices.Equal(got, want) {
			t.Errorf("%d bits: ffmpeg reads something else", bits)
		}
		info := string(run(t, "sox", "--i", "-D", path))
		if strings.TrimSpace(info) != "1.000000" {
			t.Errorf("%d bits: sox finds %s seconds: want 1", bits, info)
		}
	}
}

// TestWAVRoundTrip: what is written is read back, within half a step.
func TestWAVRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		channels := rapid.IntRange(1, maxChannels).Draw(t, "channels")
		bits := rapid.SampledFrom([]int{16, 24, 32}).Draw(t, "bits")
		rate := rapid.IntRange(minRate, maxRate).Draw(t, "rate")
		samples := rapid.SliceOfN(rapid.Float32Range(-1, 1), 0, 300).Draw(t, "samples")
		samples = samples[:len(samples)/channels*channels]
		var b bytes.Buffer
		if err := WriteWAV(&b, rate, channels, bits, samples); err != nil {
			t.Fatal(err)
		}
		s, err := Open(bytes.NewReader(b.Bytes()), "a")
		if err != nil {
			t.Fatal(err)
		}
		want := Format{Codec: "wav", Rate: rate, Channels: channels, Bits: bits, Frames: int64(len(samples) / channels)}
		if s.Format() != want {
			t.Fatalf("%+v: want %+v", s.Format(), want)
		}
		got, err := readAll(s)
		if err != nil || len(got) != len(samples) {
			t.Fatalf("%d samples, %v: want %d", len(got), err, len(samples))
		}
		step := map[int]float64{16: 1.0 / (1 << 15), 24: 1.0 / (1 << 23), 32: 0}[bits]
		for i := range got {
			limit := step / 2 * 1.0001
			if samples[i] == 1 {
				limit = step // full scale positive is one step short
			}
			if math.Abs(float64(got[i]-samples[i])) > limit {
				t.Fatalf("sample %d is %v: want %v", i, got[i], samples[i])
			}
		}
		if len(Notes(s)) > 0 {
			t.Fatalf("notes on a good file: %q", Notes(s))
		}
	})
}

// TestWAVWriterSeeks: sizes that are not known at first are set at the end.
func TestWAVWriterSeeks(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	samples := music(44100, 3, 0.5, 1)[:3*22001] // an odd number of bytes in 24 bits
	w, err := NewWAVWriter(f, Format{Rate: 44100, Channels: 3, Bits: 24, Frames: -1})
	if err != nil {
		t.Fatal(err)
	}
	err = errors.Join(w.Write(samples[:300]), w.Write(samples[300:]), w.Close(), f.Close())
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if want := wavBytes(t, 44100, 3, 24, samples); !bytes.Equal(got, want) {
		t.Error("written in pieces it is another file than written at once")
	}
}

// TestWAVLong: past 4 GiB the header is RF64 (EBU Tech 3306) with 64-bit sizes.
func TestWAVLong(t *testing.T) {
	frames := int64(6 * 3600 * 48000) // six hours
	w := &WAVWriter{format: Format{Codec: "wav", Rate: 48000, Channels: 2, Bits: 32}}
	h := w.header(frames)
	if len(h) != wavHeaderSize || string(h[:4]) != "RF64" {
		t.Fatalf("%d bytes beginning %q: want %d of RF64", len(h), h[:4], wavHeaderSize)
	}
	src, err := newSource(bytes.NewReader(h))
	if err != nil {
		t.Fatal(err)
	}
	got, err := readWAVHeader(src)
	if err != nil || got.dataSize != uint64(frames)*8 {
		t.Errorf("%d bytes of data, %v: want %d", got.dataSize, err, frames*8)
	}
}

// TestG711 checks against the decision values of ITU-T G.711, tables 1a and 2a:
// the largest outputs and those next to zero, in 16 bits.
func TestG711(t *testing.T) {
	for _, c := range []struct {
		table *[256]float32
		code  byte
		want  float32
	}{
		{&alaw, 0x80 ^ 0x55, 8}, {&alaw, 0xFF ^ 0x55, 32256}, {&alaw, 0x7F ^ 0x55, -32256},
		{&mulaw, 0xFF, 0}, {&mulaw, 0x80, 32124}, {&mulaw, 0x00, -32124},
	} {
		if got := c.table[c.code] * (1 << 15); got != c.want {
			t.Errorf("code %#x is %v: want %v", c.code, got, c.want)
		}
	}
}

// patch returns a copy of b with the bytes at one place replaced.
func patch(b []byte, at int, with ...byte) []byte {
	b = bytes.Clone(b)
	copy(b[at:], with)
	return b
}

func le32(v uint32) []byte { return binary.LittleEndian.AppendUint32(nil, v) }

// Places in the header that this package writes.
const (
	placeRIFFSize = 4
	placeChannels = 22
	placeRate     = placeChannels + 2
	placeDataSize = 40
)

// TestWAVBad gives headers that lie: each is a result or a clear error.
func TestWAVBad(t *testing.T) {
	good := wavBytes(t, 8000, 2, 16, music(8000, 2, 0.1, 1))
	nan := wavBytes(t, 8000, 1, 32, []float32{0.5, float32(math.NaN()), float32(math.Inf(1)), 3e6, -0.5})
	cases := []struct {
		name   string
		file   []byte
		frames int    // expected; -1 for an error
		say    string // part of the error or of the notes
	}{
		{"empty", nil, -1, "empty"},
		{"four bytes", []byte("RIFF"), -1, "not a sound file"},
		{"header only", good[:plainHeaderSize], 0, "declares"},
		{"cut in the header", good[:30], -1, "header"},
		{"cut in a frame", good[:plainHeaderSize+401], 100, "declares"},
		{"no channels", patch(good, placeChannels, 0, 0), -1, "0 channels"},
		{"too many channels", patch(good, placeChannels, 0xFF, 0xFF), -1, "65535 channels"},
		{"rate 0", patch(good, placeRate, le32(0)...), -1, "0 Hz"},
		{"rate absurd", patch(good, placeRate, le32(0xFFFFFFFF)...), -1, "Hz"},
		{"data size huge", patch(good, placeDataSize, le32(0xFFFFFFF0)...), 800, "declares"},
		{"data size unknown", patch(good, placeDataSize, le32(0xFFFFFFFF)...), 800, ""},
		{"sizes zero", patch(patch(good, placeDataSize, le32(0)...), placeRIFFSize, le32(0)...), 800, "not brought to its end"},
		{"data size short", patch(good, placeDataSize, le32(400)...), 100, ""},
		{"one sample", wavBytes(t, 8000, 1, 16, []float32{0.25}), 1, ""},
		{"no samples", wavBytes(t, 8000, 1, 16, nil), 0, ""},
		{"chunk size huge", append([]byte("RIFF\x00\x00\x00\x00WAVEJUNK\xff\xff\xff\xff"), good[12:]...), -1, "data"},
		{"not a number", nan, 5, "3 samples"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s, err := Open(bytes.NewReader(c.file), "bad")
			if c.frames < 0 {
				if err == nil || !strings.Contains(err.Error(), c.say) {
					t.Fatalf("error %v: want one about %q", err, c.say)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			got, err := readAll(s)
			notes := strings.Join(Notes(s), "; ")
			if err != nil || len(got)/s.Format().Channels != c.frames || !strings.Contains(notes, c.say) || c.say == "" && notes != "" {
				t.Errorf("%d samples, %v, notes %q: want %d frames and a word of %q", len(got), err, notes, c.frames, c.say)
			}
			for i, v := range got {
				if v != v || v > absurd {
					t.Errorf("sample %d is %v", i, v)
				}
			}
		})
	}
}

// TestReadManners: short buffers, odd buffers, and the end are as the interface
// says.
func TestReadManners(t *testing.T) {
	s := openBytes(t, wavBytes(t, 8000, 3, 16, make([]float32, 30)))
	if n, err := s.Read(make([]float32, 2)); n != 0 || err != io.ErrShortBuffer {
		t.Errorf("Read of less than a frame: %d, %v", n, err)
	}
	if n, err := s.Read(make([]float32, 8)); n != 2 || err != nil {
		t.Errorf("Read of two frames and a bit: %d, %v", n, err)
	}
	if n, err := s.Read(make([]float32, 300)); n != 8 || err != nil {
		t.Errorf("Read past the end: %d, %v", n, err)
	}
	for range 2 {
		if n, err := s.Read(make([]float32, 3)); n != 0 || err != io.EOF {
			t.Errorf("Read at the end: %d, %v", n, err)
		}
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	if _, err := s.Read(make([]float32, 3)); err == nil || err == io.EOF {
		t.Errorf("Read behind Close: %v", err)
	}
}

func ExampleWriteWAV() {
	var file bytes.Buffer
	if err := WriteWAV(&file, 8000, 1, 16, []float32{0, 0.5, -1}); err != nil {
		fmt.Println(err)
		return
	}
	s, err := Open(bytes.NewReader(file.Bytes()), "three samples")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer s.Close()
	samples := make([]float32, 8)
	n, err := s.Read(samples)
	fmt.Println(s.Format().Rate, samples[:n], err)
	// Output: 8000 [0 0.5 -1] <nil>
}

// The plain form, octet by octet, as IBM and Microsoft's Multimedia Programming
// Interface and Data Specifications 1.0 (1991) lay it out: what small readers
// take that know no other.
func TestWAVPlain(t *testing.T) {
	var b bytes.Buffer
	if err := WriteWAV(&b, 48000, 1, 16, []float32{0, 0.5, -1}); err != nil {
		t.Fatal(err)
	}
	want := "RIFF\x2a\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00\x80\xbb\x00\x00\x00\x77\x01\x00\x02\x00\x10\x00" +
		"data\x06\x00\x00\x00" + "\x00\x00\x00\x40\x00\x80"
	if b.String() != want {
		t.Errorf("%q\nwant %q", b.String(), want)
	}
}
