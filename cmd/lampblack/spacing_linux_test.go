package main

import (
	"encoding/binary"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"
)

// bareLoop sleeps to the instants of frames, and prints how late it woke: what the machine
// gives to whoever asks for nothing else.
const bareLoop = `
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <sched.h>
int main(int argc, char **argv) {
	struct sched_param p = {.sched_priority = atoi(argv[2])};
	if (p.sched_priority > 0 && sched_setscheduler(0, SCHED_RR, &p)) return 1;
	struct timespec t, now;
	clock_gettime(CLOCK_MONOTONIC, &t);
	for (int i = 0, n = 44 * atoi(argv[1]); i < n; i++) {
		if ((t.tv_nsec += 22727273) >= 1000000000) t.tv_nsec -= 1000000000, t.tv_sec++;
		clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &t, 0);
		clock_gettime(CLOCK_MONOTONIC, &now);
		printf("%lld\n", (now.tv_sec - t.tv_sec) * 1000000000LL + now.tv_nsec - t.tv_nsec);
	}
}`

// lateness is how late something was, ascending.
type lates []time.Duration

func (l lates) String() string {
	if len(l) == 0 {
		return "nothing"
	}
	slices.Sort(l)
	at := func(p float64) time.Duration {
		return l[min(int(p*float64(len(l))), len(l)-1)].Round(10 * time.Microsecond)
	}
	return fmt.Sprintf("median %v, 99 %% %v, 99.9 %% %v, worst %v", at(.5), at(.99), at(.999), at(1))
}

// How evenly frames leave, by the kernel's own time stamps of packets on loopback, beside a
// bare loop in C that sleeps to such instants: on a machine with nothing else to do and on one
// whose every processor is busy, at each priority. It says figures and judges none.
// LAMPBLACK_SPACING says for how long each is measured.
func TestSpacingOfFrames(t *testing.T) {
	length, err := time.ParseDuration(os.Getenv("LAMPBLACK_SPACING"))
	if err != nil {
		t.Skip("left out: LAMPBLACK_SPACING=10m measures, for so long each")
	}
	dir := moving(t)
	loop := filepath.Join(t.TempDir(), "loop")
	cc := exec.Command("cc", "-O2", "-o", loop, "-x", "c", "-")
	cc.Stdin = strings.NewReader(bareLoop)
	if out, err := cc.CombinedOutput(); err != nil {
		t.Logf("no C compiler, so no bare loop: %s", out)
		loop = ""
	}
	cache := t.TempDir()
	for _, busy := range []bool{false, true} {
		for _, c := range []struct {
			name string
			wrap []string
			rt   string
		}{
			{"real time", nil, "2"},
			{"nice", []string{"prlimit", "--nice=40:40", "--rtprio=0:0", "setpriv", "--bounding-set=-sys_nice", "--inh-caps=-sys_nice"}, "0"},
			{"normal", []string{"prlimit", "--nice=0:0", "--rtprio=0:0", "setpriv", "--bounding-set=-sys_nice", "--inh-caps=-sys_nice"}, "0"},
		} {
			if c.wrap != nil && exec.Command(c.wrap[0], append(slices.Clone(c.wrap[1:]), "true")...).Run() != nil {
				t.Logf("%s: this machine does not let it be tried", c.name)
				continue
			}
			rec := stamps(t)
			var load []*exec.Cmd
			if busy {
				for range runtime.NumCPU() {
					b := exec.Command("sh", "-c", "while :; do :; done")
					b.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
					if err := b.Start(); err != nil {
						t.Fatal(err)
					}
					load = append(load, b)
				}
			}
			words := &heardWords{}
			args := append(slices.Clone(c.wrap), os.Args[0], "open", dir, "--run", "--address", "127.0.0.1:0", "--outputs", rec.output(), "--journal", filepath.Join(t.TempDir(), "night.jsonl"))
			p := exec.Command(args[0], args[1:]...)
			p.Env = append(os.Environ(), "LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_CACHE="+cache, "PULSE_SERVER=unix:/no-sound")
			p.Stdout, p.Stderr = words, words
			if err := p.Start(); err != nil {
				t.Fatal(err)
			}
			for began := time.Now(); !strings.Contains(words.String(), "#key="); time.Sleep(50 * time.Millisecond) {
				if time.Since(began) > time.Minute {
					t.Fatalf("no page: %s", words)
				}
			}
			url, key, _ := strings.Cut(strings.TrimSpace(strings.SplitN(words.String(), "\n", 2)[0]), "/#key=")
			page, _ := http.NewRequest("GET", url+"/api/events", nil) // a page is attached, and reads
			page.Header.Set("Authorization", "Bearer "+key)
			if r, err := http.DefaultClient.Do(page); err == nil {
				go func() {
					b := make([]byte, 4096)
					for {
						if _, err := r.Body.Read(b); err != nil {
							return
						}
					}
				}()
				defer r.Body.Close()
			}
			time.Sleep(2 * time.Second)
			rec.forget()
			bare := make(chan lates, 1)
			go func() { bare <- bareOf(loop, c.rt, length) }()
			time.Sleep(length)
			got := rec.late()
			_ = p.Process.Signal(os.Interrupt)
			_ = p.Wait()
			for _, b := range load {
				_ = b.Process.Kill()
				_ = b.Wait()
			}
			state := "idle"
			if busy {
				state = "busy"
			}
			t.Logf("%s, %s: %d packets: %v", state, c.name, len(got), got)
			t.Logf("%s, bare loop in C: %v", state, <-bare)
			for line := range strings.Lines(words.String()) {
				if strings.Contains(line, "ended at") || strings.Contains(line, "priority") {
					t.Logf("  %s", strings.TrimSpace(line))
				}
			}
		}
	}
}

func bareOf(loop, priority string, length time.Duration) (out lates) {
	if loop == "" {
		return nil
	}
	text, _ := exec.Command(loop, fmt.Sprint(int(length.Seconds())), priority).Output()
	for line := range strings.Lines(string(text)) {
		var n int64
		if _, err := fmt.Sscan(line, &n); err == nil {
			out = append(out, time.Duration(n))
		}
	}
	return out
}

// moving writes a show whose slots are others with every frame, for an hour.
func moving(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	var score strings.Builder
	score.WriteString("looks:\n  one: {colour: white, level: 100 %}\n  two: {colour: white, level: 5 %}\ncues:\n")
	for i := range 1500 {
		fmt.Fprintf(&score, "  - {cue: %d, at: %d:%04.1f, look: %s, up: 2.4 s}\n", i+1, i*24/600, float64(i*24%600)/10, []string{"one", "two"}[i%2])
	}
	for name, text := range map[string]string{"rig.yaml": "units:\n  - {unit: 1, type: colour par, address: 1}\n", "score.yaml": score.String(), "show.yaml": "title: Moving\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// stamped are the times at which the kernel took packets.
type stamped struct {
	recorder
	times []time.Time
}

func stamps(t *testing.T) *stamped {
	t.Helper()
	c, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	s := &stamped{recorder: recorder{conn: c}}
	t.Cleanup(func() { c.Close() })
	raw, err := c.SyscallConn()
	if err == nil {
		err = raw.Control(func(fd uintptr) {
			_ = unix.SetsockoptInt(int(fd), unix.SOL_SOCKET, unix.SO_TIMESTAMPNS, 1)
		})
	}
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		b, oob := make([]byte, 2048), make([]byte, 256)
		for {
			n, m, _, _, err := c.ReadMsgUDP(b, oob)
			if err != nil {
				return
			}
			if n < 638 || binary.BigEndian.Uint32(b[18:]) != 4 {
				continue
			}
			list, err := unix.ParseSocketControlMessage(oob[:m])
			if err != nil || len(list) == 0 || len(list[0].Data) < int(unsafe.Sizeof(unix.Timespec{})) {
				continue
			}
			at := *(*unix.Timespec)(unsafe.Pointer(&list[0].Data[0]))
			s.mu.Lock()
			s.times = append(s.times, time.Unix(at.Unix()))
			s.mu.Unlock()
		}
	}()
	return s
}

func (s *stamped) forget() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.times = nil
}

// late is how far behind the even instants that fit best each packet came: those of 44 a
// second, none of which any packet is before.
func (s *stamped) late() (out lates) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.times) == 0 {
		return nil
	}
	const period = float64(time.Second) / 44
	from, first := s.times[0], 0.0
	for range 3 { // the earliest of all, by frame
		least := 1e18
		for _, at := range s.times {
			d := float64(at.Sub(from))
			i := float64(int((d-first)/period + .5))
			least = min(least, d-first-i*period)
		}
		first += least
	}
	for _, at := range s.times {
		d := float64(at.Sub(from)) - first
		i := float64(int(d/period + 1e-3))
		out = append(out, time.Duration(d-i*period))
	}
	return out
}
