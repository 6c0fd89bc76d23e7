package showreport

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"lampblack/evening"
	"lampblack/show"
	"lampblack/web/admit"
)

// teller goes through the events of a zone.
type teller struct {
	report *Report
	zone   *show.PlacedZone
	meter  *meter
	orders []admit.Asked
	alone  bool

	run   string // that the events are of
	state evening.State
	log   *evening.Log // which sums up
	out   Zone
	shut  bool
}

// faults are the kinds of events that say that something is wrong, and quiet those that say
// nothing beside the plan. Kinds that are in neither are told as they are: a journal may be of
// a newer program.
var (
	faults = map[evening.Kind]bool{evening.ClockLost: true, evening.OutputLost: true, evening.Fault: true, evening.Late: true, evening.AlarmSet: true, evening.AlarmLost: true}
	quiet  = map[evening.Kind]bool{evening.Cue: true, evening.Clock: true, evening.Began: true, evening.Ended: true}
)

// asked is what pages call the orders from which events come.
var asked = map[evening.Kind][]string{
	evening.Go: {"go"}, evening.Hold: {"hold"}, evening.Back: {"back"}, evening.Skip: {"skip", "seek", "sound skip for certain"}, evening.LightsUp: {"lights-up"}, evening.LightsDown: {"lights-down"}, evening.AlarmReset: {"alarm-reset"},
	evening.Froze: {"sound freeze light"}, evening.Unfroze: {"sound light on again"}, evening.StopAll: {"sound stop all"}, evening.Sound: {"sound sound level"}, evening.Extra: {"sound extra sound"}, evening.Trigger: {"press"}, evening.ByHand: {"hand", "doors/out"},
}

// soon is how long after an order its event comes at most: a frame, or the look of a unit that
// is taken out.
const soon = 3 * time.Second

// who finds who asked for what happened: the newest order of its name just before.
func (t *teller) who(e *evening.Event) string {
	found := ""
	for i := range t.orders {
		o := &t.orders[i]
		if o.Time.After(e.Time.Add(100 * time.Millisecond)) {
			break
		}
		if o.Said != admit.Done || e.Time.Sub(o.Time) > soon {
			continue
		}
		for _, name := range asked[e.Kind] {
			if o.Order == name || strings.HasPrefix(o.Order, name+" ") {
				found = o.Who
			}
		}
	}
	return found
}

// take takes an event.
func (t *teller) take(ctx context.Context, e evening.Event) {
	if ctx.Err() != nil || e.Time.IsZero() {
		return
	}
	r := t.report
	if r.From.IsZero() || e.Time.Before(r.From) {
		r.From = e.Time
	}
	if e.Time.After(r.To) {
		r.To = e.Time
	}
	if t.log == nil {
		t.log = evening.NewLog(t.zone.Name, evening.State{}, nil)
	}
	run, _, _ := strings.Cut(e.ID, "-")
	cut := t.state.Step != 0 && run != t.run // another run, and this one did not end
	t.run = run
	if !cut {
		t.meter.add(t.zone, t.state, e.Time, t.shut)
	} else if last := t.out.last(); last != nil { // what was between is not known
		last.Cut = true
	}
	t.log.Append(e)
	t.steps(&e, cut)
	t.happened(&e)
	switch e.Kind {
	case evening.Closes, evening.Tests:
		t.shut = true
	case evening.Opens, evening.Began:
		t.shut = false
	}
	t.state = t.state.After(e)
	if last := t.out.last(); last != nil && e.Version != "" {
		last.Version = e.Version
	}
}

// steps keeps the list of steps.
func (t *teller) steps(e *evening.Event, cut bool) {
	if last := t.out.last(); last != nil && t.state.Step != 0 && !cut {
		last.Length = max(0, e.Time.Sub(last.At).Seconds())
	}
	switch e.Kind {
	case evening.Began:
		step := max(e.Step, 1)
		p := Played{At: e.Time}
		if step <= len(t.zone.Evening.Steps) {
			s := &t.zone.Evening.Steps[step-1]
			p.Step, p.Usual = s.Name(), s.Usual().Seconds()
		} else {
			p.Step = fmt.Sprintf("step %d", step)
		}
		t.out.Steps = append(t.out.Steps, p)
	case evening.Cue:
		if last := t.out.last(); last != nil {
			last.Cues++
		}
	case evening.Ended:
		if e.Text != "" {
			t.report.frames(e.Text)
		}
	}
}

// frames keeps how late frames were; all zones of a run say the same.
func (r *Report) frames(text string) {
	if n := len(r.Frames); n == 0 || r.Frames[n-1] != text {
		r.Frames = append(r.Frames, text)
	}
}

// happened keeps what was beside the plan.
func (t *teller) happened(e *evening.Event) {
	r := t.report
	if quiet[e.Kind] {
		return
	}
	if len(r.Happened) == mostHappened {
		r.doubt("more happened than %d things: the rest stands in the journal", mostHappened)
	}
	if len(r.Happened) >= mostHappened {
		return
	}
	h := Happening{Time: e.Time, What: string(e.Kind), Text: e.Text, Who: t.who(e), Bad: faults[e.Kind]}
	if e.Kind == evening.Changed && h.Text == "" { // as it was written once
		h.Text = "from here on with other texts, or worked out for other units"
	}
	if !t.alone {
		h.Zone = t.zone.Name
	}
	r.Happened = append(r.Happened, h)
}

// end sums the zone up. A journal that ends without its end was cut off, or goes on.
func (t *teller) end() {
	t.out.Name, t.out.Lines = t.zone.Name, []string{}
	if t.out.Steps == nil {
		t.out.Steps = []Played{}
	}
	if t.log == nil {
		return
	}
	sum := t.log.Report()
	t.out.Ran, t.out.Lines = sum.Ran.Seconds(), append(t.out.Lines, sum.Lines()...)
	if last := t.out.last(); last != nil && t.state.Step != 0 {
		last.Cut = true
	}
}

func (z *Zone) last() *Played {
	if len(z.Steps) == 0 {
		return nil
	}
	return &z.Steps[len(z.Steps)-1]
}

// mostLine bounds a line of the list of orders.
const mostLine = 16 << 10

// ReadOrders reads the list of what was asked for, and how many lines of it are damaged.
func ReadOrders(in io.Reader) (list []admit.Asked, damaged int) {
	if in == nil {
		return nil, 0
	}
	lines := bufio.NewScanner(in)
	lines.Buffer(make([]byte, mostLine), mostLine)
	for lines.Scan() {
		var o admit.Asked
		switch text := lines.Bytes(); {
		case len(text) == 0:
		case json.Unmarshal(text, &o) != nil:
			damaged++
		default:
			list = append(list, o)
		}
	}
	if lines.Err() != nil {
		damaged++
	}
	return list, damaged
}
