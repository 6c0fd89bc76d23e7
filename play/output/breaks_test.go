package output

import (
	"bytes"
	"fmt"
	"slices"
	"testing"
	"testing/synctest"
	"time"
)

// tracePort is a device that writes down what is done to it.
type tracePort struct {
	breaks bool // it has a break signal
	baud   int
	low    time.Duration // of the last break
	mark   time.Duration // at least, after it
	doing  []string
}

func (p *tracePort) did(format string, args ...any) {
	p.doing = append(p.doing, fmt.Sprintf(format, args...))
}

func (p *tracePort) Write(b []byte) (int, error) {
	bit := time.Second / time.Duration(p.baud)
	if len(b) == 1 && b[0] == 0 {
		p.low, p.mark = 9*bit, 2*bit // start bit and eight zeros; two stop bits
		p.did("break")
	} else {
		p.did("%d octets at %d", len(b), p.baud)
	}
	return len(b), nil
}

func (p *tracePort) Drain() error { p.did("drain"); return nil }
func (p *tracePort) Close() error { return nil }

func (p *tracePort) Break(d time.Duration) error {
	if !p.breaks {
		return errNoBreak
	}
	p.low = d
	p.did("break")
	return nil
}

func (p *tracePort) SetBaud(baud int) error {
	p.baud = baud
	p.did("to %d", baud)
	return nil
}

// Break, START code and slots on a line that this program clocks: ANSI E1.11
// wants a break of 92 us at least and a mark of 12 us after it, all else at
// 250 000 baud; a device without the break signal gets a zero byte at a speed
// that serial devices have (termios(3)). A short packet is filled up to 24 slots,
// and the line has the time of 44 us that each takes.
func TestBreaks(t *testing.T) {
	speeds := []int{9600, 19200, 38400, 57600, 115200, 230400}
	for _, signal := range []bool{true, false} {
		synctest.Test(t, func(t *testing.T) {
			p := &tracePort{breaks: signal, baud: 250_000}
			l := &bareLine{}
			start := time.Now()
			for _, slots := range []int{3, 512} {
				if err := l.transmit(p, bytes.Repeat([]byte{7}, slots)); err != nil {
					t.Fatal(err)
				}
				if p.low < 92*time.Microsecond || p.low > time.Millisecond {
					t.Errorf("the break lasts %v", p.low)
				}
				if !signal && p.mark < 12*time.Microsecond {
					t.Errorf("the mark lasts %v", p.mark)
				}
			}
			if took := time.Since(start); took < (25+513)*44*time.Microsecond {
				t.Errorf("the two packets took %v", took)
			}
			want := []string{"break", "25 octets at 250000", "drain", "break", "513 octets at 250000", "drain"}
			got := p.doing
			if !signal {
				var slow int
				if fmt.Sscanf(got[0], "to %d", &slow); !slices.Contains(speeds, slow) {
					t.Errorf("%d baud is no speed that serial devices have", slow)
				}
				to := fmt.Sprintf("to %d", slow)
				want = []string{to, "break", "drain", "to 250000", "25 octets at 250000", "drain", to, "break", "drain", "to 250000", "513 octets at 250000", "drain"}
			}
			if !slices.Equal(got, want) {
				t.Errorf("signal %v:\ngot  %q\nwant %q", signal, got, want)
			}
		})
	}
}
