package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"time"

	"lampblack/web"
)

// nightly runs the show of a book, as a process of its own that serves its own pages: the book goes on
// as it was, and what goes wrong in either leaves the other.
type nightly struct {
	dir   string
	words io.Writer

	mu   sync.Mutex
	run  *exec.Cmd     // nil while there is none
	link string        // to its Night page
	over chan struct{} // closes when it is over
	last string        // what it said last, of one that has failed
}

// mostBegins is how long a run may take until its pages are there: the light is worked out again
// where another program wrote meanwhile.
const mostBegins = 3 * time.Minute

// errRuns is that a run is on.
var errRuns = errors.New("a run of this show is on")

// bookLink is the line with which a book says where it is.
var bookLink = regexp.MustCompile(`^http://127\.0\.0\.1:\d+/#key=\S+$`)

// Begin begins a run, and returns where its Night page is when it is there.
func (n *nightly) Begin(ctx context.Context) (string, error) {
	ctx, cancel := context.WithTimeout(ctx, mostBegins)
	defer cancel()
	run, out, words, err := n.start()
	if err != nil {
		return "", err
	}
	found := make(chan string, 1)
	var said lastWords
	var read sync.WaitGroup
	read.Go(func() {
		for lines := bufio.NewScanner(out); lines.Scan(); {
			if line := lines.Text(); bookLink.MatchString(line) {
				found <- strings.Replace(line, "/#", "/night#", 1)
			} else {
				fmt.Fprintln(n.words, line)
			}
		}
	})
	read.Go(func() {
		for lines := bufio.NewScanner(words); lines.Scan(); {
			said.add(lines.Text())
			fmt.Fprintln(n.words, lines.Text())
		}
	})
	over := n.over
	go func() {
		read.Wait()
		err := run.Wait()
		n.mu.Lock()
		if n.run, n.link, n.last = nil, "", ""; err != nil {
			n.last = said.text()
		}
		n.mu.Unlock()
		close(over)
	}()
	select {
	case link := <-found:
		n.mu.Lock()
		n.link = link
		n.mu.Unlock()
		return link, nil
	case <-over:
		return "", errors.New("the run did not begin: " + said.text())
	case <-ctx.Done():
		return "", errors.Join(errors.New("the run did not begin in time"), n.End())
	}
}

// start starts the process.
func (n *nightly) start() (run *exec.Cmd, out, words io.Reader, err error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.run != nil {
		return nil, nil, nil, errRuns
	}
	program, err := os.Executable()
	if err != nil {
		return nil, nil, nil, err
	}
	run = exec.Command(program, "open", n.dir, "--run", "--address", "127.0.0.1:0")
	if out, err = run.StdoutPipe(); err == nil {
		words, err = run.StderrPipe()
	}
	if err == nil {
		err = run.Start()
	}
	if err == nil {
		n.run, n.over, n.last = run, make(chan struct{}), ""
	}
	return run, out, words, err
}

// slowEnd is how long a run may take to end: it brings the lights down.
const slowEnd = 15 * time.Second

// End ends the run as Ctrl-C does, and waits for that; none is no error.
func (n *nightly) End() error {
	n.mu.Lock()
	run, over := n.run, n.over
	n.mu.Unlock()
	if run == nil {
		return nil
	}
	if err := interrupt(run.Process); err != nil {
		return err
	}
	select {
	case <-over:
		return nil
	case <-time.After(slowEnd):
		return errors.New("the run does not end: end it in its own window")
	}
}

// Now tells what there is of a run.
func (n *nightly) Now() web.RunNow {
	n.mu.Lock()
	defer n.mu.Unlock()
	return web.RunNow{On: n.run != nil, Link: n.link, Said: n.last}
}

// lastWords keeps the last lines of what a process said.
type lastWords struct {
	mu   sync.Mutex
	list []string
}

const mostLast = 8

func (l *lastWords) add(line string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if line = strings.TrimSpace(strings.TrimPrefix(line, "lampblack: ")); line == "" {
		return
	}
	l.list = append(l.list, line)
	l.list = l.list[max(0, len(l.list)-mostLast):]
}

func (l *lastWords) text() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.list) == 0 {
		return "it said nothing"
	}
	return strings.Join(l.list, "; ")
}
