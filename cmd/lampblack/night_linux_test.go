package main

import (
	"encoding/binary"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	ossignal "os/signal"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"lampblack/evening"
	"lampblack/show"
)

// datagram is what came of a stream of ANSI E1.31.
type datagram struct {
	came  time.Time
	over  bool // Stream_Terminated (6.2.6)
	seq   byte
	slots [512]byte
}

// recorder keeps every packet of universe 1 that a run sends to this machine.
type recorder struct {
	conn net.PacketConn
	mu   sync.Mutex
	all  []datagram
}

func record(t *testing.T) *recorder {
	t.Helper()
	c, err := net.ListenPacket("udp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	r := &recorder{conn: c}
	t.Cleanup(func() { c.Close() })
	go func() {
		b := make([]byte, 2048)
		for {
			n, _, err := c.ReadFrom(b)
			if err != nil {
				return
			}
			if n < 638 || binary.BigEndian.Uint32(b[18:]) != 4 || binary.BigEndian.Uint16(b[113:]) != 1 || b[125] != 0 {
				continue
			}
			// Octet 111 is the sequence number, and bit 6 of 112 says that the stream ends (table 6-1).
			p := datagram{came: time.Now(), seq: b[111], over: b[112]&0x40 != 0, slots: [512]byte(b[126:638])}
			r.mu.Lock()
			r.all = append(r.all, p)
			r.mu.Unlock()
		}
	}()
	return r
}

func (r *recorder) output() string {
	_, port, _ := net.SplitHostPort(r.conn.LocalAddr().String())
	return "e131 127.0.0.1 port " + port
}

// since are the packets after an instant.
func (r *recorder) since(from time.Time) []datagram {
	r.mu.Lock()
	defer r.mu.Unlock()
	i := len(r.all)
	for i > 0 && r.all[i-1].came.After(from) {
		i--
	}
	return slices.Clone(r.all[i:])
}

// await waits until something came after an instant that fits.
func (r *recorder) await(t *testing.T, from time.Time, what string, fits func(*datagram) bool) datagram {
	t.Helper()
	for began := time.Now(); time.Since(began) < time.Minute; time.Sleep(2 * time.Millisecond) {
		for _, p := range r.since(from) {
			if fits(&p) {
				return p
			}
		}
	}
	t.Fatalf("nothing came that is %s", what)
	return datagram{}
}

// ticking writes a show whose light is another at each moment: looks that fade into each other
// for longer than a test lasts.
func ticking(t *testing.T) (dir string, s *show.Show) {
	t.Helper()
	dir = t.TempDir()
	colours := []string{"red", "green", "blue", "orange", "white"}
	var rig, score strings.Builder
	rig.WriteString("units:\n")
	for i := range 4 {
		fmt.Fprintf(&rig, "  - {unit: %d, type: colour par, address: %d}\n", i+1, 1+3*i)
	}
	score.WriteString("looks:\n  up: {colour: white, level: 100 %, purpose: lights up}\n")
	for i := range 20 {
		fmt.Fprintf(&score, "  l%d: {units: [%d, %d], colour: %s, level: %d %%}\n", i, 1+i%4, 1+(i+1+i/4%3)%4, colours[i%5], 20+i*37%80)
	}
	score.WriteString("cues:\n")
	for i := range 160 {
		fmt.Fprintf(&score, "  - {cue: %d, at: %d:%02d, look: l%d, up: 5 s}\n", i+1, i*5/60, i*5%60, i*7%20)
	}
	for name, text := range map[string]string{"rig.yaml": rig.String(), "score.yaml": score.String(), "show.yaml": "title: Ticks\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	l, err := solve(t.Context(), io.Discard, dir, reading{})
	if err != nil || l.show == nil {
		t.Fatalf("%v %v", err, l.findings)
	}
	l.close()
	return dir, l.show
}

// aNight starts a run with a keeper, as a process of its own.
func aNight(t *testing.T, cache string, words io.Writer, attr *syscall.SysProcAttr, env []string, args ...string) *process {
	t.Helper()
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), "LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_CACHE="+cache, "PULSE_SERVER=unix:/no-sound")
	c.Env = append(c.Env, env...)
	c.Stdout, c.Stderr, c.SysProcAttr = words, words, attr
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Process.Kill() })
	return &process{c, t}
}

// run is the process that computes.
func (p *process) run() int {
	p.t.Helper()
	var kids []int
	p.until("with a run", func() bool { kids = p.children(); return len(kids) > 0 })
	return kids[0]
}

// lightsPlace is how far from a time the show's light is what a datagram has: the least of those within
// reach, in steps of a frame.
func lightsPlace(s *show.Show, p *datagram, near, reach time.Duration) (off time.Duration, ok bool) {
	f := s.NewFrame()
	for step := time.Duration(0); step <= reach; step += 10 * time.Millisecond {
		for _, at := range []time.Duration{near - step, near + step} {
			if at < 0 {
				continue
			}
			s.At(f, at)
			if like(f.Universes[0].Slots[:12], p.slots[:12]) {
				return at - near, true
			}
		}
	}
	return 0, false
}

// like tells whether slots are those of an instant not half a frame away.
func like(a, b []byte) bool {
	for i := range a {
		if d := int(a[i]) - int(b[i]); d < -2 || d > 2 {
			return false
		}
	}
	return true
}

// A run that is killed at any moment is back within the second, where it would be had it gone
// on; what it had written down is whole.
func TestKilledRunIsBack(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	dir, s := ticking(t)
	times := 4
	if os.Getenv("LAMPBLACK_LONG") != "" {
		times = 200
	}
	rng := rand.New(rand.NewPCG(20260314, 14))
	up := s.NewFrame()
	s.LightsUp(up, 1)
	lights := func(q *datagram) bool { return like(q.slots[:12], up.Universes[0].Slots[:12]) } // up: on a busy machine the second may be over
	late := 0
	rec, words := record(t), &heardWords{}
	cache := t.TempDir()
	journal := filepath.Join(t.TempDir(), "night.jsonl")
	p := aNight(t, cache, words, nil, []string{"LAMPBLACK_TEST_PATIENT=1"}, "run", dir, "--outputs", rec.output(), "--journal", journal)
	lit := func(p *datagram) bool { return !p.over }
	start := rec.await(t, time.Time{}, "light", lit).came
	var gaps, offs []time.Duration
	begun := start // of the show: its first frame is of 0:00
	for i := range times {
		time.Sleep(200*time.Millisecond + time.Duration(rng.IntN(1800))*time.Millisecond)
		run := p.run()
		killed := time.Now()
		if err := syscall.Kill(run, syscall.SIGKILL); err != nil {
			t.Fatalf("kill %d: %v; %s", i, err, words)
		}
		p.until("dead", func() bool { return syscall.Kill(run, 0) != nil })
		time.Sleep(100 * time.Millisecond) // what was on its way is there, and from here on the light stands
		from := time.Now()
		var stood [512]byte
		for _, q := range rec.since(start) {
			if q.came.Before(from) {
				stood = q.slots
			}
		}
		back := rec.await(t, from, fmt.Sprintf("light of the show after kill %d; %s", i, words), func(q *datagram) bool { return q.slots != stood && !lights(q) })
		if slices.ContainsFunc(rec.since(from), func(q datagram) bool { return lights(&q) }) {
			late++
		}
		if _, shows := lightsPlace(s, &back, back.came.Sub(begun), time.Second); !shows {
			t.Errorf("after kill %d the light is that of no moment within a second: %v", i, back.slots[:12])
		}
		gap := back.came.Sub(killed)
		off, _ := lightsPlace(s, &back, back.came.Sub(begun), time.Second)
		gaps, offs = append(gaps, gap), append(offs, max(off, -off))
	}
	_ = p.ends(os.Interrupt)
	slices.Sort(gaps)
	slices.Sort(offs)
	t.Logf("%d times, %d of them after lights up: back after %v (median), %v (worst); off by %v (median), %v (worst)", times, late, gaps[times/2].Round(time.Millisecond), gaps[times-1].Round(time.Millisecond), offs[times/2], offs[times-1])
	if offs[times-1] > time.Second {
		t.Errorf("once it was %v off", offs[times-1])
	}
	file, err := os.Open(journal)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	resumed := 0
	if err := evening.Read(file, "Ticks", func(e evening.Event) {
		if e.Kind == evening.Resumed {
			resumed++
		}
	}); err != nil || resumed != times {
		t.Errorf("the journal has %d of %d: %v", resumed, times, err)
	}
}

// Every way in which a run may end that nobody planned: what the wire carries at the end, or
// that the run goes on.
func TestUnplannedEndings(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	dir, s := ticking(t)
	up := s.NewFrame()
	s.At(up, 0)
	s.LightsUp(up, 1)
	type ending struct {
		name string
		args []string
		do   func(t *testing.T, p *process, tty *os.File)
		tty  bool
		back bool // the show goes on
		goes bool // and by the same process
		mute bool // nothing comes any more, and nothing can say so
	}
	signal := func(s syscall.Signal) func(*testing.T, *process, *os.File) {
		return func(_ *testing.T, p *process, _ *os.File) { _ = p.Process.Signal(s) }
	}
	child := func(s syscall.Signal) func(*testing.T, *process, *os.File) {
		return func(_ *testing.T, p *process, _ *os.File) { _ = syscall.Kill(p.run(), s) }
	}
	typed := func(text string) func(*testing.T, *process, *os.File) {
		return func(_ *testing.T, _ *process, tty *os.File) { _, _ = tty.WriteString(text) }
	}
	cache := t.TempDir()
	for _, e := range []ending{
		{name: "interrupted", do: signal(syscall.SIGINT)},
		{name: "terminated", do: signal(syscall.SIGTERM)},
		{name: "hung up", do: signal(syscall.SIGHUP)},
		{name: "told to quit", do: signal(syscall.SIGQUIT)},
		{name: "told to quit with all that it started", do: func(_ *testing.T, p *process, _ *os.File) {
			_ = syscall.Kill(-p.Process.Pid, syscall.SIGQUIT)
		}},
		{name: "interrupted twice", do: func(t *testing.T, p *process, _ *os.File) {
			_ = p.Process.Signal(syscall.SIGINT)
			_ = p.Process.Signal(syscall.SIGINT)
		}},
		{name: "ctrl-c", tty: true, do: typed("\x03")},
		{name: "q", tty: true, do: typed("q")},
		{name: "the terminal is closed", tty: true, do: func(_ *testing.T, _ *process, tty *os.File) { _ = tty.Close() }},
		{name: "its time is over", args: []string{"--for", "1s"}, do: func(*testing.T, *process, *os.File) {}},
		{name: "the run is killed", do: child(syscall.SIGKILL), back: true},
		{name: "the run is asked for its goroutines", do: child(syscall.SIGQUIT), back: true, goes: true},
		{name: "the run aborts", do: child(syscall.SIGABRT), back: true},
		{name: "the run has a fault of memory", do: child(syscall.SIGSEGV), back: true},
		{name: "the run stands still", do: child(syscall.SIGSTOP), back: true},
		{name: "the run is interrupted by itself", do: child(syscall.SIGINT), back: true, goes: true},
		{name: "the run is killed four times", do: func(t *testing.T, p *process, _ *os.File) {
			for range 4 {
				run := p.run()
				_ = syscall.Kill(run, syscall.SIGKILL)
				p.until("another run, or over", func() bool {
					kids := p.children()
					state, _ := p.state()
					return state == "Z" || len(kids) > 0 && kids[0] != run
				})
				time.Sleep(1500 * time.Millisecond)
			}
		}},
		{name: "the keeper is killed", do: signal(syscall.SIGKILL), mute: true},
	} {
		t.Run(e.name, func(t *testing.T) {
			if e.name == "hung up" && ossignal.Ignored(syscall.SIGHUP) {
				t.Skip("left out: whoever started the tests has them ignore it, as nohup does, and so does a run")
			}
			rec, words := record(t), &heardWords{}
			attr := &syscall.SysProcAttr{Setsid: true}
			var tty *os.File
			args := append([]string{"run", dir, "--outputs", rec.output(), "--journal", filepath.Join(t.TempDir(), "night.jsonl")}, e.args...)
			var p *process
			if e.tty {
				p, tty = onTerminal(t, cache, args...)
			} else {
				p = aNight(t, cache, words, attr, nil, args...)
			}
			rec.await(t, time.Time{}, "light", func(q *datagram) bool { return true })
			time.Sleep(300 * time.Millisecond)
			run := p.run()
			at := time.Now()
			e.do(t, p, tty)
			if e.back {
				p.until("a new run", func() bool {
					kids := p.children()
					return len(kids) > 0 && kids[0] != run || e.goes
				})
				rec.await(t, time.Now(), "light of a run that goes on", func(q *datagram) bool { return !q.over && !like(q.slots[:12], up.Universes[0].Slots[:12]) })
				if kids := p.children(); e.goes && (len(kids) == 0 || kids[0] != run) {
					t.Errorf("the run is another: %s", words)
				}
				at = time.Now()
				_ = p.Process.Signal(syscall.SIGTERM)
			}
			if e.mute {
				_ = p.Wait()
				p.until("silent", func() bool { return syscall.Kill(run, 0) != nil })
				if since := rec.since(time.Now().Add(-50 * time.Millisecond)); len(since) > 0 {
					t.Errorf("without a keeper %d packets came", len(since))
				}
				return
			}
			if err := p.Wait(); err != nil && p.ProcessState.ExitCode() != exitFailed {
				t.Errorf("%v: %v", p.ProcessState, words)
			}
			if e.name == "the run is asked for its goroutines" && !strings.Contains(words.String(), "goroutine ") {
				t.Errorf("it says %s", words)
			}
			var over, last []datagram
			for began := time.Now(); len(over) < 3 && time.Since(began) < 10*time.Second; time.Sleep(5 * time.Millisecond) {
				over, last = nil, nil // what has left may not have been read yet
				for _, q := range rec.since(at) {
					if q.over {
						over = append(over, q)
					} else {
						last = append(last, q)
					}
				}
			}
			if len(over) != 3 || len(last) == 0 {
				t.Fatalf("%d packets that say the end, after %d with light; %s", len(over), len(last), words)
			}
			if q := last[len(last)-1]; !like(q.slots[:12], up.Universes[0].Slots[:12]) {
				t.Errorf("the last light is %v, not lights up", q.slots[:12])
			}
			for i := 1; i < len(over); i++ {
				if over[i].seq != over[i-1].seq+1 {
					t.Errorf("sequence numbers %d, %d", over[i-1].seq, over[i].seq)
				}
			}
		})
	}
}

// onTerminal starts a run on a terminal of its own, and returns the other end of that.
func onTerminal(t *testing.T, cache string, args ...string) (*process, *os.File) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("needs pseudo-terminals: %v", err)
	}
	if err := unix.IoctlSetPointerInt(int(master.Fd()), unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	number, err := unix.IoctlGetInt(int(master.Fd()), unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	slave, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer slave.Close()
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), "LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_CACHE="+cache, "PULSE_SERVER=unix:/no-sound")
	c.Stdin, c.Stdout, c.Stderr = slave, slave, slave
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { _, _ = io.Copy(io.Discard, master) }()
	t.Cleanup(func() { _ = c.Process.Kill(); master.Close() })
	return &process{c, t}, master
}
