package chase

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"lampblack/wire/midi"
)

// A real pipe: notes to a reader, and errors in clear words.
func TestPortOnPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "midi")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skipf("outside check left out: needs named pipes (%v)", err)
	}
	if _, err := OpenPort(path); err == nil || !strings.Contains(err.Error(), "nobody reads this pipe") {
		t.Errorf("without a reader: %v", err)
	}
	r, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		t.Fatal(err)
	}
	p, err := OpenPort(path)
	if err != nil {
		t.Fatal(err)
	}
	s := midi.ShowControl{Device: 1, Format: midi.Lighting, Command: midi.Go, Cue: "12.5"}
	want := append(midi.NoteOn(2, 60, 100), s.Append(nil)...)
	p.Send(time.Now(), midi.NoteOn(2, 60, 100))
	p.Send(time.Now(), s.Append(nil))
	if err := p.Close(); err != nil {
		t.Fatal(err)
	}
	if got, err := io.ReadAll(r); err != nil || !bytes.Equal(got, want) {
		t.Errorf("the reader got % x, %v, want % x", got, err, want)
	}
	for device, says := range map[string]string{
		filepath.Join(t.TempDir(), "none"): "no such device now",
		t.TempDir():                        "is a directory",
		os.Args[0]:                         "",
	} {
		if _, err := OpenPort(device); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q in it", device, err, says)
		}
	}
}
