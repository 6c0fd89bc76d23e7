package keeper

import (
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"time"

	"golang.org/x/sys/unix"
)

// Priorities that are asked for: real time, the lowest there is for the run and the next for
// the keeper, far below the system's own threads; and the nicenesses where there is no real
// time.
const (
	realTimeRun, realTimeKeeper = 1, 2
	nicenessRun, nicenessKeeper = -10, -15
)

// spinning is how long a thread at real-time priority may work without a pause before all are
// put back to normal for a while, and spun before the system ends the process (setrlimit(2),
// RLIMIT_RTTIME; µs): neither a fault of this program nor a room that is solved anew may stop
// a machine. A frame takes a hundredth of it.
const (
	spinning = 200_000
	spun     = 5_000_000
	rests    = 2 * time.Second
)

// Raise asks for the best priority that the system grants, for all threads that there are
// and will be, and says what was granted, and how more can be had. keeps is for the keeper,
// which goes before the run.
func Raise(keeps bool) (granted, hint string) {
	const grants = "`sudo setcap cap_sys_nice+ep` on the program, or a line of rtprio in /etc/security/limits.conf for you, grants real time"
	real, nice := uint32(realTimeRun), nicenessRun
	if keeps {
		real, nice = realTimeKeeper, nicenessKeeper
	}
	limit := unix.Rlimit{Cur: spinning, Max: spun}
	if unix.Setrlimit(unix.RLIMIT_RTTIME, &limit) == nil && hasten(real) == nil {
		worked := make(chan os.Signal, 1)
		signal.Notify(worked, unix.SIGXCPU)
		go func() {
			for range worked {
				Lower()
				time.Sleep(rests)
				_ = hasten(real)
			}
		}()
		return "real-time priority", ""
	}
	Lower()
	if ofThreads(func(tid int) error { return unix.Setpriority(unix.PRIO_PROCESS, tid, nice) }) == nil {
		return fmt.Sprintf("raised priority (nice %d)", nice), grants
	}
	return "normal priority", grants
}

func hasten(priority uint32) error {
	return ofThreads(func(tid int) error {
		return unix.SchedSetAttr(tid, &unix.SchedAttr{Size: unix.SizeofSchedAttr, Policy: unix.SCHED_RR, Priority: priority}, 0)
	})
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
