package main

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A run tells the service manager that started it: ready when frames leave, alive while they do,
// how it stands, and that it ends.
func TestRunTellsTheServiceManager(t *testing.T) {
	dir, x := small(t), newTap(t)
	name := filepath.Join(t.TempDir(), "notify")
	socket, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: name, Net: "unixgram"})
	if err != nil {
		t.Fatal(err)
	}
	defer socket.Close()
	_, port, _ := net.SplitHostPort(x.conn.LocalAddr().String())
	c := exec.Command(os.Args[0], "run", dir, "--silent", "--outputs", "e131 127.0.0.1 port "+port)
	c.Env = append(os.Environ(), "LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_TEST_COARSE=1", "PULSE_SERVER=unix:/nowhere", "NOTIFY_SOCKET="+name, "WATCHDOG_USEC=1000000")
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = c.Process.Kill(); _ = c.Wait() }()
	heard := map[string]bool{}
	_ = socket.SetReadDeadline(time.Now().Add(time.Minute))
	for b := make([]byte, 4096); !heard["STOPPING"]; {
		n, err := socket.Read(b)
		if err != nil {
			t.Fatalf("heard %v: %v", heard, err)
		}
		for line := range strings.Lines(string(b[:n])) {
			key, _, _ := strings.Cut(line, "=")
			heard[key] = true
		}
		if heard["READY"] && heard["WATCHDOG"] && heard["STATUS"] && !heard["told"] {
			heard["told"] = true
			if err := c.Process.Signal(syscall.SIGTERM); err != nil {
				t.Fatal(err)
			}
		}
	}
	if !heard["told"] {
		t.Errorf("it ended before it was ready: %v", heard)
	}
}
