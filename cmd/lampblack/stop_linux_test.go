package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"lampblack/demo"
	"lampblack/folder"
)

// process is a command that runs in a process of its own.
type process struct {
	*exec.Cmd
	t *testing.T
}

func start(t *testing.T, stdout *os.File, args ...string) *process {
	t.Helper()
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), "LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_CACHE="+t.TempDir(), "PULSE_SERVER=unix:/no-sound")
	if stdout != nil {
		c.Stdout = stdout
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Process.Kill() })
	return &process{c, t}
}

// until waits for something that the command does by itself.
func (p *process) until(what string, is func() bool) {
	p.t.Helper()
	const patience = time.Minute
	for began := time.Now(); !is(); time.Sleep(5 * time.Millisecond) {
		if time.Since(began) > patience {
			p.t.Fatalf("%v: after %v it is not %s", p.Args[1:], patience, what)
		}
	}
}

// reads tells whether the process, or one that it keeps, holds a file open.
func (p *process) reads(name string) func() bool {
	return func() bool {
		for _, pid := range append(p.children(), p.Process.Pid) {
			fds, _ := filepath.Glob(fmt.Sprintf("/proc/%d/fd/*", pid))
			for _, fd := range fds {
				if to, err := os.Readlink(fd); err == nil && to == name {
					return true
				}
			}
		}
		return false
	}
}

// children are the processes that this one has started.
func (p *process) children() (out []int) {
	lists, _ := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/children", p.Process.Pid))
	for _, name := range lists {
		data, _ := os.ReadFile(name)
		for _, f := range strings.Fields(string(data)) {
			if pid, err := strconv.Atoi(f); err == nil {
				out = append(out, pid)
			}
		}
	}
	return out
}

// state is the process's state and processor time in ticks, of proc(5).
func (p *process) state() (state string, ticks int) {
	data, _ := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p.Process.Pid))
	_, rest, _ := strings.Cut(string(data), ") ")
	f := strings.Fields(rest)
	if len(f) < 13 {
		return "", 0
	}
	user, _ := strconv.Atoi(f[11])
	return f[0], user
}

// ends waits for the end after a signal and returns how long it took. The
// bound is far over the second that is promised, so that a machine under load
// passes, and far under what each of these would take by itself: for ever, or
// many minutes.
func (p *process) ends(signals ...os.Signal) time.Duration {
	p.t.Helper()
	began := time.Now()
	for _, s := range signals {
		_ = p.Process.Signal(s)
	}
	done := make(chan error, 1)
	go func() { done <- p.Wait() }()
	select {
	case <-done:
		return time.Since(began)
	case <-time.After(20 * time.Second):
		p.t.Errorf("%v does not end after %v", p.Args[1:], signals)
		return 0
	}
}

// hugeSound is a WAV file of 30 GB that takes no room: reading it takes minutes.
func hugeSound(t *testing.T, name string) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	head := "RF64\xff\xff\xff\xffWAVEds64\x1c\x00\x00\x00" + le64(30e9-8) + le64(30e9-80) + le64(0) + "\x00\x00\x00\x00" +
		"fmt \x10\x00\x00\x00\x01\x00\x02\x00\x80\xbb\x00\x00\x00\xee\x02\x00\x04\x00\x10\x00data\xff\xff\xff\xff"
	if _, err := f.WriteString(head); err != nil || f.Truncate(30e9) != nil {
		t.Skip("no sparse files here")
	}
}

func le64(v uint64) string {
	b := make([]byte, 8)
	for i := range b {
		b[i] = byte(v >> (8 * i))
	}
	return string(b)
}

func smallShow(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "show")
	if err := demo.New(t.Context(), dir, "small"); err != nil {
		t.Fatal(err)
	}
	return dir
}

// Whatever a command reads or writes, one signal ends it.
func TestSignalEndsEveryCommand(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	huge := filepath.Join(t.TempDir(), "huge.wav")
	hugeSound(t, huge)
	pipe := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Fatal(err)
	}
	long := smallShow(t) // whose soundtrack is huge
	if err := os.Remove(filepath.Join(long, "clicks.wav")); err != nil {
		t.Fatal(err)
	}
	hugeSound(t, filepath.Join(long, "clicks.wav"))
	small := smallShow(t)
	work := t.TempDir()
	sound := filepath.Join(long, "clicks.wav")
	for _, c := range []struct {
		reads string
		args  []string
	}{
		{huge, []string{"listen", huge}},
		{huge, []string{"retime", small, huge}},
		{filepath.Join(work, "demo", ".lantern-fish.wav.lampblack-new"), []string{"demo", "--write", filepath.Join(work, "demo")}},
		{sound, []string{"retime", long, "--remember"}},
		{sound, []string{"check", long}},
		{sound, []string{"check", long, "--mend"}},
		{sound, []string{"draft", long}},
		{sound, []string{"spotting", long}},
		{sound, []string{"measure", long}},
		{sound, []string{"sheet", "sign", long}},
		{sound, []string{"picture", long, "-o", filepath.Join(work, "out")}},
		{sound, []string{"export", "midi", long, "-o", filepath.Join(work, "out.mid")}},
		{sound, []string{"run", long}},
		{sound, []string{"open", long, "--address", "127.0.0.1:0"}},
	} {
		p := start(t, nil, c.args...)
		p.until("reading", p.reads(c.reads))
		t.Logf("%-40.60s ended after %v", strings.Join(c.args[:min(2, len(c.args))], " "), p.ends(syscall.SIGINT).Round(time.Millisecond))
		if p.ProcessState.ExitCode() != exitFailed {
			t.Errorf("%v ended as %v", c.args, p.ProcessState)
		}
	}
	if left, _ := os.ReadDir(work); len(left) > 0 {
		t.Errorf("left %v", left)
	}

	p := start(t, nil, "export", "midi", small, "-o", pipe) // that nobody reads
	p.until("at work", func() bool { _, ticks := p.state(); return ticks > 5 })
	t.Logf("waiting for a pipe's reader: ended after %v", p.ends(syscall.SIGTERM).Round(time.Millisecond))
}

// blocked starts a command that writes into a full pipe that nobody reads.
func blocked(t *testing.T) *process {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	const setPipeSize = 1031 // F_SETPIPE_SZ of fcntl(2)
	if _, _, no := syscall.Syscall(syscall.SYS_FCNTL, w.Fd(), setPipeSize, 4096); no != 0 {
		t.Skip(no)
	}
	p := start(t, w, "schema", "score")
	w.Close()
	p.until("blocked", func() bool { return pending(r) >= 4096 })
	return p
}

// A write that nobody reads holds no command longer than its grace.
func TestSignalEndsABlockedWrite(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	p := blocked(t)
	t.Logf("blocked write: ended after %v", p.ends(syscall.SIGTERM).Round(time.Millisecond))
	if p.ProcessState.ExitCode() != exitFailed {
		t.Errorf("it ended as %v", p.ProcessState)
	}
}

// pending is how many bytes wait in a pipe (FIONREAD of ioctl(2)).
func pending(r *os.File) int {
	var n int32
	_, _, _ = syscall.Syscall(syscall.SYS_IOCTL, r.Fd(), 0x541B, uintptr(unsafe.Pointer(&n)))
	return int(n)
}

// A second signal ends a command at once, as the system does by itself, before
// its grace is over.
func TestSecondSignal(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	p := blocked(t)
	done := make(chan error, 1)
	go func() { done <- p.Wait() }()
	again := time.NewTicker(grace / 20) // two that come together count as one
	defer again.Stop()
	for ended := false; !ended; {
		_ = p.Process.Signal(syscall.SIGINT)
		select {
		case <-done:
			ended = true
		case <-again.C:
		}
	}
	if s, ok := p.ProcessState.Sys().(syscall.WaitStatus); !ok || !s.Signaled() || s.Signal() != syscall.SIGINT {
		t.Errorf("it ended as %v, not by the second signal", p.ProcessState)
	}
}

// running starts a command that works in real time and waits until it does:
// its journal says so.
func running(t *testing.T, args ...string) (*process, string) {
	t.Helper()
	journal := filepath.Join(t.TempDir(), "night.jsonl")
	p := start(t, nil, append(args, "--journal", journal)...)
	p.until("running", func() bool {
		data, err := os.ReadFile(journal)
		return err == nil && strings.Contains(string(data), `"run"`)
	})
	return p, journal
}

// A run that is told to end brings its lights up and says what it came to; a
// served book with a page that listens ends as well.
func TestSignalEndsRunAndBook(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: waits for real processes")
	}
	p, journal := running(t, "run", smallShow(t), "--silent", "--outputs", "none")
	t.Logf("run: ended after %v", p.ends(syscall.SIGTERM).Round(time.Millisecond))
	if data, _ := os.ReadFile(journal); !strings.Contains(string(data), `"end"`) || p.ProcessState.ExitCode() != exitClean {
		t.Errorf("the run did not end in order: %v\n%s", p.ProcessState, data)
	}

	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	p = start(t, w, "open", smallShow(t), "--address", "127.0.0.1:0")
	w.Close()
	line, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	url, key, _ := strings.Cut(strings.TrimSpace(line), "#key=")
	ask, err := http.NewRequest("GET", url+"api/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	ask.Header.Set("Authorization", "Bearer "+key)
	events, err := http.DefaultClient.Do(ask)
	if err != nil || events.StatusCode != http.StatusOK {
		t.Fatal(err)
	}
	defer events.Body.Close()
	half, err := net.Dial("tcp", strings.Trim(strings.TrimPrefix(url, "http://"), "/"))
	if err != nil {
		t.Fatal(err)
	}
	defer half.Close()
	_, _ = io.WriteString(half, "GET / HTTP/1.1\r\nHost: 127") // and never the rest
	t.Logf("book: ended after %v", p.ends(syscall.SIGINT).Round(time.Millisecond))
}

// Pipes and devices in the place of a show's files end every command by
// themselves, with a word.
func TestPipesInTheFolder(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of short runs: starts many processes")
	}
	for _, name := range []string{"show.yaml", "rig.yaml", "room.yaml", "score.yaml", "readings.yaml", "draft.yaml", "spotting.yaml", "clicks.wav", "fixtures/par.yaml"} {
		dir := smallShow(t)
		_ = os.Remove(filepath.Join(dir, name))
		if err := syscall.Mkfifo(filepath.Join(dir, name), 0o644); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"draft", dir}, {"spotting", dir, "--reject", "hit 0:04"}, {"retime", dir, "--remember"}} {
			if name == "draft.yaml" && args[0] != "draft" || name == "spotting.yaml" && args[0] == "retime" {
				continue // not read by it
			}
			p := start(t, nil, args...)
			p.ends()
			if p.ProcessState.ExitCode() < exitFindings {
				t.Errorf("%s is a pipe: %s ended as %v", name, args[0], p.ProcessState)
			}
		}
	}
	pipe := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Fatal(err)
	}
	zero := filepath.Join(t.TempDir(), "zero.yaml")
	if err := os.Symlink("/dev/zero", zero); err != nil {
		t.Fatal(err)
	}
	dir := smallShow(t)
	for _, name := range []string{pipe, zero} {
		for _, args := range [][]string{{"listen", name}, {"retime", dir, name}, {"desk", dir, name, "-o", filepath.Join(dir, "desk")}} {
			p := start(t, nil, args...)
			p.ends()
			if p.ProcessState.ExitCode() != exitFailed {
				t.Errorf("%s %s ended as %v", args[0], name, p.ProcessState)
			}
		}
	}
	if _, err := folder.ReadFile(t.Context(), pipe, 1); !errors.Is(err, folder.ErrPlain) {
		t.Error(err)
	}
}
