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

// Timecode through real pipes, both kinds, from a sender of ours to a follower
// of ours: it locks, and it locks again when the sender was away.
func TestTimecodeThroughPipe(t *testing.T) {
	for _, kind := range []string{"mtc", "ltc"} {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "a pipe")
			if err := syscall.Mkfifo(path, 0o600); err != nil {
				t.Skipf("outside check left out: needs named pipes (%v)", err)
			}
			line := kind + ` "` + path + `" rate 25 start 10:00:00:00`
			in, err := Follow(line, Loss{}, nil)
			if err != nil {
				t.Fatal(err)
			}
			defer in.Close()
			for round := range 2 {
				out, err := OpenSender(line)
				if err != nil {
					t.Fatal(err)
				}
				begin, offset := time.Now(), time.Duration(round)*time.Minute
				var lock, worst time.Duration
				tick := time.NewTicker(time.Second / 44)
				for time.Since(begin) < 2*time.Second {
					now := <-tick.C
					show := now.Sub(begin) + offset
					out.Update(now, show, true)
					s := in.At(time.Now())
					off := (s.Position - time.Since(begin) - offset).Abs()
					switch {
					case s.State == Locked && off < 200*time.Millisecond && lock == 0:
						lock = time.Since(begin)
					case lock > 0:
						worst = max(worst, off)
					}
				}
				tick.Stop()
				if err := out.Close(); err != nil {
					t.Error(err)
				}
				t.Logf("round %d: locked after %v, then at most %v off; %v; %+v", round, lock.Round(time.Millisecond), worst.Round(time.Millisecond), in.At(time.Now()), out.Stats())
				// Machines that test are busy: the exact figures are those of
				// the tests with rough tapes.
				if lock == 0 || worst > 500*time.Millisecond {
					t.Errorf("round %d: locked after %v, %v off", round, lock, worst)
				}
			}
		})
	}
}

func TestOpenRefuses(t *testing.T) {
	if _, err := OpenSender("midi /dev/null"); err == nil {
		t.Error("midi is a sender of timecode")
	}
	if _, err := Follow("midi /dev/null", Loss{}, nil); err == nil {
		t.Error("midi is a source of timecode")
	}
}
