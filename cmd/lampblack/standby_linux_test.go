package main

import (
	"bufio"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"golang.org/x/net/ipv4"

	"lampblack/show"
)

// receive is a lamp that takes universe 1 as ANSI E1.31-2018 has it: it follows the source
// with the highest priority (6.2.3), and forgets one that says that it is over (6.2.6) or of
// which nothing comes for 2.5 s (6.7.1). It prints what it follows.
func init() { receives = receive }

func receive() {
	ifi, err := net.InterfaceByName("eth0")
	if err != nil {
		fmt.Println(err)
		return
	}
	conn, err := net.ListenPacket("udp4", ":5568")
	if err != nil {
		fmt.Println(err)
		return
	}
	p := ipv4.NewPacketConn(conn)
	if err := p.JoinGroup(ifi, &net.UDPAddr{IP: net.IPv4(239, 255, 0, 1)}); err != nil {
		fmt.Println(err)
		return
	}
	type source struct {
		priority byte
		came     time.Time
	}
	sources := map[[16]byte]source{}
	b := make([]byte, 2048)
	for {
		_ = conn.SetReadDeadline(time.Now().Add(20 * time.Millisecond))
		n, _, err := conn.ReadFrom(b)
		now := time.Now()
		for cid, s := range sources {
			if now.Sub(s.came) > 2500*time.Millisecond {
				delete(sources, cid)
			}
		}
		if err != nil || n < 638 || binary.BigEndian.Uint32(b[18:]) != 4 || b[125] != 0 {
			continue
		}
		cid, priority := [16]byte(b[22:38]), b[108]
		if b[112]&0x40 != 0 {
			delete(sources, cid)
			continue
		}
		sources[cid] = source{priority, now}
		most := byte(0)
		for _, s := range sources {
			most = max(most, s.priority)
		}
		if priority == most {
			fmt.Println(now.UnixNano(), priority, hex.EncodeToString(b[126:138]))
		}
	}
}

// lampsFollow is a receiver in a namespace, and what it followed.
type lampsFollow struct {
	mu  sync.Mutex
	all []seen
}

type seen struct {
	datagram
	priority int
}

// space runs commands in network namespaces on one switch.
type spaces struct {
	t      *testing.T
	prefix string
}

func newSpaces(t *testing.T, names ...string) *spaces {
	t.Helper()
	if _, err := exec.LookPath("ip"); err != nil || os.Getuid() != 0 {
		t.Skip("outside check left out: needs root and ip (Debian package iproute2)")
	}
	s := &spaces{t, fmt.Sprintf("ls%d-", os.Getpid())}
	for i, n := range append([]string{"switch"}, names...) {
		if out, err := exec.Command("ip", "netns", "add", s.prefix+n).CombinedOutput(); err != nil {
			t.Skipf("outside check left out: needs network namespaces (%s)", out)
		}
		t.Cleanup(func() { _ = exec.Command("ip", "netns", "del", s.prefix+n).Run() })
		s.ip(n, "link", "set", "lo", "up")
		if i == 0 {
			s.ip("switch", "link", "add", "br0", "type", "bridge", "mcast_snooping", "0")
			s.ip("switch", "link", "set", "br0", "up")
			continue
		}
		port := fmt.Sprintf("p%d", i)
		s.ip("switch", "link", "add", port, "type", "veth", "peer", "name", "eth0", "netns", s.prefix+n)
		s.ip("switch", "link", "set", port, "master", "br0", "up")
		s.ip(n, "addr", "add", fmt.Sprintf("10.78.0.%d/24", i), "dev", "eth0")
		s.ip(n, "link", "set", "eth0", "up")
		s.ip(n, "route", "add", "224.0.0.0/4", "dev", "eth0")
	}
	return s
}

func (s *spaces) ip(space string, args ...string) {
	s.t.Helper()
	if out, err := exec.Command("ip", append([]string{"-n", s.prefix + space}, args...)...).CombinedOutput(); err != nil {
		s.t.Fatalf("ip %v: %v: %s", args, err, out)
	}
}

func (s *spaces) start(space string, words *heardWords, env []string, args ...string) *process {
	s.t.Helper()
	c := exec.Command("ip", append([]string{"netns", "exec", s.prefix + space, os.Args[0]}, args...)...)
	c.Env = append(append(os.Environ(), "PULSE_SERVER=unix:/no-sound"), env...)
	c.Stdout, c.Stderr = words, words
	if err := c.Start(); err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = c.Process.Kill(); _ = c.Wait() })
	return &process{c, s.t}
}

// listenIn follows as a receiver in a namespace.
func (s *spaces) listenIn(space string) *lampsFollow {
	s.t.Helper()
	c := exec.Command("ip", "netns", "exec", s.prefix+space, os.Args[0])
	c.Env = append(os.Environ(), "LAMPBLACK_TEST_ROLE=receiver")
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = c.Process.Kill(); _ = c.Wait() })
	l := &lampsFollow{}
	go func() {
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			f := strings.Fields(lines.Text())
			if len(f) != 3 {
				continue
			}
			at, _ := strconv.ParseInt(f[0], 10, 64)
			priority, _ := strconv.Atoi(f[1])
			slots, _ := hex.DecodeString(f[2])
			x := seen{priority: priority}
			x.came = time.Unix(0, at)
			copy(x.slots[:], slots)
			l.mu.Lock()
			l.all = append(l.all, x)
			l.mu.Unlock()
		}
	}()
	return l
}

func (l *lampsFollow) since(from time.Time) []seen {
	l.mu.Lock()
	defer l.mu.Unlock()
	i := len(l.all)
	for i > 0 && l.all[i-1].came.After(from) {
		i--
	}
	return slices.Clone(l.all[i:])
}

// await waits for light of a priority after an instant that is that of its second.
func (l *lampsFollow) await(t *testing.T, from time.Time, priority int, s *show.Show, begun time.Time, words string) seen {
	t.Helper()
	for began := time.Now(); time.Since(began) < 30*time.Second; time.Sleep(5 * time.Millisecond) {
		for _, x := range l.since(from) {
			if x.priority != priority {
				continue
			}
			if _, ok := lightsPlace(s, &x.datagram, x.came.Sub(begun), time.Second); ok {
				return x
			}
		}
	}
	t.Fatalf("no light of priority %d in its second; %s", priority, words)
	return seen{}
}

// A machine that stands by has the lamps within 2.6 s whatever becomes of the main one, with
// the light of that second; and gives them back.
func TestStandby(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: network namespaces")
	}
	dir, shows := ticking(t)
	s := newSpaces(t, "main", "standby", "lamps")
	l := s.listenIn("lamps")
	rounds := 4
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rounds = 50
	}
	rng := rand.New(rand.NewPCG(20260314, 11))
	scratch := t.TempDir()
	env := func(who string) []string {
		return []string{"LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_TEST_PATIENT=1", "LAMPBLACK_CACHE=" + filepath.Join(scratch, who)}
	}
	args := []string{"run", dir, "--outputs", "e131 multicast interface eth0", "--pair", "a word of two machines", "--journal"}
	words := &heardWords{}
	begin := func() *process {
		return s.start("main", words, env("main"), append(args, filepath.Join(scratch, fmt.Sprintf("main%d.jsonl", time.Now().UnixNano())))...)
	}
	main := begin()
	var begun time.Time
	main.until("heard", func() bool {
		if all := l.since(time.Time{}); len(all) > 0 {
			begun = all[0].came
		}
		return !begun.IsZero()
	})
	others := &heardWords{}
	s.start("standby", others, env("standby"), append(args, filepath.Join(scratch, "standby.jsonl"), "--standby")...)
	said := func() string { return words.String() + "; standby: " + others.String() }
	var gaps, backs []time.Duration
	names := []string{"killed", "cable", "slow", "run killed"}
	for i := range rounds {
		time.Sleep(2500*time.Millisecond + time.Duration(rng.IntN(1000))*time.Millisecond) // both hear each other
		fault := names[i%len(names)]
		run := main.run()
		at := time.Now()
		last := func() time.Time { // the last light of the main machine
			var out time.Time
			for _, x := range l.since(at.Add(-2 * time.Second)) {
				if x.priority == 100 {
					out = x.came
				}
			}
			return out
		}
		switch fault {
		case "killed":
			_ = main.Process.Kill()
			_ = syscall.Kill(run, syscall.SIGKILL)
			_ = main.Wait()
		case "cable":
			s.ip("switch", "link", "set", "p1", "down")
		case "slow":
			_ = syscall.Kill(run, syscall.SIGSTOP)
		case "run killed": // it is back before anybody else must help
			_ = syscall.Kill(run, syscall.SIGKILL)
			x := l.await(t, at.Add(500*time.Millisecond), 100, shows, begun, said())
			gaps = append(gaps, x.came.Sub(at))
			continue
		}
		x := l.await(t, at, 99, shows, begun, fmt.Sprintf("round %d, %s; %s", i, fault, said()))
		gap := x.came.Sub(last())
		if gap > 2600*time.Millisecond {
			t.Errorf("round %d, %s: nobody had the lamps for %v", i, fault, gap)
		}
		gaps = append(gaps, gap)
		time.Sleep(time.Duration(rng.IntN(1500)) * time.Millisecond)
		from := time.Now()
		switch fault {
		case "killed":
			main = begin()
		case "cable":
			s.ip("switch", "link", "set", "p1", "up")
		case "slow":
			_ = syscall.Kill(run, syscall.SIGCONT)
		}
		y := l.await(t, from, 100, shows, begun, fmt.Sprintf("round %d, back after %s; %s", i, fault, said()))
		backs = append(backs, y.came.Sub(from))
	}
	slices.Sort(gaps)
	slices.Sort(backs)
	t.Logf("%d rounds: lamps without a sender for %v (median), %v (worst); back after %v (median), %v (worst)", rounds,
		gaps[len(gaps)/2].Round(time.Millisecond), gaps[len(gaps)-1].Round(time.Millisecond), backs[len(backs)/2].Round(time.Millisecond), backs[len(backs)-1].Round(time.Millisecond))
}

// A place with hours, before it opens: the machine that stands by has the look of that hour, before
// and after it goes on alone; so has the main one when it is back. With LAMPBLACK_LONG=1 there is no
// way back: the place opens while it is alone, and the show begins as the main one would have it.
func TestStandbyKeepsHours(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: network namespaces")
	}
	dir, shows := ticking(t)
	opens, long := time.Now().UTC().Add(2*time.Hour), os.Getenv("LAMPBLACK_LONG") != ""
	if long {
		opens = time.Now().UTC().Truncate(time.Minute).Add(2 * time.Minute)
	}
	text := fmt.Sprintf("time zone: UTC\nhours: {every day: %s to %s}\nstart-up: {look: l3, before opening: 3 h}\ntriggers asleep outside hours: yes\n", opens.Format("15:04"), opens.Add(time.Hour).Format("15:04"))
	if err := os.WriteFile(filepath.Join(dir, "calendar.yaml"), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	look := shows.NewFrame()
	copy(look.Levels, shows.Looks[shows.Score.Looks.Index("l3")].Levels)
	shows.Encode(look)
	want := look.Universes[0].Slots[:12]
	s := newSpaces(t, "main", "standby", "lamps")
	l := s.listenIn("lamps")
	scratch, words := t.TempDir(), &heardWords{}
	begin := func(who string, more ...string) *process {
		args := []string{"run", dir, "--outputs", "e131 multicast interface eth0", "--pair", "a word of two machines", "--journal", filepath.Join(scratch, who+".jsonl")}
		return s.start(who, words, []string{"LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_CACHE=" + filepath.Join(scratch, "cache "+who)}, append(args, more...)...)
	}
	// stands waits for the look of a priority, and then for no other light of it.
	stands := func(p *process, priority int, from time.Time) {
		t.Helper()
		p.until(fmt.Sprintf("heard with priority %d; %s", priority, words), func() bool {
			return slices.ContainsFunc(l.since(from), func(x seen) bool { return x.priority == priority && like(x.slots[:12], want) })
		})
		time.Sleep(time.Second)
		for _, x := range l.since(from) {
			if x.priority == priority && !like(x.slots[:12], want) {
				t.Errorf("with priority %d there is %v, want %v", priority, x.slots[:12], want)
				return
			}
		}
	}
	main := begin("main")
	stands(main, 100, time.Time{})
	other := begin("standby", "--standby")
	other.until("standing by", func() bool { return strings.Contains(words.String(), "standing by for") })
	time.Sleep(time.Second) // both hear each other
	killed := time.Now()
	run := main.run()
	_ = main.Process.Kill()
	_ = syscall.Kill(run, syscall.SIGKILL)
	_ = main.Wait()
	stands(other, 99, killed)
	other.until("alone", func() bool { return strings.Contains(words.String(), "goes on alone") })
	if long {
		time.Sleep(time.Until(opens.Add(4 * time.Second))) // the look goes within 3 s
		l.await(t, time.Now(), 99, shows, opens, words.String())
		return
	}
	from := time.Now()
	main = begin("main")
	stands(main, 100, from)
	other.until("standing by again", func() bool { return strings.Contains(words.String(), "stands by again") })
	stands(main, 100, from)
}
