package trigger_test

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"

	"lampblack/play/trigger"
	"lampblack/play/trigger/triggertest"
)

// board is a kernel with one GPIO chip, as far as one line asks of it: a level, and
// events through a file, which is a pipe here.
type board struct {
	t testing.TB

	mu     sync.Mutex
	away   bool
	high   bool
	count  uint32
	events *os.File // where the line's file ends in the kernel, nil without one
	asked  unix.GPIOV2LineRequest
	low    bool // active low was asked for
}

func (b *board) open(chip string) (*os.File, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.away || chip != "/dev/gpiochip0" {
		return nil, fs.ErrNotExist
	}
	return os.Open(os.DevNull)
}

func (b *board) ioctl(f *os.File, request uint, arg unsafe.Pointer) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch request {
	case unix.GPIO_V2_GET_LINE_IOCTL:
		r := (*unix.GPIOV2LineRequest)(arg)
		if r.Num_lines != 1 || r.Offsets[0] != 17 {
			return unix.EINVAL
		}
		var ends [2]int
		if err := unix.Pipe2(ends[:], unix.O_CLOEXEC|unix.O_NONBLOCK); err != nil {
			return err
		}
		b.asked, b.low = *r, r.Config.Flags&(1<<1) != 0
		r.Fd = int32(ends[0])
		b.events = os.NewFile(uintptr(ends[1]), "events")
		b.count = 0
	case unix.GPIO_V2_LINE_GET_VALUES_IOCTL:
		v := (*unix.GPIOV2LineValues)(arg)
		if b.away {
			return unix.ENODEV
		}
		if v.Mask == 1 && b.high != b.low {
			v.Bits = 1
		}
	default:
		return unix.ENOTTY
	}
	return nil
}

// set puts a voltage on the line; the kernel tells of the edge unless it was away. Skip
// loses the event, as a full buffer does.
func (b *board) set(high, skip bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.high == high {
		return
	}
	b.high = high
	if b.events == nil {
		return
	}
	if b.count++; skip {
		return
	}
	id := uint32(unix.GPIO_V2_LINE_EVENT_FALLING_EDGE)
	if high != b.low {
		id = unix.GPIO_V2_LINE_EVENT_RISING_EDGE
	}
	var now unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &now); err != nil {
		b.t.Error(err)
	}
	e := make([]byte, trigger.EventSize)
	binary.NativeEndian.PutUint64(e[trigger.EventTimeAt:], uint64(now.Nano()))
	binary.NativeEndian.PutUint32(e[trigger.EventIDAt:], id)
	binary.NativeEndian.PutUint32(e[trigger.EventCountAt:], b.count)
	_, _ = b.events.Write(e) // a full buffer loses it
}

func (b *board) lose() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.away = true
	b.events.Close()
	b.events = nil
}

func (b *board) find() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.away = false
}

func (b *board) end() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.events != nil {
		b.events.Close()
	}
}

// A GPIO line by the interface of the kernel, whose other side is played.
func TestGPIO(t *testing.T) {
	for text, closedHigh := range map[string]bool{
		"gpio gpiochip0 line 17":                            true,
		"gpio gpiochip0 line 17 active low pull up":         false,
		"gpio gpiochip0 line 17 active low normally closed": true,
	} {
		t.Run(text, func(t *testing.T) {
			t.Parallel()
			triggertest.Check(t, func(t *testing.T, o trigger.Options) triggertest.Machine {
				b := &board{t: t, high: !closedHigh}
				return triggertest.Machine{Level: true, Lose: b.lose, Find: b.find, End: b.end,
					Close: func() { b.set(closedHigh, false) }, Open: func() { b.set(!closedHigh, false) },
					Flood: func() {
						for range 5000 { // the last event is lost, and the level is not
							b.set(closedHigh, false)
							b.set(!closedHigh, false)
						}
						b.set(closedHigh, true)
						b.set(!closedHigh, false)
					},
					Set: openOne(t, text, trigger.OnKernel(o, b.open, b.ioctl))}
			})
		})
	}
}

// The line is asked for as an input that tells of both edges, with what the line of text
// says of it; what the kernel refuses is told in words.
func TestGPIORequest(t *testing.T) {
	for text, want := range map[string]uint64{
		"gpio gpiochip0 line 17":                    1<<2 | 1<<4 | 1<<5,
		"gpio gpiochip0 line 17 active low pull up": 1<<1 | 1<<2 | 1<<4 | 1<<5 | 1<<8,
		"gpio gpiochip0 line 17 pull down":          1<<2 | 1<<4 | 1<<5 | 1<<9,
		"gpio gpiochip0 line 17 pull none":          1<<2 | 1<<4 | 1<<5 | 1<<10,
	} {
		b := &board{t: t}
		heard := make(chan trigger.Heard, 100)
		s := openOne(t, text, trigger.OnKernel(trigger.Options{Heard: func(h trigger.Heard) { heard <- h }}, b.open, b.ioctl))
		<-heard
		s.Close()
		if b.asked.Config.Flags != want || b.asked.Num_lines != 1 || !strings.HasPrefix(string(b.asked.Consumer[:]), "lampblack\x00") || b.asked.Config.Num_attrs != 0 {
			t.Errorf("%s: asked for flags %b, want %b: %+v", text, b.asked.Config.Flags, want, b.asked)
		}
		b.end()
	}
	for code, words := range map[error]string{unix.EBUSY: "another program", unix.EINVAL: "no such line", unix.ENOTTY: "no GPIO chip", unix.EPERM: "not permitted"} {
		b := &board{t: t}
		s := openOne(t, "gpio gpiochip0 line 17", trigger.OnKernel(trigger.Options{}, b.open, func(*os.File, uint, unsafe.Pointer) error { return code }))
		if st := s.Status()[0]; !strings.Contains(st.Fault, words) || !strings.Contains(st.Fault, "line 17 of /dev/gpiochip0") || st.Hint == "" {
			t.Errorf("%v is told as %+v", code, st)
		}
		s.Close()
	}
}

// Times are those of the edges, not of when we came to read them: a contact that was
// closed for long enough while the machine was busy counts.
func TestGPIOTimes(t *testing.T) {
	b := &board{t: t}
	var list trigger.List
	from := parse(t, "gpio gpiochip0 line 17")
	list.Triggers = []trigger.Trigger{{Name: "door", From: from, Rules: trigger.Rules{Dwell: 30 * time.Millisecond}}}
	busy, asked := make(chan struct{}), make(chan struct{}, 100)
	slow := func(f *os.File, request uint, arg unsafe.Pointer) error {
		err := b.ioctl(f, request, arg)
		if request == unix.GPIO_V2_LINE_GET_VALUES_IOCTL {
			asked <- struct{}{}
			<-busy
		}
		return err
	}
	s, err := trigger.Open(t.Context(), list, trigger.OnKernel(trigger.Options{}, b.open, slow))
	if err != nil {
		t.Fatal(err)
	}
	<-asked
	b.set(true, false)
	time.Sleep(40 * time.Millisecond) // of the kernel's clock, which no bubble has
	b.set(false, false)
	close(busy)
	if f := <-s.Fired(); f.Time.Sub(f.Since) != 30*time.Millisecond {
		t.Errorf("it fired %v after it closed", f.Time.Sub(f.Since))
	}
	s.Close()
	b.end()
}

// The layout is that of the kernel's own header, which a C compiler reads.
func TestGPIOLayout(t *testing.T) {
	const header = "/usr/include/linux/gpio.h"
	if _, err := os.Stat(header); err != nil {
		t.Skip("outside check left out: needs " + header + " (Debian package linux-libc-dev)")
	}
	cc, err := exec.LookPath("gcc")
	if err != nil {
		t.Skip("outside check left out: needs gcc (Debian package gcc)")
	}
	var r unix.GPIOV2LineRequest
	var v unix.GPIOV2LineValues
	want := map[string]uint64{
		"sizeof(struct gpio_v2_line_request)":               uint64(unsafe.Sizeof(r)),
		"sizeof(struct gpio_v2_line_values)":                uint64(unsafe.Sizeof(v)),
		"sizeof(struct gpio_v2_line_event)":                 trigger.EventSize,
		"offsetof(struct gpio_v2_line_event, timestamp_ns)": trigger.EventTimeAt,
		"offsetof(struct gpio_v2_line_event, id)":           trigger.EventIDAt,
		"offsetof(struct gpio_v2_line_event, line_seqno)":   trigger.EventCountAt,
		"offsetof(struct gpio_v2_line_request, consumer)":   uint64(unsafe.Offsetof(r.Consumer)),
		"offsetof(struct gpio_v2_line_request, config)":     uint64(unsafe.Offsetof(r.Config)),
		"offsetof(struct gpio_v2_line_request, num_lines)":  uint64(unsafe.Offsetof(r.Num_lines)),
		"offsetof(struct gpio_v2_line_request, fd)":         uint64(unsafe.Offsetof(r.Fd)),
		"offsetof(struct gpio_v2_line_values, mask)":        uint64(unsafe.Offsetof(v.Mask)),
		"GPIO_V2_GET_LINE_IOCTL":                            unix.GPIO_V2_GET_LINE_IOCTL,
		"GPIO_V2_LINE_GET_VALUES_IOCTL":                     unix.GPIO_V2_LINE_GET_VALUES_IOCTL,
		"GPIO_V2_LINE_EVENT_RISING_EDGE":                    unix.GPIO_V2_LINE_EVENT_RISING_EDGE,
	}
	for name, flag := range trigger.GPIOFlags {
		want[name] = flag
	}
	code := "#include <stdio.h>\n#include <stddef.h>\n#include <linux/gpio.h>\nint main(void) {\n"
	for what := range want {
		code += fmt.Sprintf("printf(\"%%s=%%llu\\n\", %q, (unsigned long long)(%s));\n", what, what)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "l.c"), []byte(code+"}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(cc, "-o", filepath.Join(dir, "l"), filepath.Join(dir, "l.c")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	out, err := exec.Command(filepath.Join(dir, "l")).Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := 0
	for line := range strings.Lines(string(out)) {
		what, got, _ := strings.Cut(strings.TrimSpace(line), "=")
		if got != fmt.Sprint(want[what]) {
			t.Errorf("%s is %s, and %d here", what, got, want[what])
		}
		lines++
	}
	if lines != len(want) {
		t.Errorf("%d of %d were looked at", lines, len(want))
	}
}

// A chip that is none, and one that is not there.
func TestNoGPIO(t *testing.T) {
	if _, err := os.Stat("/dev/gpiochip0"); !errors.Is(err, fs.ErrNotExist) {
		t.Skip("this machine has GPIO")
	}
	for text, words := range map[string]string{"gpio gpiochip0 line 1": "no such device now", "gpio /dev/null line 1": "no GPIO chip"} {
		s := openOne(t, text, trigger.Options{})
		if st := s.Status()[0]; !strings.Contains(st.Fault, words) || st.Hint == "" {
			t.Errorf("%s: %+v", text, st)
		}
		s.Close()
	}
}
