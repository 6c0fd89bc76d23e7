package web

import (
	"sync"
	"time"
)

// Playhead is where a run is, as play reports it.
type Playhead struct {
	At       float64 `json:"at"`       // s from the first sample
	Running  bool    `json:"running"`  // frames go out
	Idle     bool    `json:"idle"`     // of no show: the lamps are a hand's alone
	Held     bool    `json:"held"`     // time stands still until go
	LightsUp bool    `json:"lightsUp"` // everyone has light, whatever the show says
	Cue      string  `json:"cue"`      // number of the last cue that has started, "" before the first
	Clock    string  `json:"clock"`    // what drives time, as "the computer's clock"
	State    string  `json:"state"`    // the clock's: "held", "runs", "freewheels" or "lost"; "" when nobody says
	Speed    float64 `json:"speed"`    // seconds of the show in a second: 0 stands
	Fault    string  `json:"fault"`    // what is wrong with the clock, "" for nothing
	Hint     string  `json:"hint"`     // what to do about it
	Stage    Stage   `json:"stage"`    // of an evening or a place of zones
	Look     string  `json:"look"`     // that stands or comes up, of the first zone
	Hand     string  `json:"hand"`     // what a hand holds, in words; "" for nothing
	Hands    int     `json:"hands"`    // rises with whatever a hand does
	Hearing  Hearing `json:"hearing"`  // what is heard beside the order
	Alarm    Alarm   `json:"alarm"`    // that stands
	Doors    string  `json:"doors"`    // what the round before doors came to, "" for none yet
	Wrong    []Wrong `json:"wrong"`    // what else is wrong now, the gravest first
	Edit     Edit    `json:"edit"`     // of the show's files
}

// Edit is a change of the show's files while it runs.
type Edit struct {
	Text    string `json:"text"`    // which, or what is wrong with it; "" for none
	Offered bool   `json:"offered"` // it can be taken
	Back    bool   `json:"back"`    // one was taken that can be taken back
}

// Wrong is something that is wrong with an output or with the computer, and what to do.
type Wrong struct {
	Of    string `json:"of"` // the output, or the computer
	Text  string `json:"text"`
	Hint  string `json:"hint"`
	Since string `json:"since"` // the time of day
	Lost  bool   `json:"lost"`  // nothing of it arrives
}

// Alarm is an alarm that stands: no order moves the light until it is reset.
type Alarm struct {
	Stands bool   `json:"stands"`
	Text   string `json:"text"`   // since when, and by what
	Hint   string `json:"hint"`   // what to do
	Notice string `json:"notice"` // about what was asked for last
}

// Stage is where an evening is, or the zones of a place are, in words: their steps are not
// the cues of the book's own piece. Now is "" where the book's piece is all there is.
type Stage struct {
	Now      string     `json:"now"`
	NowWhy   string     `json:"nowWhy"`
	Next     string     `json:"next"`
	NextWhy  string     `json:"nextWhy"` // what brings it: go, a time, a trigger
	Count    float64    `json:"count"`   // s until then; negative when nobody knows
	Standby  string     `json:"standby"` // what is said before a go that is near
	Notice   string     `json:"notice"`  // about what was asked for last
	Away     bool       `json:"away"`    // what runs is not the book's piece
	Zones    []ZoneLine `json:"zones"`
	Triggers []string   `json:"triggers"` // that have a button on the page
}

// ZoneLine is how a zone stands.
type ZoneLine struct {
	Zone string `json:"zone"`
	Text string `json:"text"`
}

// silent is how long a run may say nothing before it counts as over: it
// reports some ten times a second.
const silent = 2 * time.Second

// report is a playhead and when it came.
type report struct {
	Playhead
	came time.Time
}

// at returns the playhead as it may be believed now: a run that went away
// without a word does not go on for ever.
func (r report) at(now time.Time) Playhead {
	p := r.Playhead
	p.Hearing = p.Hearing.whole()
	if p.Wrong == nil {
		p.Wrong = []Wrong{}
	}
	if now.Sub(r.came) > silent {
		p.Running = false
	}
	return p
}

// news is a mailbox that many readers watch: the newest value wins, and a slow reader
// misses what lay between. A reader takes the value and the channel together, so it
// cannot miss a change between the two.
type news[T any] struct {
	mu      sync.Mutex
	value   T
	changed chan struct{} // closed and replaced on every set
}

func newNews[T any](v T) *news[T] {
	return &news[T]{value: v, changed: make(chan struct{})}
}

func (n *news[T]) set(v T) { n.update(func(T) T { return v }) }

func (n *news[T]) update(f func(T) T) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.value = f(n.value)
	close(n.changed)
	n.changed = make(chan struct{})
}

// get returns the newest value and a channel that closes when it is old.
func (n *news[T]) get() (T, <-chan struct{}) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.value, n.changed
}
