package keeper

import (
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"

	"golang.org/x/sys/unix"
)

// realTime is the priority that is asked for, the lowest that real time has but for one: the
// system's own threads are above it. niceness is asked for where there is none.
const (
	realTime = 2
	niceness = -15
)

// spinning is how long threads at real-time priority may work without a pause before they are
// put back to normal, and spun before the system ends the process (setrlimit(2),
// RLIMIT_RTTIME; µs): a fault of this program must not stop a machine. A frame takes a
// thousandth of it.
const (
	spinning = 200_000
	spun     = 5_000_000
)

// Raise asks for the best priority that the system grants, for all threads that there are
// and will be, and says what was granted, and how more can be had.
func Raise() (granted, hint string) {
	const grants = "`sudo setcap cap_sys_nice+ep` on the program, or a line of rtprio in /etc/security/limits.conf for you, grants real time"
	limit := unix.Rlimit{Cur: spinning, Max: spun}
	if unix.Setrlimit(unix.RLIMIT_RTTIME, &limit) == nil && ofThreads(func(tid int) error {
		return unix.SchedSetAttr(tid, &unix.SchedAttr{Size: unix.SizeofSchedAttr, Policy: unix.SCHED_RR, Priority: realTime}, 0)
	}) == nil {
		xcpu := make(chan os.Signal, 1)
		signal.Notify(xcpu, unix.SIGXCPU)
		go func() {
			<-xcpu
			Lower()
		}()
		return "real-time priority", ""
	}
	Lower()
	if ofThreads(func(tid int) error { return unix.Setpriority(unix.PRIO_PROCESS, tid, niceness) }) == nil {
		return fmt.Sprintf("raised priority (nice %d)", niceness), grants
	}
	return "normal priority", grants
}

// Lower puts all threads back to normal priority: what a process gets from a parent that has
// more.
func Lower() {
	_ = ofThreads(func(tid int) error {
		is, err := unix.SchedGetAttr(tid, 0)
		if err != nil || is.Policy == unix.SCHED_NORMAL {
			return err
		}
		return unix.SchedSetAttr(tid, &unix.SchedAttr{Size: unix.SizeofSchedAttr, Policy: unix.SCHED_NORMAL}, 0)
	})
}

// Hasten asks for a raised priority for the process that computes, which may not have real
// time: it has more to do than the keeper.
func Hasten() {
	_ = ofThreads(func(tid int) error { return unix.Setpriority(unix.PRIO_PROCESS, tid, -5) })
}

// ofThreads does something to each thread of this process; threads that begin meanwhile have
// it from the one that begins them.
func ofThreads(do func(tid int) error) error {
	const tasks = "/proc/self/task"
	entries, err := os.ReadDir(tasks)
	if err != nil {
		return fmt.Errorf("threads of this process: %w", err)
	}
	for _, e := range entries {
		tid, err := strconv.Atoi(filepath.Base(e.Name()))
		if err != nil {
			continue
		}
		if err := do(tid); err != nil && err != unix.ESRCH { // it has ended
			return err
		}
	}
	return nil
}
