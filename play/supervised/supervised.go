// Package supervised tells a service manager that frames go out: make a [Manager] from
// the environment that it gave, and let it follow the frames.
//
// The protocol is that of sd_notify(3) of systemd, which others speak too: datagrams of
// lines KEY=VALUE to the socket that NOTIFY_SOCKET names. READY=1 is said with the first
// frame, WATCHDOG=1 only while frames leave, so that a program that lives and sends
// nothing is started again.
package supervised

import (
	"net"
	"os"
	"strconv"
	"strings"
	"time"
)

// Manager is a service manager that wants to know. A nil one wants nothing.
type Manager struct {
	conn  net.Conn
	every time.Duration // between two signs of life; 0 wants none
	told  told
}

// told is what a manager was told so far.
type told struct {
	ready  bool
	frames uint64
	alive  time.Time // when it was last told so
	said   string
	spoken time.Time // when it was last told how the run stands
}

// FromEnv is the manager that started this program, nil for none: NOTIFY_SOCKET is its
// socket, WATCHDOG_USEC the longest time between two signs of life. Half of that is used, as
// sd_watchdog_enabled(3) recommends.
func FromEnv() (*Manager, error) {
	name := os.Getenv("NOTIFY_SOCKET")
	if name == "" {
		return nil, nil
	}
	if !strings.HasPrefix(name, "/") && !strings.HasPrefix(name, "@") {
		return nil, &net.AddrError{Err: "NOTIFY_SOCKET is no path and no abstract name", Addr: name}
	}
	c, err := net.DialUnix("unixgram", nil, &net.UnixAddr{Name: name, Net: "unixgram"}) // "@" is an abstract one there too
	if err != nil {
		return nil, err
	}
	m := &Manager{conn: c}
	if us, err := strconv.ParseInt(os.Getenv("WATCHDOG_USEC"), 10, 64); err == nil && us > 0 {
		m.every = time.Duration(us) * time.Microsecond / 2
	}
	return m, nil
}

// speak is how often the manager is told how the run stands.
const speak = time.Second

// Follow is told how many frames have left so far, and how the run stands in a line. It does
// not wait.
func (m *Manager) Follow(now time.Time, frames uint64, status string) {
	if m == nil {
		return
	}
	var lines []string
	told := m.told
	if !told.ready && frames > 0 {
		told.ready = true
		lines = append(lines, "READY=1")
	}
	if m.every > 0 && frames != told.frames && now.Sub(told.alive) >= m.every/2 {
		told.alive, told.frames = now, frames
		lines = append(lines, "WATCHDOG=1")
	}
	if status != told.said && now.Sub(told.spoken) >= speak {
		told.said, told.spoken = status, now
		lines = append(lines, "STATUS="+strings.ReplaceAll(status, "\n", " "))
	}
	if len(lines) > 0 && m.send(lines) == nil {
		m.told = told
	}
}

// Close says that the run ends.
func (m *Manager) Close() error {
	if m == nil {
		return nil
	}
	_ = m.send([]string{"STOPPING=1"})
	return m.conn.Close()
}

// send tells the manager. One that does not read is not waited for: what it was not told is
// said again with the next Follow.
func (m *Manager) send(lines []string) error {
	_ = m.conn.SetWriteDeadline(time.Now().Add(time.Millisecond))
	_, err := m.conn.Write([]byte(strings.Join(lines, "\n")))
	return err
}
