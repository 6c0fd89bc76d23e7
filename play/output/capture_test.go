package output

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// captured writes frames and returns the bytes.
func captured(t testing.TB, frames []CapturedFrame) []byte {
	t.Helper()
	var b bytes.Buffer
	w := NewCaptureWriter(&b)
	for _, f := range frames {
		if err := w.Write(f.Time, f.Frames); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// show is n frames of a fade and a flash in two universes.
func fade(n int) []CapturedFrame {
	var out []CapturedFrame
	for i := range n {
		a, b := frameOf(1, 512, byte(i/4)), frameOf(3, 24, 0)
		if i%100 == 0 {
			b.Slots[5] = 255
		}
		out = append(out, CapturedFrame{Time: time.Duration(i) * period, Frames: []Frame{a, b}})
	}
	return out
}

func readAll(t testing.TB, c *Capture) []CapturedFrame {
	t.Helper()
	var got []CapturedFrame
	if err := c.Each(func(f CapturedFrame) error { got = append(got, f); return nil }); err != nil {
		t.Fatal(err)
	}
	return got
}

func TestCaptureRoundTrip(t *testing.T) {
	want := fade(1000)
	b := captured(t, want)
	c, err := OpenCapture(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	if got := readAll(t, c); !reflect.DeepEqual(got, want) {
		t.Error("read something else than was written")
	}
	if c.Len() != 1000 || c.Duration() != 999*period {
		t.Errorf("%d frames, %v", c.Len(), c.Duration())
	}
	raw := 1000 * (512 + 24)
	t.Logf("%d octets of slots in a file of %d", raw, len(b))
	if len(b) > raw/50 {
		t.Errorf("%d octets of slots take %d, want at most a fiftieth", raw, len(b))
	}
	if again := captured(t, want); !bytes.Equal(again, b) {
		t.Error("the same frames give other bytes")
	}
}

func TestCaptureSeek(t *testing.T) {
	frames := fade(2000)
	b := captured(t, frames)
	c, err := OpenCapture(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for range 50 {
		at := time.Duration(rng.Int64N(int64(60*time.Second))) - time.Second
		want := frames[max(0, min(len(frames)-1, int(at/period)))]
		got, err := c.At(at)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("at %v: frame of %v, %v, want that of %v", at, got.Time, err, want.Time)
		}
	}
}

// A block holds 5.8 s at 44 frames a second, which is what a reader has to unpack
// to reach one frame: 256; one ends before where the universes change.
func TestCaptureBlocks(t *testing.T) {
	frames := fade(600)
	for i := 300; i < 600; i++ {
		frames[i].Frames = frames[i].Frames[:1]
	}
	b := captured(t, frames)
	var got []int
	for at := 10; string(b[at:at+4]) == "BLOC"; {
		got = append(got, int(binary.BigEndian.Uint32(b[at+16:])))
		at += 12 + int(binary.BigEndian.Uint32(b[at+4:]))
	}
	if want := []int{256, 44, 256, 44}; !slices.Equal(got, want) {
		t.Errorf("blocks of %v frames, want %v", got, want)
	}
}

// wholeBlocks counts the frames of the blocks that are whole in the octets, by
// the layout of the file as the format states it: "BLOC", length, sum, then the
// length's octets, the second number of which is that of the frames.
func wholeBlocks(b []byte) int {
	n := 0
	for b = b[min(10, len(b)):]; len(b) >= 12 && string(b[:4]) == "BLOC"; {
		end := 12 + int(binary.BigEndian.Uint32(b[4:]))
		if end > len(b) {
			break
		}
		n += int(binary.BigEndian.Uint32(b[16:]))
		b = b[end:]
	}
	return n
}

// A file that a crash cut off is read as far as it was written.
func TestCaptureCut(t *testing.T) {
	frames := fade(1000)
	b := captured(t, frames)
	for _, n := range []int{len(b) - 1, len(b) / 2, captureHead, len(b) - 200} {
		c, err := OpenCapture(bytes.NewReader(b[:n]), int64(n))
		if !errors.Is(err, ErrCut) {
			t.Fatalf("%d of %d octets: %v, want ErrCut", n, len(b), err)
		}
		got := readAll(t, c)
		if want := wholeBlocks(b[:n]); len(got) != want || want > 0 && !reflect.DeepEqual(got, frames[:want]) {
			t.Errorf("%d of %d octets: %d frames read, want the %d of the whole blocks", n, len(b), len(got), want)
		}
	}
	b[len(b)/2] ^= 1
	c, err := OpenCapture(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Each(func(CapturedFrame) error { return nil }); err == nil || !strings.Contains(err.Error(), "sum: got") {
		t.Errorf("a bit that fell over: %v", err)
	}
}

// A file without an index is read up to the first block whose times fall: what is
// looked for by halving must be in order, also in a file that somebody made.
func TestCaptureTimesFall(t *testing.T) {
	b := captured(t, fade(600))
	second := captureHead + sectionHead + int(binary.BigEndian.Uint32(b[captureHead+4:]))
	length := int(binary.BigEndian.Uint32(b[second+4:]))
	b = b[:second+sectionHead+length] // two blocks, no index
	body := b[second+sectionHead:]
	binary.BigEndian.PutUint64(body[8:], 1<<63) // first, long before 0
	binary.BigEndian.PutUint32(b[second+8:], crc32.ChecksumIEEE(body))
	c, err := OpenCapture(bytes.NewReader(b), int64(len(b)))
	if !errors.Is(err, ErrCut) || !strings.Contains(err.Error(), "after 1 blocks") || !strings.Contains(err.Error(), "got times from") {
		t.Errorf("error %v", err)
	}
	if got := readAll(t, c); len(got) != blockFrames {
		t.Errorf("%d frames read, want the %d of the block in order", len(got), blockFrames)
	}
}

func TestCaptureRefuses(t *testing.T) {
	w := NewCaptureWriter(&bytes.Buffer{})
	for _, c := range []struct {
		t      time.Duration
		frames []Frame
		says   string
	}{
		{-1, nil, "time"},
		{0, []Frame{frameOf(1, 513, 0)}, "got 513 slots"},
		{0, []Frame{frameOf(1, 1, 0), frameOf(1, 1, 0)}, "got it twice"},
	} {
		if err := w.Write(c.t, c.frames); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("error %v, want %q in it", err, c.says)
		}
	}
	for _, s := range []string{"", "DMXFRAME", "DMXFRAME\x00\x02", "something else entirely"} {
		if _, err := OpenCapture(strings.NewReader(s), int64(len(s))); err == nil {
			t.Errorf("%q is taken", s)
		}
	}
}

func TestCaptureAnyFrames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var frames []CapturedFrame
		var at time.Duration
		for range rapid.IntRange(1, 20).Draw(t, "frames") {
			at += time.Duration(rapid.IntRange(0, 1e9).Draw(t, "step"))
			f := CapturedFrame{Time: at}
			for u := range uint16(rapid.IntRange(1, 3).Draw(t, "universes")) {
				slots := rapid.SliceOfN(rapid.Byte(), 1, 5).Draw(t, "slots")
				f.Frames = append(f.Frames, Frame{Universe: u + 1, Slots: slots})
			}
			frames = append(frames, f)
		}
		var b bytes.Buffer
		w := NewCaptureWriter(&b)
		for _, f := range frames {
			if err := w.Write(f.Time, f.Frames); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		c, err := OpenCapture(bytes.NewReader(b.Bytes()), int64(b.Len()))
		if err != nil {
			t.Fatal(err)
		}
		var got []CapturedFrame
		if err := c.Each(func(f CapturedFrame) error { got = append(got, f); return nil }); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, frames) {
			t.Fatalf("got %v, want %v", got, frames)
		}
	})
}

func FuzzCapture(f *testing.F) {
	f.Add(captured(f, fade(3)))
	f.Add(captured(f, nil))
	f.Fuzz(func(t *testing.T, b []byte) {
		c, err := OpenCapture(bytes.NewReader(b), int64(len(b)))
		if c == nil || err != nil && !errors.Is(err, ErrCut) {
			return
		}
		c.Each(func(CapturedFrame) error { return nil })
		c.At(time.Second)
	})
}

// An output that cannot be written whole leaves nothing under its name.
func TestFileSink(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(`file "first night.frames" map 1:5`, Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	for i := range 100 {
		if err := s.Send([]Frame{frameOf(1, 8, byte(i))}, start.Add(time.Duration(i)*period)); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(dir, "first night.frames")
	if _, err := os.Stat(path); err == nil {
		t.Error("the file has its name before it is whole")
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	c, err := OpenCapture(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	got := readAll(t, c)
	if len(got) != 100 || got[50].Frames[0].Universe != 5 || got[50].Frames[0].Slots[0] != 50 || got[50].Time != 50*period {
		t.Errorf("%d frames, the 50th %+v", len(got), got[50])
	}
}

// /dev/full is a disk without room.
func TestFileSinkDiskFull(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("outside check left out: needs /dev/full")
	}
	path := filepath.Join(t.TempDir(), "x")
	disk := &patient{w: full, most: 1 << 17}
	s := &fileSink{spec: testSpec(t, "file x"), path: path, file: full, disk: disk, writer: NewCaptureWriter(disk)}
	var failed error
	rng := rand.New(rand.NewPCG(1, 2))
	for i := 0; i < 1000 && failed == nil; i++ {
		f := frameOf(1, 512, 0)
		for j := range f.Slots {
			f.Slots[j] = byte(rng.Uint32())
		}
		failed = s.Send([]Frame{f}, time.Now())
	}
	if !is(Full)(s.Stats().State) {
		t.Errorf("not told: %+v", s.Stats().State)
	}
	if failed == nil || !strings.Contains(failed.Error(), "no space left") {
		t.Errorf("Send: %v", failed)
	}
	if err := s.Close(); err == nil {
		t.Error("Close: no error")
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("a half-written file has its name")
	}
	if _, err := Open("file /nonexistent/dir/x", Options{}); err == nil {
		t.Error("a folder that is not there: no error")
	}
}

func BenchmarkCaptureWrite(b *testing.B) {
	frames := fade(256)
	w := NewCaptureWriter(&bytes.Buffer{})
	b.SetBytes(536)
	at := time.Duration(0)
	for b.Loop() {
		w.Write(at, frames[int(at)%256].Frames)
		at++
	}
}
