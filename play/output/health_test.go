package output

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"net/netip"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/wire/artnet"
	"lampblack/wire/sacn"
)

// fakeWays is a computer whose interfaces a test breaks.
type fakeWays struct {
	mu    sync.Mutex
	by    string // the way that the system chooses
	err   error
	wrong map[string]string
}

func (f *fakeWays) to(netip.Addr) (string, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.by, f.err
}

func (f *fakeWays) link(name string) string {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.wrong[name]
}

func (f *fakeWays) set(by string, err error, wrong map[string]string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.by, f.err, f.wrong = by, err, wrong
}

// isTold waits, at most for so long, until the state is as wanted, and returns how long that
// took. Beside the watch a run looks ten times a second.
func isTold(t *testing.T, s Sink, most time.Duration, want func(State) bool) time.Duration {
	t.Helper()
	start := time.Now()
	for time.Since(start) <= most {
		if want(s.Stats().State) {
			return time.Since(start)
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Errorf("not told within %v: %+v", most, s.Stats().State)
	return most
}

func is(c Cause) func(State) bool {
	return func(s State) bool { _, has := s.Has(c); return has }
}

func works(s State) bool { _, wrong := s.Grave(); return !wrong }

// A cable that is pulled is told within a second, though packets still leave, and so is
// that it is back, and for how long it was away.
func TestLinkLost(t *testing.T) {
	for _, spec := range []string{"e131 multicast interface eth9", "e131 multicast", "e131 192.168.1.20", "artnet 192.168.1.20 interface eth9"} {
		synctest.Test(t, func(t *testing.T) {
			f := &fakeWays{by: "eth9"}
			s := watched(t, spec, f)
			defer s.Close()
			s.Send([]Frame{frameOf(1, 1, 1)}, time.Now())
			time.Sleep(3 * time.Second)
			if st := s.Stats().State; !works(st) {
				t.Fatalf("%s: %+v", spec, st)
			}
			f.set("eth9", nil, map[string]string{"eth9": "no network on eth9: no cable is in"})
			isTold(t, s, time.Second, is(NoLink))
			if st := s.Stats().State; st.Works() || !strings.Contains(st.Faults[0].Text, "eth9") || st.Faults[0].Hint == "" {
				t.Errorf("%s: %+v", spec, st)
			}
			time.Sleep(4 * time.Second)
			f.set("eth9", nil, nil)
			isTold(t, s, time.Second, works)
			if st := s.Stats().State; st.Away < 4*time.Second || st.Away > 6*time.Second || time.Since(st.Back) > time.Second {
				t.Errorf("%s: away for %v until %v", spec, st.Away, st.Back)
			}
		})
	}
}

// watched is an output on a fake socket whose way is watched.
func watched(t *testing.T, spec string, w ways, questions ...*question) Sink {
	t.Helper()
	if strings.HasPrefix(spec, "artnet") {
		s, _ := testArt(t, spec)
		s.lookAfter(w, questions...)
		return s
	}
	s, _ := testE131(t, spec)
	s.lookAfter(w, questions...)
	return s
}

// When the cable is pulled, a system may send by another network, where no lamps are: what
// is wrong is the cable while that is out, and else the way.
func TestWayMoves(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &fakeWays{by: "eth9"}
		s := watched(t, "e131 192.168.1.20", f)
		defer s.Close()
		time.Sleep(time.Second)
		f.set("wlan9", nil, map[string]string{"eth9": "no network on eth9"})
		isTold(t, s, time.Second, is(NoLink))
		if is(Elsewhere)(s.Stats().State) {
			t.Error("both are told")
		}
		f.set("wlan9", nil, nil)
		isTold(t, s, time.Second, is(Elsewhere))
		f.set("", syscall.ENETUNREACH, nil)
		time.Sleep(time.Second)
		f.set("eth9", nil, nil)
		isTold(t, s, time.Second, works)
	})
}

// fakeQuestion is answered while there is somebody.
type fakeQuestion struct {
	question
	mu    sync.Mutex
	there bool
}

func newFakeQuestion(there bool, after func() time.Duration) *fakeQuestion {
	f := &fakeQuestion{there: there}
	var answers sync.WaitGroup
	f.ask = func() error {
		f.mu.Lock()
		defer f.mu.Unlock()
		if f.there {
			d := after()
			answers.Go(func() { time.Sleep(d); f.answered() })
		}
		return nil
	}
	f.end = answers.Wait
	return f
}

func (f *fakeQuestion) set(there bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.there = there
}

// A receiver that stops answering is told within five seconds, whenever it stops, and one
// that takes as long as nodes may to answer is never told.
func TestReceiverSilent(t *testing.T) {
	for seed := range uint64(20) {
		synctest.Test(t, func(t *testing.T) {
			random, delays := rand.New(rand.NewPCG(seed, 1)), rand.New(rand.NewPCG(seed, 2))
			q := newFakeQuestion(true, func() time.Duration { return time.Duration(delays.Int64N(int64(artnet.ReplyWithin))) })
			s := watched(t, "e131 192.168.1.20", &fakeWays{by: "eth9"}, &q.question)
			defer s.Close()
			for range 600 {
				time.Sleep(100 * time.Millisecond)
				if st := s.Stats().State; len(st.Faults) > 0 {
					t.Fatalf("a receiver that answers: %+v", st)
				}
			}
			time.Sleep(time.Duration(random.Int64N(int64(time.Second))))
			q.set(false)
			time.Sleep(artnet.ReplyWithin) // its last answers are on their way
			isTold(t, s, 5*time.Second, is(Silent))
			q.set(true)
			isTold(t, s, 5*time.Second, works)
		})
	}
	synctest.Test(t, func(t *testing.T) {
		q := newFakeQuestion(true, func() time.Duration { return time.Millisecond })
		s := watched(t, "artnet 192.168.1.20", &fakeWays{by: "eth9"}, &q.question)
		defer s.Close()
		time.Sleep(10 * time.Second)
		q.set(false)
		if d := isTold(t, s, 5*time.Second, is(Silent)); d < 3*time.Second {
			t.Errorf("told after %v: nodes have 3 s", d)
		}
	})
}

// A receiver that never answered may be one that never does: E1.31 asks for no answers, and
// Art-Net does.
func TestReceiverNeverAnswers(t *testing.T) {
	for spec, want := range map[string]Degree{"e131 192.168.1.20": Aside, "artnet 192.168.1.20": Partly} {
		synctest.Test(t, func(t *testing.T) {
			q := newFakeQuestion(false, nil)
			s := watched(t, spec, &fakeWays{by: "eth9"}, &q.question)
			defer s.Close()
			isTold(t, s, 5*time.Second, func(st State) bool { return len(st.Faults) == 1 && st.Faults[0].Degree == want })
		})
	}
	synctest.Test(t, func(t *testing.T) {
		s := watched(t, "e131 multicast", &fakeWays{by: "eth9"})
		defer s.Close()
		if f, ok := s.Stats().State.Has(Unknowable); !ok || f.Degree != Aside {
			t.Errorf("multicast: %+v", s.Stats().State)
		}
	})
}

// What the network sends back to earlier packets is told within a second, and is over when
// nothing comes back any more.
func TestSentBack(t *testing.T) {
	for err, want := range map[error]Cause{syscall.ECONNREFUSED: Refused, syscall.EHOSTUNREACH: NoWay} {
		synctest.Test(t, func(t *testing.T) {
			e, _ := testE131(t, "e131 192.168.1.20")
			q := newFakeQuestion(false, nil)
			e.lookAfter(&fakeWays{by: "eth9"}, &q.question)
			defer e.Close()
			time.Sleep(time.Second)
			for range 8 {
				e.watch.comesBack(&os.SyscallError{Syscall: "sendmmsg", Err: err})
				time.Sleep(time.Second) // the watch looks at this very instant: it takes nothing away for a moment
				if st := e.Stats().State; !is(want)(st) || st.Works() || len(st.Faults) > 1 {
					t.Errorf("%v: %+v", err, st)
				}
			}
			isTold(t, e, 5*time.Second, works)
		})
	}
}

// A node that answered polls and stops is told within five seconds, whenever it stops; one
// that uses all the time that the protocol gives it is not.
func TestNodeSilent(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	for seed := range uint64(10) {
		synctest.Test(t, func(t *testing.T) {
			s, f := testArt(t, "artnet nodes")
			defer s.Close()
			stop := make(chan struct{})
			var node, answers sync.WaitGroup
			node.Go(func() {
				delays := rand.New(rand.NewPCG(seed, 3))
				for {
					select {
					case <-stop:
						return
					default:
					}
					for _, p := range f.taken() {
						if op, _ := artnet.OpCodeOf(p.payload); op == artnet.OpPoll {
							delay := time.Duration(delays.Int64N(int64(time.Second))) // Art-Net 4: a random delay of up to 1 s
							answers.Go(func() {
								time.Sleep(delay)
								nodeReply(f, "192.168.1.30", "left", 0, 1)
							})
						}
					}
					time.Sleep(10 * time.Millisecond)
				}
			})
			for i := range 1200 { // 27 s
				s.Send([]Frame{frameOf(1, 2, byte(i))}, time.Now())
				time.Sleep(period)
				if st := s.Stats().State; len(st.Faults) > 0 {
					t.Fatalf("a node that answers: %+v", st)
				}
			}
			time.Sleep(time.Duration(random.Int64N(int64(3 * time.Second))))
			close(stop)
			node.Wait()
			answers.Wait()
			isTold(t, s, 5*time.Second, is(Silent))
			if st := s.Stats().State; st.Works() || !strings.Contains(st.Faults[0].Text, `node "left" 192.168.1.30 answered until`) {
				t.Errorf("%+v", st)
			}
			time.Sleep(20 * time.Second)
			if !is(Silent)(s.Stats().State) || !is(NoNode)(s.Stats().State) {
				t.Errorf("forgotten: %+v", s.Stats().State)
			}
			nodeReply(f, "192.168.1.30", "left", 0, 1)
			isTold(t, s, 3*time.Second, works)
		})
	}
}

// A device that was pulled is told with the first frame that it does not take, with what to
// do, and that it is back, and after how long.
func TestDeviceGone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &slow{}
		m := Mailbox(s)
		run(t, m, time.Second, still(frameOf(1, 1, 1)))
		synctest.Wait()
		s.fail = fmt.Errorf("universe 1 by widget: %w", fs.ErrClosed)
		run(t, m, 100*time.Millisecond, still(frameOf(1, 1, 1)))
		synctest.Wait()
		if f, ok := m.Stats().State.Has(Gone); !ok || f.Degree != Wholly || !strings.Contains(f.Hint, "plug it in") {
			t.Errorf("%+v", m.Stats().State)
		}
		s.fail = explain("/dev/ttyUSB0", fs.ErrNotExist)
		run(t, m, 4*time.Second, still(frameOf(1, 1, 1)))
		synctest.Wait()
		if st := m.Stats().State; len(st.Faults) != 1 || !strings.Contains(st.Faults[0].Text, "is it plugged in?") {
			t.Errorf("%+v", st)
		}
		s.fail = nil
		run(t, m, 4*time.Second, still(frameOf(1, 1, 1)))
		synctest.Wait()
		if st := m.Stats().State; len(st.Faults) > 0 || st.Away < 4*time.Second || st.Away > 8*time.Second {
			t.Errorf("%+v", st)
		}
		m.Close()
	})
}

// A sink that cannot keep up is told, one with a rate of its own is not: it is meant to
// be overtaken.
func TestSlow(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &slow{}
		m := Mailbox(s)
		run(t, m, 5*time.Second, still(frameOf(1, 1, 1)))
		synctest.Wait()
		s.takes = 60 * time.Millisecond
		run(t, m, 2*time.Second, still(frameOf(1, 1, 1)))
		synctest.Wait()
		if !is(Slow)(m.Stats().State) {
			t.Errorf("%+v", m.Stats())
		}
		time.Sleep(time.Second) // it has taken what it was given
		synctest.Wait()
		s.takes = 0
		run(t, m, 13*time.Second, still(frameOf(1, 1, 1)))
		synctest.Wait()
		if !works(m.Stats().State) {
			t.Errorf("it keeps up again: %+v", m.Stats())
		}
		m.Close()
		paced := Mailbox(&slow{pace: time.Second / 10})
		run(t, paced, 15*time.Second, still(frameOf(1, 1, 1)))
		synctest.Wait()
		if st := paced.Stats().State; !works(st) {
			t.Errorf("ten a second were asked for: %+v", st)
		}
		paced.Close()
	})
}

// A rival that ends is told as gone when its lists do not come any more.
func TestRivalGoes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, _ := testE131(t, "e131 multicast")
		e := &fakeEar{in: make(chan []byte), gone: make(chan struct{}), joined: map[netip.Addr]bool{}}
		s.listen(func() (ear, error) { return e, nil })
		s.Send([]Frame{frameOf(2, 1, 1)}, time.Now())
		rival := [16]byte{7}
		for range 5 { // its list and its data, every ten seconds
			list := sacn.Discovery{CID: rival, Source: "Stage right", Universes: []uint16{2}}
			e.in <- list.Append(nil)
			synctest.Wait()
			data := sacn.Data{CID: rival, Source: "Stage right", Priority: 150, Universe: 2, Slots: []byte{1}}
			e.in <- data.Append(nil)
			isTold(t, s, 2*time.Second, is(Rival))
			time.Sleep(9 * time.Second)
			if !is(Rival)(s.Stats().State) {
				t.Error("forgotten between two lists")
			}
		}
		isTold(t, s, 26*time.Second, works)
		s.Close()
	})
}

// What the errors of a system mean, by the manual pages connect(2), write(2) and ip(7).
func TestCauses(t *testing.T) {
	for _, c := range []struct {
		err  error
		want Cause
	}{
		{&fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}, Full},
		{&fs.PathError{Op: "write", Path: "x", Err: syscall.EROFS}, Full},
		{fmt.Errorf("send: %w", syscall.ENETUNREACH), NoWay},
		{syscall.EHOSTUNREACH, NoWay},
		{syscall.ECONNREFUSED, Refused},
		{syscall.ENOBUFS, Slow},
		{fs.ErrNotExist, Gone},
		{errors.New("something else"), Failed},
	} {
		if f := faultOf(c.err); f.Cause != c.want || f.Degree != Wholly || f.Hint == "" || f.Text != c.err.Error() {
			t.Errorf("%v: %+v, want %q", c.err, f, c.want)
		}
	}
}

// However many senders a hostile network invents, what is told stays small.
func TestFaultsBounded(t *testing.T) {
	var h health
	for i := range 1000 {
		h.set(Fault{Cause: Silent, Degree: Partly, Who: fmt.Sprint(i)})
	}
	if n := len(h.now().Faults); n != maxFaults {
		t.Errorf("%d faults", n)
	}
}

// A network that the system does not know is told with the first frame, and that it is back.
func TestNetworkLost(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testE131(t, "e131 multicast")
		d := Carry(s)
		run(t, d, time.Second, still(frameOf(1, 1, 1)))
		f.setFail(fmt.Errorf("sendmsg: %w", syscall.ENETUNREACH))
		run(t, d, time.Second, func(i int) []Frame { return []Frame{frameOf(1, 1, byte(i))} })
		if st := d.Stats().State; !is(NoWay)(st) || st.Works() {
			t.Errorf("%+v", st)
		}
		f.setFail(nil)
		run(t, d, 5*time.Second, func(i int) []Frame { return []Frame{frameOf(1, 1, byte(i))} })
		if st := d.Stats().State; !works(st) || st.Away < 900*time.Millisecond || st.Away > 5*time.Second {
			t.Errorf("%+v", st)
		}
		d.Close()
	})
}

// An output whose interface or device is not there when a run begins is told at once, and
// taken up when it comes; a line that does not read is refused.
func TestAwait(t *testing.T) {
	if _, err := Await("e131 everywhere", Options{}); err == nil {
		t.Error("a line that does not read")
	}
	for _, spec := range []string{"e131 multicast interface none9", "artnet nodes interface none9", "widget /dev/none9", "serial /dev/none9", "file /none9/x"} {
		s, err := Await(spec, Options{})
		if err != nil {
			t.Fatal(err)
		}
		var there atomic.Bool
		f := newFakeSocket()
		a := s.(*awaited)
		a.open = func() (Sink, error) { // in place of a device that is plugged in
			if !there.Load() {
				return nil, fs.ErrNotExist
			}
			return newE131(testSpec(t, "e131 multicast"), Options{}.filled(), func() (socket, error) { return f, nil })
		}
		synctest.Test(t, func(t *testing.T) {
			c := Carry(a)
			run(t, c, time.Second, still(frameOf(1, 1, 7)))
			if st := c.Stats().State; st.Works() || st.Faults[0].Hint == "" || c.Name() == "" {
				t.Errorf("%s: %q %+v", spec, c.Name(), st)
			}
			time.Sleep(10 * time.Second)
			there.Store(true)
			run(t, c, 6*time.Second, still(frameOf(1, 1, 7)))
			if st := c.Stats().State; !works(st) || st.Away < 9*time.Second {
				t.Errorf("%s: it is there, and %+v", spec, st)
			}
			c.Close()
			if data, _ := only(t, f.taken()); len(data) == 0 || data[0].Slots[0] != 7 {
				t.Errorf("%s: nothing arrives", spec)
			}
		})
	}
}

// While the cable is out nobody is said to be silent, nor just after: it is the cable. Who
// stays silent then is told.
func TestSilentBehindTheCable(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &fakeWays{by: "eth9"}
		q := newFakeQuestion(true, func() time.Duration { return time.Millisecond })
		s := watched(t, "e131 192.168.1.20", f, &q.question)
		defer s.Close()
		time.Sleep(5 * time.Second)
		f.set("eth9", nil, map[string]string{"eth9": "no network on eth9"})
		q.set(false)
		time.Sleep(20 * time.Second)
		if st := s.Stats().State; is(Silent)(st) || !is(NoLink)(st) {
			t.Errorf("%+v", st)
		}
		f.set("eth9", nil, nil)
		time.Sleep(2 * time.Second)
		if st := s.Stats().State; !works(st) {
			t.Errorf("the cable is back, and %+v", st)
		}
		isTold(t, s, 3*time.Second, is(Silent))
	})
}

// small is a disk with so much room.
type small struct {
	file *os.File
	room atomic.Int64
}

func (s *small) Write(b []byte) (int, error) {
	n := min(int64(len(b)), max(0, s.room.Load()))
	s.room.Add(-n)
	written, err := s.file.Write(b[:n])
	if err == nil && n < int64(len(b)) {
		err = syscall.ENOSPC
	}
	return written, err
}

// A capture on a full disk is told, and goes on whole when there is room again; one that
// ends before keeps what is on the disk, and says so.
func TestCaptureOnFullDisk(t *testing.T) {
	for _, again := range []bool{true, false} {
		dir := t.TempDir()
		s, err := newFile(testSpec(t, "file x"), dir+"/x")
		if err != nil {
			t.Fatal(err)
		}
		d := &small{file: s.file}
		d.room.Store(3000)
		s.disk.w = d
		synctest.Test(t, func(t *testing.T) {
			m := Mailbox(s)
			values := func(i int) []Frame {
				f := frameOf(1, 512, byte(i))
				for j := range f.Slots {
					f.Slots[j] = byte(i * i * (j + 7) >> 3)
				}
				return []Frame{f}
			}
			run(t, m, 20*time.Second, values)
			synctest.Wait()
			if f, ok := m.Stats().State.Has(Full); !ok || !strings.Contains(f.Text, "no space left") || f.Hint == "" {
				t.Errorf("%+v", m.Stats().State)
			}
			if again {
				d.room.Store(1 << 30)
				run(t, m, 2*time.Second, values)
				synctest.Wait()
				if st := m.Stats().State; !works(st) {
					t.Errorf("there is room, and %+v", st)
				}
			}
			if err := m.Close(); (err == nil) != again {
				t.Errorf("with room again %v: %v", again, err)
			}
		})
		if !again {
			if _, err := os.Stat(dir + "/x.part"); err != nil {
				t.Error(err)
			}
			continue
		}
		file, err := os.Open(dir + "/x")
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		info, _ := file.Stat()
		c, err := OpenCapture(file, info.Size())
		if err != nil || c.Len() != 22*44 {
			t.Errorf("%v, %v", c, err)
		}
	}
}
