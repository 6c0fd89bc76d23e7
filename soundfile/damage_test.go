package soundfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// encodedBefore keeps what encoded made, by length; tests do not change it.
var encodedBefore = map[float64]map[string][]byte{}

// encoded returns music of some seconds in every codec that is read here, by the
// encoders that are installed.
func encoded(t testing.TB, seconds float64) map[string][]byte {
	t.Helper()
	need(t, "ffmpeg", "ffmpeg")
	if files := encodedBefore[seconds]; files != nil {
		return files
	}
	wav := writeWAV(t, 48000, 2, 16, music(48000, 2, seconds, 11))
	dir := t.TempDir()
	files := map[string][]byte{}
	encodedBefore[seconds] = files
	for name, args := range map[string][]string{
		"a.wav":    {"-c:a", "pcm_s16le"},
		"a.flac":   {"-c:a", "flac"},
		"a.mp3":    {"-c:a", "libmp3lame", "-q:a", "5", "-id3v2_version", "0"},
		"mono.mp3": {"-c:a", "libmp3lame", "-ac", "1", "-ar", "22050", "-b:a", "32k", "-write_xing", "0", "-id3v2_version", "0"},
		"a.ogg":    {"-c:a", "libvorbis", "-q:a", "3"},
		"a.opus":   {"-c:a", "libopus", "-b:a", "64k"},
		"flac.ogg": {"-c:a", "flac"},
	} {
		path := filepath.Join(dir, name)
		run(t, "ffmpeg", append(append([]string{"-nostdin", "-v", "error", "-i", wav}, args...), path)...)
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = b
	}
	return files
}

// listen opens and reads a file that may be damaged, up to a number of frames.
// What it must not do is panic, hang, or return neither sound nor error.
func listen(b []byte, limit int) (samples []float32, f Format, notes []string, err error) {
	s, err := Open(bytes.NewReader(b), "damaged")
	if err != nil {
		return nil, f, nil, err
	}
	defer s.Close()
	f = s.Format()
	if f.Rate < minRate || f.Rate > maxRate || f.Channels < 1 || f.Channels > maxChannels {
		return nil, f, nil, fmt.Errorf("format %+v", f)
	}
	buf := make([]float32, 4096*f.Channels)
	for len(samples)/f.Channels < limit {
		n, err := s.Read(buf)
		if n == 0 && err == nil {
			return samples, f, nil, errors.New("neither frames nor an error")
		}
		samples = append(samples, buf[:n*f.Channels]...)
		if err == io.EOF {
			break
		}
		if err != nil {
			return samples, f, Notes(s), err
		}
	}
	for i, v := range samples {
		if !(math.Abs(float64(v)) < absurd) {
			return samples, f, nil, fmt.Errorf("sample %d is %v", i, v)
		}
	}
	return samples, f, Notes(s), nil
}

func id3(size int) []byte {
	b := append([]byte("ID3\x04\x00\x00"), byte(size>>21&0x7F), byte(size>>14&0x7F), byte(size>>7&0x7F), byte(size&0x7F))
	art := make([]byte, size) // a picture full of false frame headers
	for i := range art {
		art[i] = []byte{0xFF, 0xFB, 0x90, 0x64}[i%4]
	}
	return append(b, art...)
}

func ape(size int) []byte {
	b := []byte("APETAGEX")
	for _, v := range []uint32{2000, uint32(size + 32), 1, 1 << 29} {
		b = binary.LittleEndian.AppendUint32(b, v)
	}
	b = append(b, make([]byte, 8)...)
	return append(b, bytes.Repeat([]byte{0xFF, 0xFB, 0x90, 0x64}, size/4+8)...)
}

func noise(n int, seed uint64) []byte {
	rng := rand.New(rand.NewPCG(seed, 3))
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(rng.Uint32())
	}
	return b
}

// TestTagsAndJunk puts around a file what taggers and transfers put there: the
// sound must not change.
func TestTagsAndJunk(t *testing.T) {
	files := encoded(t, 3)
	junk := noise(50000, 1)
	id3v1 := append([]byte("TAG"), bytes.Repeat([]byte{0xFF, 0xFB}, 63)[:125]...)
	cases := []struct{ name, file, how string }{
		{"ID3v2 with art", "a.mp3", "front"}, {"ID3v2 with art, no Xing tag", "mono.mp3", "front"}, {"ID3v2 before FLAC", "a.flac", "front"},
		{"ID3v1", "a.mp3", "id3v1"}, {"ID3v1, no Xing tag", "mono.mp3", "id3v1"}, {"APE", "a.mp3", "ape"}, {"APE, no Xing tag", "mono.mp3", "ape"},
		{"junk in front", "a.mp3", "junk"}, {"junk in front, no Xing tag", "mono.mp3", "junk"}, {"zeros in front", "mono.mp3", "zeros"},
		{"junk behind", "a.mp3", "behind"}, {"junk behind, no Xing tag", "mono.mp3", "behind"}, {"junk behind Opus", "a.opus", "behind"},
		{"junk behind Vorbis", "a.ogg", "behind"}, {"junk behind WAV", "a.wav", "behind"}, {"junk behind FLAC", "a.flac", "behind"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := files[c.file]
			want, _, notes, err := listen(b, 1<<30)
			if err != nil || len(notes) > 0 {
				t.Fatalf("untouched: %v, %q", err, notes)
			}
			switch c.how {
			case "front":
				b = append(id3(300000), b...)
			case "id3v1":
				b = append(bytes.Clone(b), id3v1...)
			case "ape":
				b = append(bytes.Clone(b), ape(40000)...)
			case "junk":
				b = append(bytes.Clone(junk), b...)
			case "zeros":
				b = append(make([]byte, 100000), b...)
			case "behind":
				b = append(bytes.Clone(b), junk...)
			}
			got, _, _, err := listen(b, 1<<30)
			if err != nil || len(got) != len(want) || snr(want, got) < 200 {
				t.Errorf("%v, %d samples, %.0f dB: want the %d as without", err, len(got), snr(want, got), len(want))
			}
		})
	}
}

// TestTruncated cuts files short: what is there is heard, and a note says so.
func TestTruncated(t *testing.T) {
	for name, b := range encoded(t, 3) {
		t.Run(name, func(t *testing.T) {
			whole, _, _, err := listen(b, 1<<30)
			if err != nil {
				t.Fatal(err)
			}
			cut := b[:len(b)*2/3+17]
			got, _, notes, err := listen(cut, 1<<30)
			if err != nil {
				t.Fatal(err)
			}
			part := float64(len(got)) / float64(len(whole))
			if part < 0.3 || part > 0.95 {
				t.Errorf("two thirds of the file give %.2f of its sound", part)
			}
			skip := min(len(got), len(whole)) * 9 / 10 // near the cut codecs differ
			if db := snr(whole[:skip], got[:skip]); db < 60 {
				t.Errorf("before the cut it sounds otherwise: %.1f dB", db)
			}
			if len(notes) == 0 {
				t.Error("no note")
			}
			t.Setenv("PATH", t.TempDir()) // without ffmpeg
			for n := 0; n < 200; n += 3 {
				listen(b[:n], 1<<20)
			}
		})
	}
}

// TestHole takes a piece out of the middle, or makes noise of it. Where the
// format tells positions, all that comes later stays in its place.
func TestHole(t *testing.T) {
	for name, b := range encoded(t, 8) {
		keepsTime := name == "a.flac" || name == "a.ogg" || name == "a.opus" || name == "flac.ogg"
		for how, damaged := range map[string][]byte{
			"removed": append(bytes.Clone(b[:len(b)/2]), b[len(b)/2+9000:]...),
			"noise":   append(append(bytes.Clone(b[:len(b)/2]), noise(9000, 5)...), b[len(b)/2+9000:]...),
		} {
			t.Run(name+" "+how, func(t *testing.T) {
				whole, _, _, err := listen(b, 1<<30)
				if err != nil {
					t.Fatal(err)
				}
				got, f, notes, err := listen(damaged, 1<<30)
				if err != nil {
					t.Fatal(err)
				}
				if len(notes) == 0 && name != "a.wav" {
					t.Error("no note")
				}
				if !keepsTime {
					return
				}
				if len(got) != len(whole) {
					t.Errorf("%d frames: want %d as without the hole; notes %q", len(got)/f.Channels, len(whole)/f.Channels, notes)
				}
				last := min(len(got), len(whole)) * 4 / 5 / f.Channels * f.Channels
				if db := snr(whole[last:], got[last:min(len(got), len(whole))]); db < 40 {
					t.Errorf("behind the hole it is in another place: %.1f dB", db)
				}
			})
		}
	}
}

// TestJoined reads two files put one behind the other: a chain in Ogg, and what
// people do to MP3.
func TestJoined(t *testing.T) {
	files := encoded(t, 3)
	for _, name := range []string{"a.ogg", "a.opus", "a.mp3", "mono.mp3"} {
		b := files[name]
		once, _, _, err := listen(b, 1<<30)
		if err != nil {
			t.Fatal(err)
		}
		twice, f, _, err := listen(append(bytes.Clone(b), b...), 1<<30)
		if err != nil {
			t.Fatal(err)
		}
		want, slack := 2*len(once), 0
		if strings.HasSuffix(name, "mp3") {
			slack = 4 * 1152 * f.Channels // delay, padding and tag frame of the second are not cut
		}
		if len(twice) < want || len(twice) > want+slack {
			t.Errorf("%s: %d samples: want %d to %d", name, len(twice), want, want+slack)
		}
		if slack == 0 {
			if db := snr(once, twice[len(once):]); db < 100 {
				t.Errorf("%s: the second link is %.1f dB from the first", name, db)
			}
		}
	}
	// Links of other formats are brought to that of the first.
	chain := append(bytes.Clone(files["a.ogg"]), files["a.opus"]...)
	got, f, _, err := listen(chain, 1<<30)
	if err != nil || f.Codec != "vorbis" || len(got) < 2*f.Channels*48000*2 {
		t.Errorf("Vorbis and Opus in a chain: %+v, %d samples, %v", f, len(got), err)
	}
}

// TestLinkOfAnotherRate chains 44.1 kHz stereo and 22.05 kHz mono.
func TestLinkOfAnotherRate(t *testing.T) {
	need(t, "oggenc", "vorbis-tools")
	var chain []byte
	for _, c := range []struct{ rate, channels int }{{44100, 2}, {22050, 1}} {
		in := writeWAV(t, c.rate, c.channels, 16, music(c.rate, c.channels, 2, 3))
		run(t, "oggenc", "-Q", "-o", in+".ogg", in)
		b, err := os.ReadFile(in + ".ogg")
		if err != nil {
			t.Fatal(err)
		}
		chain = append(chain, b...)
	}
	got, f, notes, err := listen(chain, 1<<30)
	if err != nil || f.Rate != 44100 || f.Channels != 2 || len(got) != 2*4*44100 || len(notes) > 0 {
		t.Errorf("%+v, %d samples, %v, %q: want 4 s of the first link's format", f, len(got), err, notes)
	}
	if energy := snr(got[2*44100*2:], make([]float32, 2*44100*2)); energy != 0 {
		t.Errorf("the second link is silent") // the ratio of a sound to itself is 0 dB
	}
}

// TestRandomDamage flips bits all over. Nothing but survival is asked for.
func TestRandomDamage(t *testing.T) {
	rounds := 10
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rounds = 80
	}
	for _, b := range encoded(t, 1) {
		rng := rand.New(rand.NewPCG(1, 2))
		t.Setenv("PATH", t.TempDir()) // without ffmpeg
		for range rounds {
			d := bytes.Clone(b)
			for range 1 + rng.IntN(60) {
				d[rng.IntN(len(d))] ^= 1 << rng.IntN(8)
			}
			if rng.IntN(2) == 0 { // and the headers in particular
				d[rng.IntN(min(len(d), 300))] = byte(rng.Uint32())
			}
			listen(d, 1<<20)
		}
	}
}

// TestMislabelled: the name says nothing.
func TestMislabelled(t *testing.T) {
	for name, b := range encoded(t, 1) {
		path := filepath.Join(t.TempDir(), "wrong.wav")
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		if got, _ := decodeFile(t, path); len(got) == 0 {
			t.Errorf("%s as .wav: no sound", name)
		}
	}
}

// TestNoSound: what is no sound file is refused in words.
func TestNoSound(t *testing.T) {
	for name, b := range map[string][]byte{
		"text":     bytes.Repeat([]byte("cue 1, at 0:10, blue\n"), 1000),
		"noise":    noise(100000, 9),
		"zeros":    make([]byte, 100000),
		"tag only": id3(5000),
		"ogg head": []byte("OggS"),
		"flac":     []byte("fLaC\x00\x00\x00\x22"),
	} {
		_, err := Open(bytes.NewReader(b), name)
		if err == nil || !strings.HasPrefix(err.Error(), "read "+name+": ") {
			t.Errorf("%s: error %v", name, err)
		}
	}
	if _, err := OpenFile(t.Context(), t.TempDir()); err == nil {
		t.Error("a folder opens")
	}
	if _, err := OpenFile(t.Context(), filepath.Join(t.TempDir(), "none")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
}

// TestWithoutHelper: the error says what would help.
func TestWithoutHelper(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	_, err := Open(strings.NewReader("\x00\x00\x00\x20ftypM4A and so on"), "a.m4a")
	if err == nil || !strings.Contains(err.Error(), "ffmpeg may know it, but is not installed") {
		t.Errorf("error %v", err)
	}
}

// TestHelper reads a file that only ffmpeg knows, by path and from memory.
func TestHelper(t *testing.T) {
	need(t, "ffmpeg", "ffmpeg")
	in := writeWAV(t, 44100, 2, 16, music(44100, 2, 2, 1))
	path := filepath.Join(t.TempDir(), "a file: of sound.aiff")
	run(t, "ffmpeg", "-nostdin", "-v", "error", "-i", in, path)
	want, _ := decodeFile(t, in)
	got, f := decodeFile(t, path)
	if f.Codec != "ffmpeg" || len(got) != len(want) || snr(want, got) < 200 {
		t.Errorf("%+v, %d samples: want the %d of the WAV file", f, len(got), len(want))
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	got, _, notes, err := listen(b, 1<<30)
	if err != nil || len(notes) > 0 || len(got) != len(want) {
		t.Errorf("from memory: %d samples, %v, %q", len(got), err, notes)
	}
	s := openBytes(t, b) // and closed without being read
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}

// TestMemory: a header that declares hours costs no memory, and reading costs the
// same however long the file is.
func TestMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("measures memory for seconds")
	}
	for name, b := range encoded(t, 8) {
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		s, err := Open(bytes.NewReader(b), name)
		if err != nil {
			t.Fatal(err)
		}
		buf := make([]float32, 8192)
		for err == nil {
			_, err = s.Read(buf)
		}
		runtime.GC()
		runtime.ReadMemStats(&after)
		kept := int64(after.HeapAlloc) - int64(before.HeapAlloc)
		t.Logf("%s: %d KiB held at the end, %d KiB allocated in all", name, kept>>10, (after.TotalAlloc-before.TotalAlloc)>>10)
		if kept > 6<<20 {
			t.Errorf("%s: %d KiB held", name, kept>>10)
		}
		runtime.KeepAlive(s)
	}
}
