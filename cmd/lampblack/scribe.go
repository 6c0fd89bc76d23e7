package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"lampblack/web/admit"
)

// scribe keeps who may come, and what was asked, on the disk, so that no page and no frame waits
// for it.
type scribe struct {
	work chan func()
	done chan struct{}
	said bool // that something could not be kept
	tell func(what, text string)
}

// newScribe begins to write.
func newScribe(tell func(what, text string)) *scribe {
	s := &scribe{work: make(chan func(), 256), done: make(chan struct{}), tell: tell}
	go func() {
		defer close(s.done)
		for do := <-s.work; do != nil; do = <-s.work {
			do()
		}
	}()
	return s
}

// soon has something written; when the disk is too slow for what is asked, it is lost.
func (s *scribe) soon(do func()) {
	select {
	case s.work <- do:
	default:
	}
}

// close waits for what is to be written. What comes later, of requests that were cut off,
// goes nowhere.
func (s *scribe) close() {
	s.work <- nil
	<-s.done
}

// failed tells of the first that could not be kept.
func (s *scribe) failed(what string, err error) {
	if err != nil && !s.said {
		s.said = true
		s.tell("warning", fmt.Sprintf("%s cannot be kept: %v", what, err))
	}
}

// keepsDevices writes the list of devices of an address.
func (s *scribe) keepsDevices(address string) func([]admit.Device) {
	return func(list []admit.Device) {
		s.soon(func() {
			name, err := pairedFile(address)
			var data []byte
			if err == nil {
				data, err = json.Marshal(list)
			}
			if err == nil {
				err = writePrivate(context.Background(), name, data)
			}
			s.failed("which devices are paired", err)
		})
	}
}

// keepsOrders appends each order to the list of the night.
func (s *scribe) keepsOrders(journal string) func(admit.Asked) {
	var file *os.File
	var open string
	return func(o admit.Asked) {
		s.soon(func() {
			name, err := ordersFile(journal, o.Time)
			if err == nil && name != open {
				if file != nil {
					_ = file.Close()
				}
				if file, err = os.OpenFile(name, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600); err == nil {
					open = name
				}
			}
			var line []byte
			if err == nil {
				line, err = json.Marshal(o)
			}
			if err == nil {
				err = appendBounded(file, append(line, '\n'), mostOrders)
			}
			s.failed("what was asked for", err)
		})
	}
}

// besides is the journal of the run to come, for what is kept beside it.
func (f runFlags) besides(dir string) string {
	f.findJournal(io.Discard, dir)
	return f.journal
}

// mostOrders bounds the list of a night's orders, so that a flood fills no disk.
const mostOrders = 16 << 20

// appendBounded appends a line, unless the file is full.
func appendBounded(file *os.File, line []byte, most int64) error {
	at, err := file.Seek(0, io.SeekEnd)
	if err != nil {
		return err
	}
	if at+int64(len(line)) > most {
		return fmt.Errorf("%s is full", file.Name())
	}
	_, err = file.Write(line)
	return err
}

// ordersFile is the list of a night's orders: beside its journal, or else where the user's
// nights are.
func ordersFile(journal string, now time.Time) (string, error) {
	if journal != "" {
		return beside(journal, ".orders"), nil
	}
	dir, err := privateDir(nightsDir)
	return filepath.Join(dir, now.Add(-dayBegins).Format(time.DateOnly)+".orders"), err
}
