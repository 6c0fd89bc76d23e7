package lamps

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"lampblack/play/lamps/lampstest"
	"lampblack/play/leaktest"
	"lampblack/play/line"
	"lampblack/wire/rdm"

	"golang.org/x/sys/unix"
)

// behind puts an interface behind a terminal device, and returns its name.
func behind(t *testing.T, w *lampstest.Widget) (device string, end func()) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		t.Skipf("needs pseudo-terminals: %v", err)
	}
	raw, err := master.SyscallConn()
	if err != nil {
		t.Fatal(err)
	}
	number := 0
	var failed error
	if err := raw.Control(func(fd uintptr) {
		if failed = unix.IoctlSetPointerInt(int(fd), unix.TIOCSPTLCK, 0); failed == nil {
			number, failed = unix.IoctlGetInt(int(fd), unix.TIOCGPTN)
		}
	}); err != nil || failed != nil {
		t.Fatal(err, failed)
	}
	device = fmt.Sprintf("/dev/pts/%d", number)
	// Held open, so that the master does not fail while nobody else has it.
	slave, err := os.OpenFile(device, os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		b := make([]byte, 1024)
		for {
			n, err := master.Read(b)
			if err != nil {
				return
			}
			_, _ = w.Write(b[:n])
			for {
				n, _ := w.ReadWithin(b, 0)
				if n == 0 {
					break
				}
				_, _ = master.Write(b[:n])
			}
		}
	}()
	return device, func() { master.Close(); slave.Close(); <-done }
}

// The whole way by a real device file: opened, searched, asked, let go; nobody else can open
// it meanwhile, as a run would.
func TestWidgetByItsDevice(t *testing.T) {
	leaktest.Check(t, func() {
		wire := &lampstest.Wire{Lamps: many(rand.New(rand.NewPCG(14, 5)), 6)}
		device, end := behind(t, &lampstest.Widget{Wire: wire})
		defer end()
		out, err := line.ParseOut("widget " + device + " universes 4")
		if err != nil {
			t.Fatal(err)
		}
		lines, err := Open(context.Background(), out, []int{4})
		if err != nil {
			t.Fatal(err)
		}
		defer lines.Close()
		list, err := Read(context.Background(), lines.All[0], nil)
		var got []rdm.UID
		for _, d := range list {
			got = append(got, d.UID)
			if d.Universe != 4 || d.Footprint != 4 || len(d.Missing) > 0 {
				t.Errorf("got %+v", d)
			}
		}
		sortUIDs(got)
		if err != nil || !slices.Equal(got, uids(wire.Lamps)) {
			t.Errorf("got %v, %v, want %v", got, err, uids(wire.Lamps))
		}
		if os.Geteuid() != 0 { // who may do everything may open it all the same
			if again, err := Open(context.Background(), out, []int{4}); err == nil {
				again.Close()
				t.Error("it is opened twice")
			}
		}
	})
}

// An interface that knows nothing of RDM is told after some messages, and no sooner given up.
func TestWidgetWithoutRDM(t *testing.T) {
	leaktest.Check(t, func() {
		device, end := behind(t, &lampstest.Widget{Mute: true})
		defer end()
		lines, err := Open(context.Background(), line.Out{Kind: "widget", Place: device}, []int{1})
		if err != nil {
			t.Fatal(err)
		}
		defer lines.Close()
		begun := time.Now()
		if _, err := lines.All[0].Find(context.Background(), nil); !errors.Is(err, errNoRDM) {
			t.Errorf("got %v", err)
		}
		if took := time.Since(begun); took < mostUnheard*answerWithin/2 {
			t.Errorf("given up after %v", took)
		}
	})
}
