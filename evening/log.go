package evening

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"
)

// Log is what happens in a zone, in order. It keeps no event, only what they
// come to, so that a year needs no more memory than an evening. It belongs to
// one goroutine.
type Log struct {
	zone   string
	write  func(Event)
	state  State
	report Report
	run    string // begins the identifiers of a run: when it began
	count  int
}

// NewLog returns a log that goes on from a state, the zero value for a new
// evening, and hands each event to write, if that is not nil.
func NewLog(zone string, from State, write func(Event)) *Log {
	return &Log{zone: zone, write: write, state: from}
}

// Append takes in what has happened: the event's identifier and zone are given
// here, and its places become those that the log can hold.
func (l *Log) Append(e Event) {
	if l.run == "" {
		l.run = strconv.FormatInt(e.Time.UnixMicro(), 36)
	}
	l.count++
	e.ID, e.Zone = l.run+"-"+strconv.Itoa(l.count), l.zone
	e.At, e.From = e.At.Round(time.Microsecond), e.From.Round(time.Microsecond)
	e.Speed = math.Round(e.Speed*1e4) / 1e4
	l.report = l.report.after(l.state, e)
	l.state = l.state.After(e)
	if l.write != nil {
		l.write(e)
	}
}

// State is how the zone stands by what has happened.
func (l *Log) State() State { return l.state }

// Report is what has happened in sum.
func (l *Log) Report() Report { return l.report }

// maxLine bounds a line of a log that is read.
const maxLine = 64 << 10

// Read hands the events of a zone in a log to each, one JSON object a line. What
// was cut off in the middle of a line has not happened: the error names such
// lines, and the others are read all the same.
func Read(r io.Reader, zone string, each func(Event)) error {
	in := bufio.NewReaderSize(r, maxLine)
	first, damaged := 0, 0
	for n := 1; ; n++ {
		text, more, err := in.ReadLine()
		long := more
		for more && err == nil {
			_, more, err = in.ReadLine()
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return err
		}
		var e Event
		switch {
		case len(bytes.TrimSpace(text)) == 0:
		case long || json.Unmarshal(text, &e) != nil:
			if damaged++; damaged == 1 {
				first = n
			}
		case e.Zone == zone:
			each(e)
		}
		switch {
		case err == nil:
		case damaged == 0:
			return nil
		default:
			return fmt.Errorf("lines that are no whole event: %d, the first is line %d", damaged, first)
		}
	}
}
