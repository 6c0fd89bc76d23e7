package output_test

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"testing"
	"time"
	"unsafe"

	"lampblack/play/output"
	"lampblack/wire/sacn"

	"golang.org/x/sys/unix"
)

// loadUniverses full universes, 44 times a second: what one process may have
// to send at most.
const (
	loadUniverses = 256
	loadPeriod    = time.Second / 44
)

// counter is a process that counts the packets of a port.
type counter struct {
	port int
	cmd  *exec.Cmd
	out  *bufio.Scanner
}

func startCounter(b *testing.B) *counter {
	b.Helper()
	exe, err := os.Executable()
	if err != nil {
		b.Fatal(err)
	}
	c := &counter{cmd: exec.Command(exe, "-test.run=^TestRole$", "count")}
	c.cmd.Env = append(os.Environ(), "OUTPUT_TEST_ROLE=count")
	stdout, err := c.cmd.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := c.cmd.Start(); err != nil {
		b.Fatal(err)
	}
	c.out = bufio.NewScanner(stdout)
	if !c.out.Scan() {
		b.Fatal("the counter did not begin")
	}
	fmt.Sscan(c.out.Text(), &c.port)
	b.Cleanup(func() { c.cmd.Process.Kill(); c.cmd.Wait() })
	return c
}

// result waits for the counter to see nothing for a second.
func (c *counter) result() (packets, gaps int) {
	for c.out.Scan() {
		if n, _ := fmt.Sscanf(c.out.Text(), "packets %d gaps %d", &packets, &gaps); n == 2 {
			return packets, gaps
		}
	}
	return 0, 0
}

// roleCount counts packets, and those that are missing by their sequence
// numbers, until nothing comes for a second. It looks every 5 ms and sleeps
// between, outside the poller, so that waking it up costs the sender nothing.
func roleCount(t *testing.T) {
	fd, err := unix.Socket(unix.AF_INET, unix.SOCK_DGRAM, 0)
	if err != nil {
		t.Fatal(err)
	}
	unix.SetsockoptInt(fd, unix.SOL_SOCKET, unix.SO_RCVBUF, 64<<20)
	unix.SetsockoptInt(fd, unix.SOL_SOCKET, unix.SO_RCVBUFFORCE, 64<<20) // past the system's limit, where this user may
	if err := unix.Bind(fd, &unix.SockaddrInet4{Addr: [4]byte{127, 0, 0, 1}}); err != nil {
		t.Fatal(err)
	}
	name, err := unix.Getsockname(fd)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Println(name.(*unix.SockaddrInet4).Port)
	var packets, gaps int
	next := map[uint16]byte{}
	b := make([]byte, 2048)
	for last := time.Now(); packets == 0 || time.Since(last) < time.Second; time.Sleep(5 * time.Millisecond) {
		for {
			n, _, err := unix.Recvfrom(fd, b, unix.MSG_DONTWAIT)
			if err != nil {
				break
			}
			if sacn.KindOf(b[:n]) != sacn.KindData {
				continue
			}
			last = time.Now()
			packets++
			universe := uint16(b[113])<<8 | uint16(b[114])
			if want, known := next[universe]; known {
				gaps += int(b[111] - want)
			}
			next[universe] = b[111] + 1
		}
	}
	fmt.Printf("packets %d gaps %d\n", packets, gaps)
}

// paced calls frame b.N times at 44 a second and reports what it cost.
func paced(b *testing.B, c *counter, frame func(i int, due time.Time), finish func()) {
	b.Helper()
	late := make([]time.Duration, 0, b.N)
	before, beforeSystem := processTime()
	start := time.Now()
	for i := range b.N {
		due := start.Add(time.Duration(i) * loadPeriod)
		time.Sleep(time.Until(due))
		late = append(late, time.Since(due))
		frame(i, due)
	}
	took := time.Since(start)
	finish()
	cpu, system := processTime()
	cpu, system = cpu-before, system-beforeSystem
	packets, gaps := c.result()
	slices.Sort(late)
	b.ReportMetric(float64(packets)/took.Seconds(), "packets/s")
	b.ReportMetric(100*cpu.Seconds()/took.Seconds(), "cpu-%")
	b.ReportMetric(cpu.Seconds()*1e6/float64(max(1, packets)), "cpu-us/packet")
	b.ReportMetric(100*float64(system)/float64(max(1, cpu)), "in-kernel-%")
	b.ReportMetric(float64(gaps), "lost-packets")
	b.ReportMetric(late[len(late)/2].Seconds()*1e3, "late-p50-ms")
	b.ReportMetric(late[len(late)*999/1000].Seconds()*1e3, "late-p99.9-ms")
	b.ReportMetric(0, "ns/op")
}

// processTime is the time that this process has used, and how much of it the
// system did for it.
func processTime() (all, system time.Duration) {
	var u unix.Rusage
	if err := unix.Getrusage(unix.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()), time.Duration(u.Stime.Nano())
}

// BenchmarkLoad sends 256 full universes that all change, 44 times a second,
// through the E1.31 output and its mailbox, and beside it the same packets by
// nothing but sendmmsg calls. For a minute of each:
//
//	go test -run '^$' -bench Load -benchtime 2640x ./play/output
func BenchmarkLoad(b *testing.B) {
	b.Run("output", func(b *testing.B) {
		c := startCounter(b)
		s, err := output.Open(fmt.Sprintf("e131 127.0.0.1 port %d", c.port), output.Options{})
		if err != nil {
			b.Fatal(err)
		}
		m := output.Mailbox(s)
		frames := make([]output.Frame, loadUniverses)
		for i := range frames {
			frames[i] = output.Frame{Universe: uint16(i + 1), Slots: make([]byte, 512)}
		}
		paced(b, c, func(i int, due time.Time) {
			for _, f := range frames {
				f.Slots[i%512]++
			}
			m.Send(frames, due)
		}, func() {
			m.Close()
			st := m.Stats()
			b.ReportMetric(float64(st.Late), "late-frames")
			b.ReportMetric(float64(st.Dropped), "dropped-frames")
		})
	})
	b.Run("sendmmsg", func(b *testing.B) {
		c := startCounter(b)
		send := bareSender(b, c.port)
		paced(b, c, func(int, time.Time) { send() }, func() {})
	})
}

// mmsghdr is the system's own structure (sendmmsg(2)).
type mmsghdr struct {
	header unix.Msghdr
	sent   uint32
	_      [4]byte
}

// bareSender returns a function that sends the load's packets with as few
// instructions as there can be: everything but the sequence number stands.
func bareSender(b *testing.B, port int) func() {
	b.Helper()
	fd, err := unix.Socket(unix.AF_INET, unix.SOCK_DGRAM, 0)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { unix.Close(fd) })
	unix.SetsockoptInt(fd, unix.SOL_SOCKET, unix.SO_SNDBUF, 1<<20)
	address := &unix.RawSockaddrInet4{Family: unix.AF_INET, Port: uint16(port)<<8 | uint16(port)>>8, Addr: [4]byte{127, 0, 0, 1}}
	packets := make([][]byte, loadUniverses)
	vectors := make([]unix.Iovec, loadUniverses)
	messages := make([]mmsghdr, loadUniverses)
	for i := range packets {
		d := sacn.Data{Priority: 100, Universe: uint16(i + 1), Slots: make([]byte, 512)}
		packets[i] = d.Append(nil)
		vectors[i].Base = &packets[i][0]
		vectors[i].SetLen(len(packets[i]))
		h := &messages[i].header
		h.Name, h.Namelen, h.Iov, h.Iovlen = (*byte)(unsafe.Pointer(address)), unix.SizeofSockaddrInet4, &vectors[i], 1
	}
	return func() {
		for done := 0; done < len(messages); {
			n, _, errno := unix.Syscall6(unix.SYS_SENDMMSG, uintptr(fd), uintptr(unsafe.Pointer(&messages[done])), uintptr(len(messages)-done), 0, 0, 0)
			if errno != 0 {
				b.Fatal(errno)
			}
			done += int(n)
		}
		for _, p := range packets {
			p[111]++
		}
	}
}
