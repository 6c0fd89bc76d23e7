// Package showreport says what a night came to: give [Of] its journal and the show that ran,
// and it answers what ran and when, what happened and who asked for it, how long the lamps
// burned, and the ultraviolet that people had; [Report.Against] says what is another than
// the night before.
//
//	journal ─ evening.Read ─▶ events ─┬─▶ steps, what happened, sums
//	orders ── ReadOrders ──▶ who ─────┘
//	show ──── light of each state between two events ──▶ hours of lamps, doses at eyes
//
// The light is that of the show as it is now; where another version ran that night the
// report says so. What a hand held over it, and trims, stand in it as words alone.
package showreport

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/show"
	"lampblack/web/admit"
)

// Report is what a night came to. Times in it are seconds where they are lengths.
type Report struct {
	Title    string      `json:"title"`
	Night    string      `json:"night"` // its date
	From     time.Time   `json:"from"`
	To       time.Time   `json:"to"`
	Zones    []Zone      `json:"zones"`
	Happened []Happening `json:"happened"`
	Asked    []Asker     `json:"asked"`
	Lamps    []Burned    `json:"lamps"`
	People   []Person    `json:"people"`
	Frames   []string    `json:"frames"` // how late they were, of each run that ended
	Doubts   []string    `json:"doubts"` // what is not known, or not counted
}

// Zone is what a zone did: that of the title where a place has no zones.
type Zone struct {
	Name  string   `json:"zone"`
	Ran   float64  `json:"ran"` // s
	Lines []string `json:"lines"`
	Steps []Played `json:"steps"`
}

// Played is a step of the running order as it was.
type Played struct {
	Step   string    `json:"step"` // "" where the show is all there is
	At     time.Time `json:"at"`
	Length float64   `json:"length"` // s
	Usual  float64   `json:"usual"`  // s
	Cues   int       `json:"cues"`   // that began
	Cut    bool      `json:"cut"`    // the journal breaks off in it

	Version string `json:"version,omitempty"` // of the show that ran
}

// Happening is a line of what happened beside the plan.
type Happening struct {
	Time time.Time `json:"time"`
	Zone string    `json:"zone,omitempty"`
	What string    `json:"what"`
	Text string    `json:"text,omitempty"`
	Who  string    `json:"who,omitempty"` // who asked for it, if a page did
	Bad  bool      `json:"bad,omitempty"` // it was a fault
}

// Asker is who asked for how much.
type Asker struct {
	Who     string `json:"who"`
	Done    int    `json:"done"`
	Refused int    `json:"refused"`
	Why     string `json:"why,omitempty"` // the last that was refused
}

// Burned is how long a unit burned, in hours.
type Burned struct {
	Unit   string  `json:"unit"`
	Lit    float64 `json:"lit"`    // with any light
	Full   float64 `json:"full"`   // at full light that would give as much
	Violet float64 `json:"violet"` // with black light
}

// Person is the ultraviolet of somebody who was there all night.
type Person struct {
	Name  string  `json:"name"`
	Kind  string  `json:"kind"`
	Dose  float64 `json:"dose"`  // J/m² of UV-A, upper end
	Limit float64 `json:"limit"` // J/m² in a day
	Hours float64 `json:"hours"` // in which there was any
}

// mostHappened bounds the list of what happened.
const mostHappened = 5000

// Night is what a report is made of.
type Night struct {
	Name    string
	Journal io.ReadSeeker
	Orders  io.Reader // may be nil
	Place   *show.Place
	Hours   *calendar.Calendar // may be nil
}

// Of makes the report of a night.
func Of(ctx context.Context, n Night) (*Report, error) {
	r := &Report{Title: n.Place.Bill.Title, Night: n.Name, Zones: []Zone{}, Happened: []Happening{}, Asked: []Asker{}, Lamps: []Burned{}, People: []Person{}, Frames: []string{}, Doubts: []string{}}
	orders, left := ReadOrders(n.Orders)
	if left > 0 {
		r.doubt("%d lines of the list of orders are damaged and left out", left)
	}
	m := newMeter(n.Place, n.Hours)
	for i := range n.Place.Zones {
		if _, err := n.Journal.Seek(0, io.SeekStart); err != nil {
			return nil, err
		}
		t := &teller{report: r, zone: &n.Place.Zones[i], meter: m, orders: orders, alone: len(n.Place.Zones) == 1}
		err := evening.Read(n.Journal, t.zone.Name, func(e evening.Event) { t.take(ctx, e) })
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil && i == 0 {
			r.doubt("journal: %v", err)
		}
		t.end()
		r.Zones = append(r.Zones, t.out)
	}
	if r.From.IsZero() {
		return nil, errNothing
	}
	slices.SortStableFunc(r.Happened, func(a, b Happening) int { return a.Time.Compare(b.Time) })
	r.Asked = whoAsked(orders)
	r.Lamps, r.People = m.lamps(), m.people(ctx)
	if names := r.others(n.Place); len(names) > 0 {
		r.doubt("changed since, or that night: %s; hours and doses are those of the show as it is now", strings.Join(names, ", "))
	}
	return r, nil
}

// others are the steps that ran in another version than that which they have now.
func (r *Report) others(p *show.Place) (names []string) {
	for i := range r.Zones {
		now := map[string]string{}
		for _, s := range p.Zones[i].Evening.Steps {
			if len(s.Show.Waits) == 0 { // the others have another length each night
				now[s.Name()] = string(s.Show.Version())
			}
		}
		for _, s := range r.Zones[i].Steps {
			name := or(s.Step, "the show")
			if v := now[s.Step]; v != "" && s.Version != "" && v != s.Version && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}

// errNothing is that a journal tells of nothing that this show ran.
var errNothing = errors.New("the journal tells of nothing that this show ran")

func (r *Report) doubt(format string, args ...any) {
	r.Doubts = append(r.Doubts, fmt.Sprintf(format, args...))
}

// whoAsked sums orders up, those who asked most first.
func whoAsked(orders []admit.Asked) []Asker {
	list := []Asker{}
	for _, o := range orders {
		i := slices.IndexFunc(list, func(a Asker) bool { return a.Who == o.Who })
		if i < 0 {
			i = len(list)
			list = append(list, Asker{Who: o.Who})
		}
		if n := max(o.Times, 1); o.Said == admit.Done {
			list[i].Done += n
		} else {
			list[i].Refused += n
			list[i].Why = o.Said
		}
	}
	slices.SortStableFunc(list, func(a, b Asker) int { return b.Done + b.Refused - a.Done - a.Refused })
	return list
}
