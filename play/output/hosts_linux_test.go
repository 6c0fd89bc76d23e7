package output_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net"
	"os"
	"os/exec"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"lampblack/play/beacon"
	"lampblack/play/output"
	"lampblack/wire/artnet"
	"lampblack/wire/sacn"

	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"
)

// Tests with several hosts: network namespaces on a bridge, and in each this
// same test binary in one of the roles below.

// hosts is a network of namespaces, each with one interface eth0.
type hosts struct {
	t      *testing.T
	prefix string
	names  []string
}

// newHosts makes hosts 10.77.0.1, .2 and so on, fd77::1 and so on. The bridge
// looks into IGMP, so that a group reaches only those who joined it.
func newHosts(t *testing.T, names ...string) *hosts {
	t.Helper()
	if testing.Short() {
		t.Skip("network namespaces left out: -short")
	}
	if _, err := exec.LookPath("ip"); err != nil || os.Getuid() != 0 {
		t.Skip("outside check left out: needs root and ip (Debian package iproute2)")
	}
	h := &hosts{t: t, prefix: fmt.Sprintf("lb%d-%d-", os.Getpid(), networks.Add(1)), names: names}
	for _, n := range append([]string{"switch"}, names...) {
		if out, err := exec.Command("ip", "netns", "add", h.space(n)).CombinedOutput(); err != nil {
			t.Skipf("outside check left out: needs network namespaces (%s)", out)
		}
		t.Cleanup(func() { exec.Command("ip", "netns", "del", h.space(n)).Run() })
		h.ip("-n", h.space(n), "link", "set", "lo", "up")
	}
	h.ip("-n", h.space("switch"), "link", "add", "br0", "type", "bridge", "mcast_snooping", "1", "mcast_query_response_interval", "10")
	h.ip("-n", h.space("switch"), "addr", "add", "fe80::77/64", "dev", "br0", "nodad")
	h.ip("-n", h.space("switch"), "link", "set", "br0", "up")
	for i := range names {
		h.plug(i)
	}
	// Last, for the bridge floods everything until it is a querier with an
	// address and the interval that stood then has passed.
	h.ip("-n", h.space("switch"), "link", "set", "br0", "type", "bridge", "mcast_querier", "1")
	return h
}

// networks counts the networks of this process: they run side by side.
var networks atomic.Int64

func (h *hosts) space(name string) string { return h.prefix + name }

func (h *hosts) ip(args ...string) {
	h.t.Helper()
	if out, err := exec.Command("ip", args...).CombinedOutput(); err != nil {
		h.t.Fatalf("ip %s: %v: %s", strings.Join(args, " "), err, out)
	}
}

// plug gives host i its interface.
func (h *hosts) plug(i int) {
	n, port, sw := h.names[i], fmt.Sprintf("p%d", i), h.space("switch")
	h.ip("-n", sw, "link", "add", port, "type", "veth", "peer", "name", "eth0", "netns", h.space(n))
	h.ip("-n", sw, "link", "set", port, "master", "br0", "up")
	h.ip("-n", sw, "link", "set", port, "type", "bridge_slave", "mcast_flood", "off") // nobody joined: nobody hears
	h.ip("-n", h.space(n), "addr", "add", fmt.Sprintf("10.77.0.%d/24", i+1), "broadcast", "10.77.0.255", "dev", "eth0")
	h.ip("-n", h.space(n), "addr", "add", fmt.Sprintf("fd77::%d/64", i+1), "dev", "eth0", "nodad")
	h.ip("-n", h.space(n), "link", "set", "eth0", "up")
	h.ip("-n", h.space(n), "route", "add", "224.0.0.0/4", "dev", "eth0")
}

// unplug takes the interface of host i away, as a USB adapter that is pulled.
func (h *hosts) unplug(i int) {
	h.ip("-n", h.space("switch"), "link", "del", fmt.Sprintf("p%d", i))
}

// cable pulls or puts back the cable of host i at the switch.
func (h *hosts) cable(i int, state string) {
	h.ip("-n", h.space("switch"), "link", "set", fmt.Sprintf("p%d", i), state)
}

// process is a role that runs on a host.
type process struct {
	cmd  *exec.Cmd
	out  *bufio.Scanner
	mu   sync.Mutex
	last string
	all  []heard
	done chan struct{}
}

// heard is a packet that the role "receive" reports.
type heard struct {
	At       time.Time
	Universe uint16
	Source   string
	Priority byte
	Sequence byte
	End      bool
	Level    byte

	Output string   // whose state the role "state" reports
	Faults []string // causes, the gravest first
	Text   string   // of the first
}

// start runs a role on a host. It has begun when the first line came.
func (h *hosts) start(name, role string, args ...string) *process {
	h.t.Helper()
	exe, err := os.Executable()
	if err != nil {
		h.t.Fatal(err)
	}
	cmd := exec.Command("ip", append([]string{"netns", "exec", h.space(name), exe, "-test.run=^TestRole$", role}, args...)...)
	cmd.Env = append(os.Environ(), "OUTPUT_TEST_ROLE="+role)
	cmd.Stderr = os.Stderr
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		h.t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		h.t.Fatal(err)
	}
	p := &process{cmd: cmd, out: bufio.NewScanner(stdout), done: make(chan struct{})}
	ready := p.out.Scan()
	go p.read()
	h.t.Cleanup(p.kill)
	if !ready {
		h.t.Fatalf("%s on %s did not begin", role, name)
	}
	return p
}

func (p *process) read() {
	defer close(p.done)
	for p.out.Scan() {
		var e heard
		err := json.Unmarshal(p.out.Bytes(), &e)
		p.mu.Lock()
		if err == nil && !e.At.IsZero() {
			p.all = append(p.all, e)
		} else if err == nil { // and not the testing package's own words
			p.last = p.out.Text()
		}
		p.mu.Unlock()
	}
}

func (p *process) heard() []heard {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]heard(nil), p.all...)
}

// end waits for the role to end by itself and returns its last line.
func (p *process) end(t *testing.T) string {
	t.Helper()
	select {
	case <-p.done:
	case <-time.After(30 * time.Second):
		p.cmd.Process.Signal(syscall.SIGQUIT)
		<-p.done
		t.Fatal("a role does not end")
	}
	return p.last
}

func (p *process) kill() {
	p.cmd.Process.Kill()
	p.cmd.Wait()
}

// TestRole is the far end: it does nothing unless a test started it.
func TestRole(t *testing.T) {
	args := os.Args
	for i, a := range args {
		if a == "-test.run=^TestRole$" {
			args = args[i+2:]
		}
	}
	switch os.Getenv("OUTPUT_TEST_ROLE") {
	case "receive":
		roleReceive(t, args)
	case "send":
		roleSend(t, args)
	case "node":
		roleNode(t)
	case "state":
		roleState(t, args)
	case "count":
		roleCount(t)
	}
}

// roleReceive joins the groups of universes and reports every packet.
func roleReceive(t *testing.T, args []string) {
	family := args[0]
	packets, err := net.ListenPacket(family, fmt.Sprintf(":%d", sacn.Port))
	if err != nil {
		t.Fatal(err)
	}
	ifi, err := net.InterfaceByName("eth0")
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range args[1:] {
		var u uint16
		fmt.Sscan(a, &u)
		if family == "udp4" {
			err = ipv4.NewPacketConn(packets).JoinGroup(ifi, &net.UDPAddr{IP: sacn.Group4(u).AsSlice()})
		} else {
			err = ipv6.NewPacketConn(packets).JoinGroup(ifi, &net.UDPAddr{IP: sacn.Group6(u).AsSlice()})
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	fmt.Println("ready")
	out := json.NewEncoder(os.Stdout)
	b := make([]byte, 2048)
	for {
		n, _, err := packets.ReadFrom(b)
		if err != nil {
			t.Fatal(err)
		}
		d, err := sacn.ParseData(b[:n])
		if err != nil {
			continue
		}
		level := byte(0)
		if len(d.Slots) > 0 {
			level = d.Slots[0]
		}
		out.Encode(heard{At: time.Now(), Universe: d.Universe, Source: d.Source, Priority: d.Priority, Sequence: d.Sequence, End: d.Terminated, Level: level})
	}
}

// roleSend sends a level at 44 frames a second for a time through the outputs
// and prints their counters.
func roleSend(t *testing.T, args []string) {
	var source string
	var length time.Duration
	var level byte
	fmt.Sscan(args[0], &source)
	fmt.Sscan(args[1], &level)
	length, err := time.ParseDuration(args[2])
	if err != nil {
		t.Fatal(err)
	}
	var sinks []output.Sink
	for _, spec := range args[3:] {
		s, err := output.Open(spec, output.Options{Source: source})
		if err != nil {
			t.Fatal(err)
		}
		sinks = append(sinks, output.Mailbox(s))
	}
	fmt.Println("ready")
	start := time.Now()
	var slowest time.Duration
	for i := 0; time.Since(start) < length; i++ {
		due := start.Add(time.Duration(i) * time.Second / 44)
		time.Sleep(time.Until(due))
		frames := []output.Frame{}
		for u := range uint16(3) {
			f := output.Frame{Universe: u + 1, Slots: make([]byte, 512)}
			f.Slots[0], f.Slots[1] = level, byte(i)
			frames = append(frames, f)
		}
		before := time.Now()
		for _, s := range sinks {
			s.Send(frames, due)
		}
		slowest = max(slowest, time.Since(before))
	}
	report := map[string]output.Stats{}
	for _, s := range sinks {
		s.Close()
		report[s.Name()] = s.Stats()
	}
	b, _ := json.Marshal(map[string]any{"Slowest": slowest, "Stats": report})
	fmt.Println(string(b))
}

// roleNode is an Art-Net node of one output, Port-Address 2, and reports what
// it is sent.
func roleNode(t *testing.T) {
	conn, err := net.ListenUDP("udp4", &net.UDPAddr{Port: artnet.Port})
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println("ready")
	out := json.NewEncoder(os.Stdout)
	b := make([]byte, 2048)
	for {
		n, from, err := conn.ReadFromUDPAddrPort(b)
		if err != nil {
			t.Fatal(err)
		}
		switch op, _ := artnet.OpCodeOf(b[:n]); op {
		case artnet.OpPoll:
			r := artnet.PollReply{ShortName: "node", NumPorts: 1, PortTypes: [4]byte{artnet.PortOutput}, SwOut: [4]byte{2}}
			conn.WriteToUDPAddrPort(r.Append(nil), from)
		case artnet.OpDmx:
			d, err := artnet.ParseDmx(b[:n])
			if err != nil {
				t.Fatal(err)
			}
			out.Encode(heard{At: time.Now(), Universe: d.PortAddress, Sequence: d.Sequence, Level: d.Slots[0]})
		}
	}
}

// roleState sends through the outputs until it is killed, and reports each state that they
// come to.
func roleState(t *testing.T, specs []string) {
	var sinks []output.Sink
	for _, spec := range specs {
		s, err := output.Open(spec, output.Options{Source: "a"})
		if err != nil {
			t.Fatal(err)
		}
		sinks = append(sinks, output.Carry(s))
	}
	b, err := beacon.Open("the show of "+os.Getenv("OUTPUT_TEST_ROLE"), sinks, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	fmt.Println("ready")
	out := json.NewEncoder(os.Stdout)
	last := make([]string, len(sinks))
	frames := []output.Frame{{Universe: 1, Slots: make([]byte, 512)}, {Universe: 2, Slots: make([]byte, 512)}}
	for i := 0; ; i++ {
		frames[0].Slots[0] = byte(i)
		for j, s := range sinks {
			s.Send(frames, time.Now())
			h := heard{At: time.Now(), Output: specs[j]}
			for _, f := range s.Stats().State.Faults {
				if f.Degree > output.Aside {
					h.Faults = append(h.Faults, string(f.Cause))
					h.Text = s.Stats().State.Faults[0].Text
				}
			}
			if is := fmt.Sprint(h.Faults); is != last[j] && (last[j] != "" || len(h.Faults) > 0) {
				last[j] = is
				out.Encode(h)
			}
		}
		time.Sleep(time.Second / 44)
	}
}

type sendReport struct {
	Slowest time.Duration
	Stats   map[string]output.Stats
}

func (p *process) report(t *testing.T) sendReport {
	t.Helper()
	var r sendReport
	if err := json.Unmarshal([]byte(p.end(t)), &r); err != nil {
		t.Fatalf("%v: %s", err, p.last)
	}
	return r
}

func count(all []heard, universe uint16) (n int) {
	for _, e := range all {
		if e.Universe == universe && !e.End {
			n++
		}
	}
	return n
}
