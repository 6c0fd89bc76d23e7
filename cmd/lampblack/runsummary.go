package main

import (
	"fmt"
	"io"
	"time"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/output"
	"lampblack/si"
)

// summaryJSON is the form of run --json; times in milliseconds.
type summaryJSON struct {
	Frames  int          `json:"frames"`
	End     float64      `json:"end"`
	Stopped bool         `json:"stopped"`
	Median  float64      `json:"late_median_ms"`
	P999    float64      `json:"late_p999_ms"`
	Worst   float64      `json:"late_worst_ms"`
	Missed  int          `json:"missed"`
	Outputs []outputJSON `json:"outputs"`
	Report  reportJSON   `json:"report"`
	Zones   []zoneJSON   `json:"zones,omitempty"` // of a place of several
}

type zoneJSON struct {
	Name   string     `json:"zone"`
	Report reportJSON `json:"report"`
}

// reportJSON is what happened beside the plan; times in seconds.
type reportJSON struct {
	Ran      float64 `json:"ran"`
	Holds    int     `json:"holds"`
	Held     float64 `json:"held"`
	Freezes  int     `json:"light_frozen"`
	Frozen   float64 `json:"frozen"`
	Stops    int     `json:"all_stopped"`
	LightsUp int     `json:"lights_up"`
	Up       float64 `json:"up"`
	Jumps    int     `json:"jumps"`
	Losses   int     `json:"clock_losses"`
	Lost     float64 `json:"clock_lost"`
	Fault    string  `json:"clock_fault,omitempty"`
	Cut      int     `json:"cut_off,omitempty"` // and taken up
	Triggers int     `json:"triggers,omitempty"`
	Missed   int     `json:"triggers_missed,omitempty"`
	Outputs  int     `json:"outputs_lost,omitempty"`
	Away     float64 `json:"outputs_lost_s,omitempty"`
	Output   string  `json:"output_lost,omitempty"` // the last, and why
	Faults   int     `json:"faults,omitempty"`
	Other    string  `json:"fault,omitempty"` // the last
	Slow     int     `json:"frames_late,omitempty"`
	Slowed   float64 `json:"frames_late_s,omitempty"`
}

func reportOf(r evening.Report) reportJSON {
	seconds := func(d time.Duration) float64 { return d.Round(time.Millisecond).Seconds() }
	return reportJSON{seconds(r.Ran), r.Holds, seconds(r.Held), r.Freezes, seconds(r.Frozen), r.Stops, r.LightsUp, seconds(r.Up), r.Jumps, r.Losses, seconds(r.Lost), r.Fault, r.Cut, r.Triggers, r.Missed,
		r.Outputs, seconds(r.Away), r.Output, r.Faults, r.Other, r.Slow, seconds(r.Slowed)}
}

type outputJSON struct {
	Name    string `json:"name"`
	Sent    uint64 `json:"sent"`
	Packets uint64 `json:"packets"`
	Dropped uint64 `json:"dropped"`
	Error   string `json:"error,omitempty"`

	Reconnects uint64      `json:"reconnects,omitempty"`
	Faults     []faultJSON `json:"faults,omitempty"` // as the run ended
}

// faultJSON is what is wrong with an output.
type faultJSON struct {
	Cause output.Cause `json:"cause"`
	Lost  bool         `json:"lost"` // nothing of it arrives
	Since time.Time    `json:"since"`
	Text  string       `json:"text"`
	Hint  string       `json:"hint"`
}

func outputOf(o *output.Summary) outputJSON {
	out := outputJSON{o.Name, o.Stats.Sent, o.Stats.Packets, o.Stats.Dropped, o.Stats.LastError, o.Stats.Reconnects, nil}
	for _, f := range o.Stats.State.Faults {
		if f.Degree > output.Aside {
			out.Faults = append(out.Faults, faultJSON{f.Cause, f.Degree == output.Wholly, f.Since, f.Text, f.Hint})
		}
	}
	return out
}

func printSummary(w io.Writer, s play.Summary, asJSON bool) error {
	ms := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
	if asJSON {
		out := summaryJSON{Frames: s.Frames, End: s.End.Seconds(), Stopped: s.Stopped, Median: ms(s.Late.Median), P999: ms(s.Late.P999), Worst: ms(s.Late.Worst), Missed: s.Late.Missed, Outputs: []outputJSON{}, Report: reportOf(s.Report)}
		for i := range s.Outputs {
			out.Outputs = append(out.Outputs, outputOf(&s.Outputs[i]))
		}
		for _, z := range s.Zones {
			out.Zones = append(out.Zones, zoneJSON{z.Name, reportOf(z.Report)})
		}
		return writeJSON(w, out)
	}
	fmt.Fprintf(w, "ended at %s after %d frames; %v\n", si.FormatTime(s.End), s.Frames, s.Late)
	for _, line := range s.Report.Lines() {
		if len(s.Zones) == 0 {
			fmt.Fprintln(w, line)
		}
	}
	for _, z := range s.Zones {
		for _, line := range z.Report.Lines() {
			fmt.Fprintln(w, z.Name+": "+line)
		}
	}
	for _, o := range s.Outputs {
		fmt.Fprintf(w, "%s: %d frames sent, %d dropped", o.Name, o.Stats.Sent, o.Stats.Dropped)
		if o.Stats.LastError != "" {
			fmt.Fprintf(w, "; last error: %s", o.Stats.LastError)
		}
		fmt.Fprintln(w)
	}
	return nil
}
