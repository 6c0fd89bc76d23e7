package output_test

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"

	"lampblack/play/output"
	"lampblack/play/output/sinktest"
	"lampblack/wire/dmx"
)

func messagesOf(b []byte) []dmx.Message {
	var s dmx.Scanner
	var got []dmx.Message
	s.Feed(b, func(m dmx.Message) { got = append(got, dmx.Message{Label: m.Label, Data: bytes.Clone(m.Data)}) })
	return got
}

func TestWidgetKeepsContract(t *testing.T) {
	sinktest.Check(t, func(t *testing.T) sinktest.Wire {
		p := openTerminal(t)
		s, err := output.Open("widget "+p.device, output.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return sinktest.Wire{Sink: s, Last: func(t *testing.T) []byte {
			all := messagesOf(p.rest(t))
			return all[len(all)-1].Data[1:]
		}}
	})
}

func TestSerialKeepsContract(t *testing.T) {
	sinktest.Check(t, func(t *testing.T) sinktest.Wire {
		p := openTerminal(t)
		s, err := output.Open("serial "+p.device, output.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return sinktest.Wire{Sink: s, Last: func(t *testing.T) []byte {
			b := p.rest(t)
			return b[len(b)-24:]
		}}
	})
}

// A break signal cannot be seen at the other end of a pseudo-terminal; a zero
// octet at 57 600 baud, 156 us low, can. Then come the START code and the slots
// at 250 000.
func TestSerialFrames(t *testing.T) {
	p := openTerminal(t)
	s, err := output.Open("serial "+p.device+" universes 3 break byte", output.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := make([]byte, 512)
	for i := range want {
		want[i] = byte(i)
	}
	start := time.Now()
	const frames = 20
	for range frames {
		if err := s.Send([]output.Frame{{Universe: 1, Slots: []byte{9}}, {Universe: 3, Slots: want}}, time.Now()); err != nil {
			t.Fatal(err)
		}
	}
	took := time.Since(start)
	// The line must have had the time that the standard asks for.
	if least := frames * 513 * dmx.SlotTime; took < least {
		t.Errorf("%d frames took %v, want at least %v", frames, took, least)
	}
	t.Logf("%d full frames in %v: %.1f a second", frames, took.Round(time.Millisecond), frames/took.Seconds())
	frame := append([]byte{0, dmx.Levels}, want...) // break, START code, slots
	b := p.wait(t, "frames", func(b []byte) bool { return len(b) >= frames*len(frame) })
	for i := range frames {
		if got := b[i*len(frame) : (i+1)*len(frame)]; !bytes.Equal(got, frame) {
			t.Fatalf("frame %d: % x...", i, got[:16])
		}
	}
	if p.baud() != 250_000 {
		t.Errorf("the line ends at %d baud, want 250000", p.baud())
	}
	p.forget()
	// Left alone, the sink repeats the frame.
	p.wait(t, "repeats", func(b []byte) bool { return len(b) >= 10*len(frame) })
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}

func TestWidgetRateAndRepeats(t *testing.T) {
	p := openTerminal(t)
	s, err := output.Open("widget "+p.device+" rate 20", output.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := output.Mailbox(s)
	start := time.Now()
	for i := range 44 {
		due := start.Add(time.Duration(i) * time.Second / 44)
		time.Sleep(time.Until(due))
		m.Send([]output.Frame{{Universe: 1, Slots: bytes.Repeat([]byte{byte(i)}, 512)}}, due)
	}
	m.Close()
	took := time.Since(start)
	all := messagesOf(p.rest(t))
	// 20 in a second, one at once, and the last three times at Close; fewer where
	// the machine is slow, as a newer frame takes the place of one that waits.
	if most := int(20*took.Seconds()) + 5; len(all) < 8 || len(all) > most {
		t.Errorf("%d messages in %v, want 20 a second and those of Close", len(all), took)
	}
	t.Logf("%d messages in %v", len(all), took)
	for _, m := range all {
		if m.Label != dmx.LabelSend || len(m.Data) != 513 || m.Data[0] != dmx.Levels {
			t.Errorf("label %d, %d octets", m.Label, len(m.Data))
		}
	}
	if last := all[len(all)-1]; last.Data[1] != 43 {
		t.Errorf("the last message says %d, want 43", last.Data[1])
	}
}

// A device that is pulled out and put back, elsewhere, goes on by itself; the
// caller never notices.
func TestUnplugAndReplug(t *testing.T) {
	p := openTerminal(t)
	name := link(t, p.device)
	s, err := output.Open("widget "+name, output.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := output.Mailbox(s)
	level := byte(0)
	var slowest time.Duration
	send := func() {
		level++
		start := time.Now()
		if err := m.Send([]output.Frame{{Universe: 1, Slots: bytes.Repeat([]byte{level}, 100)}}, start); err != nil {
			t.Error(err)
		}
		slowest = max(slowest, time.Since(start))
		time.Sleep(10 * time.Millisecond)
	}
	for range 20 {
		send()
	}
	p.unplug()
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
	for range 60 {
		send()
	}
	p2 := openTerminal(t)
	if err := os.Symlink(p2.device, name); err != nil {
		t.Fatal(err)
	}
	came := func() bool { return len(messagesOf(p2.peek())) > 5 }
	for i := 0; i < 1000 && !came(); i++ {
		send()
	}
	m.Close()
	st := m.Stats()
	if !came() || st.Reconnects != 1 || st.Dropped == 0 || st.LastError == "" {
		t.Errorf("after it came back: %+v", st)
	}
	if slowest > 5*time.Second { // it looks for the device for longer
		t.Errorf("a call of Send took %v", slowest)
	}
	t.Logf("slowest call of Send %v; last error: %s", slowest, st.LastError)
}

func TestWrongDevices(t *testing.T) {
	dir := t.TempDir()
	plain := dir + "/plain"
	if err := os.WriteFile(plain, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for device, says := range map[string]string{
		"/dev/null":           "it is no serial device",
		plain:                 "it is no serial device",
		dir:                   "is a directory",
		"/dev/ttyNOTTHERE":    "is it plugged in?",
		"/proc/version":       "",
		"/dev/pts/not-a-name": "is it plugged in?",
	} {
		for _, kind := range []string{"serial ", "widget "} {
			_, err := output.Open(kind+device, output.Options{})
			if err == nil || !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), device) {
				t.Errorf("%s%s: %v, want %q", kind, device, err, says)
			}
		}
	}
}

// A device that takes nothing must not hold the caller, nor Close.
func TestStuckDevice(t *testing.T) {
	p := openTerminal(t)
	p.stop(t)
	s, err := output.Open("widget "+p.device, output.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m := output.Mailbox(s)
	start := time.Now()
	for range 100 {
		m.Send([]output.Frame{{Universe: 1, Slots: make([]byte, 512)}}, time.Now())
		time.Sleep(10 * time.Millisecond)
	}
	m.Close()
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("100 frames and Close took %v", took)
	}
	if st := m.Stats(); !strings.Contains(st.LastError, "timeout") {
		t.Errorf("%+v, want a timeout", st)
	}
}

// stop makes the reader take no more: closing its side is not the same, for
// then the device is gone.
func (p *terminal) stop(t *testing.T) {
	t.Helper()
	p.master.SetReadDeadline(time.Now())
	<-p.done
}
