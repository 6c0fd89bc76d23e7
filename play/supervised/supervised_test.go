//go:build unix

package supervised

import (
	"net"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// manager is a socket such as a service manager has.
func manager(t *testing.T, name string) *net.UnixConn {
	t.Helper()
	c, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: name, Net: "unixgram"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	t.Setenv("NOTIFY_SOCKET", name)
	return c
}

func heard(t *testing.T, c *net.UnixConn) []string {
	t.Helper()
	_ = c.SetReadDeadline(time.Now().Add(30 * time.Second))
	b := make([]byte, 4096)
	n, err := c.Read(b)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(string(b[:n]), "\n")
}

// The lines are those of sd_notify(3): ready with the first frame, alive only while frames
// leave, stopping at the end.
func TestManagerIsTold(t *testing.T) {
	c := manager(t, filepath.Join(t.TempDir(), "notify"))
	t.Setenv("WATCHDOG_USEC", "4000000")
	m, err := FromEnv()
	if err != nil {
		t.Fatal(err)
	}
	now := time.Unix(1000, 0)
	m.Follow(now, 0, "before the first cue")
	if got := heard(t, c); !slices.Equal(got, []string{"STATUS=before the first cue"}) {
		t.Errorf("before any frame: %q", got)
	}
	m.Follow(now.Add(2*time.Second), 1, "cue 1\nof 2")
	if got := heard(t, c); !slices.Equal(got, []string{"READY=1", "WATCHDOG=1", "STATUS=cue 1 of 2"}) {
		t.Errorf("with the first frame: %q", got)
	}
	signs := 0
	for i := range 100 { // ten seconds with frames, ten without
		m.Follow(now.Add(2*time.Second+time.Duration(i)*100*time.Millisecond), uint64(2+4*i), "cue 1\nof 2")
	}
	for i := range 100 {
		m.Follow(now.Add(12*time.Second+time.Duration(i)*100*time.Millisecond), 398, "cue 1\nof 2")
	}
	m.Follow(now.Add(30*time.Second), 398, "stands")
	for {
		got := heard(t, c)
		if got[0] == "STATUS=stands" {
			break
		}
		if !slices.Equal(got, []string{"WATCHDOG=1"}) {
			t.Fatalf("%q", got)
		}
		signs++
	}
	if signs < 5 || signs > 11 { // each within 2 s, and none in the ten seconds without
		t.Errorf("%d signs of life in ten seconds", signs)
	}
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	if got := heard(t, c); !slices.Equal(got, []string{"STOPPING=1"}) {
		t.Errorf("at the end: %q", got)
	}
}

// What a manager was not told, as it read nothing, is told when it reads again: it would wait
// for READY=1 for good, and end the run.
func TestManagerIsToldAgain(t *testing.T) {
	c := manager(t, filepath.Join(t.TempDir(), "notify"))
	m, err := FromEnv()
	if err != nil {
		t.Fatal(err)
	}
	full := 0
	for ; m.send([]string{strings.Repeat("x", 2000)}) == nil; full++ {
	}
	now := time.Unix(1000, 0)
	m.Follow(now, 1, "cue 1")
	for range full {
		heard(t, c)
	}
	m.Follow(now.Add(100*time.Millisecond), 5, "cue 1")
	if got := heard(t, c); !slices.Equal(got, []string{"READY=1", "STATUS=cue 1"}) {
		t.Errorf("%q", got)
	}
}

// A manager that reads nothing holds no frame up; none at all, or a wrong name, is no harm.
func TestManagerIsNotWaitedFor(t *testing.T) {
	manager(t, filepath.Join(t.TempDir(), "notify"))
	m, err := FromEnv()
	if err != nil {
		t.Fatal(err)
	}
	begin := time.Now()
	for i := range 2000 {
		m.Follow(time.Unix(int64(2*i), 0), uint64(i), strings.Repeat("x", i))
	}
	if took := time.Since(begin); took > 30*time.Second {
		t.Errorf("it took %v", took)
	}
	_ = m.Close()
	var none *Manager
	none.Follow(begin, 1, "x")
	if none.Close() != nil {
		t.Error("no manager")
	}
	t.Setenv("NOTIFY_SOCKET", "relative")
	if _, err := FromEnv(); err == nil {
		t.Error("a relative name is taken")
	}
	t.Setenv("NOTIFY_SOCKET", "")
	if m, err := FromEnv(); m != nil || err != nil {
		t.Error(m, err)
	}
}
