//go:build linux || darwin

package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"runtime"
	"syscall"

	"github.com/spf13/cobra"
	"golang.org/x/sys/unix"
	"golang.org/x/term"

	"lampblack/play/keeper"
	"lampblack/play/output"
)

// What a keeper tells the process that it starts: that it has the line, and what became of
// the one before.
const (
	lineEnv  = "LAMPBLACK_LINE"
	againEnv = "LAMPBLACK_AGAIN"
	lineFile = 3 // its file descriptor
)

// keep is the keeper of a run.
func keep(c *cobra.Command, args []string, run func(*cobra.Command, []string) error) error {
	program, err := os.Executable()
	if err != nil { // where the system does not say what runs, this process is all there is
		return run(c, args)
	}
	signal.Ignore(syscall.SIGPIPE) // a pipe that nobody reads must not end a show
	ends := make(chan os.Signal, 1)
	signal.Notify(ends, syscall.SIGQUIT) // of itself it would end this process without a last word to the lamps
	if !signal.Ignored(syscall.SIGHUP) {
		signal.Notify(ends, syscall.SIGHUP)
	}
	go func() {
		for range ends {
			stop.stop()
		}
	}()
	stop.patient = true
	runtime.GOMAXPROCS(max(4, runtime.GOMAXPROCS(0))) // one for each that sends
	granted, hint := keeper.Raise(true)
	in := int(os.Stdin.Fd())
	cooked, terminal := term.GetState(in)
	restore := func() {
		if terminal == nil {
			_ = term.Restore(in, cooked)
		}
	}
	defer restore()
	status, err := keeper.Keep(c.Context(), keeper.Options{
		Start: func(again *keeper.Again) (*keeper.Child, error) { restore(); return startRun(program, again) },
		Outputs: func(o *keeper.Opening) ([]output.Sink, func(), error) {
			sinks, err := openSinks(o.Outputs, awaits(o.Standby, o.Allies))
			if err != nil {
				return nil, nil, err
			}
			return sinks, noticeOthers(func(what, text string) { say(c.ErrOrStderr(), what, text) }, o.Show, sinks, o.Allies), nil
		},
		Tell:    func(what, text string) { restore(); say(c.ErrOrStderr(), what, text) },
		Granted: granted, Hint: hint, Tries: tries,
	})
	if err == nil && status != 0 {
		err = errRun(status)
	}
	return err
}

// startRun starts this program again, as the process that computes. It shares the terminal,
// and has the line as one more open file.
func startRun(program string, again *keeper.Again) (*keeper.Child, error) {
	ends, err := unix.Socketpair(unix.AF_UNIX, unix.SOCK_STREAM, 0)
	if err != nil {
		return nil, err
	}
	unix.CloseOnExec(ends[0])
	unix.CloseOnExec(ends[1])
	ours, theirs := os.NewFile(uintptr(ends[0]), "line"), os.NewFile(uintptr(ends[1]), "line")
	defer theirs.Close()
	conn, err := net.FileConn(ours)
	ours.Close()
	if err != nil {
		return nil, err
	}
	run := exec.Command(program)
	run.Args = os.Args
	run.Stdin, run.Stdout, run.Stderr = os.Stdin, os.Stdout, os.Stderr
	run.ExtraFiles = []*os.File{theirs}
	run.Env = append(os.Environ(), fmt.Sprintf("%s=%d", lineEnv, lineFile))
	if again != nil {
		text, err := json.Marshal(again)
		if err != nil {
			return nil, errors.Join(err, conn.Close())
		}
		run.Env = append(run.Env, againEnv+"="+string(text))
	}
	if err := run.Start(); err != nil {
		return nil, errors.Join(err, conn.Close())
	}
	done := make(chan int, 1)
	go func() {
		_ = run.Wait()
		done <- run.ProcessState.ExitCode() // -1 for a signal
	}()
	return &keeper.Child{Conn: conn, Done: done, Kill: run.Process.Kill}, nil
}

// takeLine takes up the line to the keeper, if this process was started by one. It is the
// keeper that signals mean; it says when the run is to end.
func takeLine() {
	text, has := os.LookupEnv(lineEnv)
	if !has {
		return
	}
	_ = os.Unsetenv(lineEnv)
	file := os.NewFile(lineFile, "line "+text)
	conn, err := net.FileConn(file)
	file.Close()
	if err != nil {
		return // it was not a keeper that set the name
	}
	keeper.Lower()
	signal.Ignore(os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGPIPE)
	go tellGoroutines()
	if text, has := os.LookupEnv(againEnv); has {
		_ = os.Unsetenv(againEnv)
		again = &keeper.Again{}
		if json.Unmarshal([]byte(text), again) != nil {
			again = nil
		}
	}
	toKeeper = keeper.Dial(conn)
	go func() {
		select {
		case <-toKeeper.Stopped():
		case <-toKeeper.Gone():
			say(os.Stderr, "error", keeper.ErrGone.Error())
		}
		stop.stop()
	}()
}

// tellGoroutines says on SIGQUIT what each goroutine does, as Go does by itself, and lets the show
// go on: it is for those who look for a fault while it runs.
func tellGoroutines() {
	asked := make(chan os.Signal, 1)
	signal.Notify(asked, syscall.SIGQUIT)
	for range asked {
		text := make([]byte, 1<<20)
		_, _ = os.Stderr.Write(text[:runtime.Stack(text, true)])
	}
}
