package evening

import (
	"encoding/json"
	"time"
)

// Kind says what happened.
type Kind string

// What happens in an evening. Go, Skip and Back take the show elsewhere or let
// it go on; Cue and Ended tell what followed from the rest.
const (
	Began      Kind = "run"            // the step begins
	Resumed    Kind = "resume"         // a run takes up one that was cut off
	Go         Kind = "go"             // on from a hold, or in a piece without sound to the next cue
	Skip       Kind = "skip"           // to a time
	Back       Kind = "back"           // to the start of this cue, or of the one before
	Hold       Kind = "hold"           // time stands, the light stays
	LightsUp   Kind = "lights up"      // everyone has light; time stands
	LightsDown Kind = "lights down"    // the show's light is back
	Froze      Kind = "freeze light"   // the light stands, time and sound go on
	Unfroze    Kind = "light on again" // the light goes back to where the show is
	StopAll    Kind = "stop all"       // time and light stand, the sound fades out
	ClockLost  Kind = "clock lost"     // what the show goes by is gone
	ClockFound Kind = "clock found"    // and is back
	Clock      Kind = "clock"          // it begins to move, or stands, by itself
	Sound      Kind = "sound level"    // a hand has lowered the sound of the piece, or brought it back
	Extra      Kind = "extra sound"    // one began; Text is its name
	Cue        Kind = "cue"            // a cue began; Text is its number
	Released   Kind = "release"        // what was waited for came; Text says what
	Trigger    Kind = "trigger"        // a trigger came that was waited for; Text is its name
	Missed     Kind = "missed"         // a trigger came that nothing waited for; Text is its name
	Opens      Kind = "opens"          // the hours of the place: Text says why
	Closes     Kind = "closes"
	Tests      Kind = "self-test"
	ByHand     Kind = "hand"             // trims and units that are out, as they now are
	Changed    Kind = "version"          // the run goes on with other texts, or without a unit; Text says what is another
	Doors      Kind = "doors"            // the round before doors is done; Text is what it came to
	AlarmSet   Kind = "alarm"            // an alarm came: lights up, sound off, time stands; Text is the input's name, and why
	AlarmReset Kind = "alarm reset"      // by hand; the lights stay up. Text says who, and what had said alarm
	AlarmLost  Kind = "alarm input lost" // one can say nothing; Text is its name, and why
	AlarmFound Kind = "alarm input found"
	AlarmTried Kind = "alarm tried" // an input is seen to work: it said alarm, and was reset; Text is its name
	LampSet    Kind = "lamp set"    // a lamp was given an address or a mode by RDM; Text is which, before and after
	Ended      Kind = "end"         // the run is over

	OutputLost  Kind = "output lost"  // nothing of an output arrives; Text is its name and why
	OutputFound Kind = "output found" // and again it does; Text is its name and after how long
	Fault       Kind = "fault"        // something else is wrong beside the clock; Text is what
	FaultOver   Kind = "fault over"
	Late        Kind = "late" // frames leave after their time, or not at all
	OnTime      Kind = "on time"
	Softened    Kind = "softened" // light was held that would have flashed too often; Text says how often
)

// Event is one thing that happened.
type Event struct {
	ID    string // no other event of the zone has it
	Zone  string // what the show lights: its title, where a place has no names for its parts
	Time  time.Time
	Kind  Kind
	At    time.Duration // on the show's line, after it
	From  time.Duration // on the show's line, before it: another for what jumps
	Speed float64       // of the clock, after it: seconds of the show a second
	Text  string        // for a person: the fault of a clock, the number of a cue

	Version string  // of the show that Began, Resumed or Changed; "" where it has none
	Step    int     // of the running order, from 1, that Began or Resumed; 0 is 1
	Waited  Waited  // the waits of the piece that are over, after it
	Stands  Stands  // the light that Froze keeps
	Enters  Stands  // the light with which a step Began, where it is not that which the order says
	Lowered float64 // dB below its own at which Sound has the sound: [Off] and more is off
}

// line is an event as JSON; times on the show's line in seconds.
type line struct {
	ID    string    `json:"id"`
	Zone  string    `json:"zone,omitempty"`
	Time  time.Time `json:"time"`
	Kind  Kind      `json:"what"`
	At    float64   `json:"at"`
	From  *float64  `json:"from,omitempty"`
	Speed float64   `json:"speed"`
	Text  string    `json:"text,omitempty"`

	Version string  `json:"version,omitempty"`
	Step    int     `json:"step,omitempty"`
	Waited  Waited  `json:"waited,omitempty"`
	Stands  Stands  `json:"stands,omitempty"`
	Enters  Stands  `json:"enters,omitempty"`
	Lowered float64 `json:"lowered,omitempty"`
}

// MarshalJSON writes the event as a line of a log. Places on the show's line are
// in microseconds.
func (e Event) MarshalJSON() ([]byte, error) {
	l := line{e.ID, e.Zone, e.Time, e.Kind, e.At.Seconds(), nil, e.Speed, e.Text, e.Version, e.Step, e.Waited, e.Stands, e.Enters, e.Lowered}
	if e.From != e.At {
		from := e.From.Seconds()
		l.From = &from
	}
	return json.Marshal(l)
}

// UnmarshalJSON reads a line of a log.
func (e *Event) UnmarshalJSON(b []byte) error {
	var l line
	if err := json.Unmarshal(b, &l); err != nil {
		return err
	}
	*e = Event{ID: l.ID, Zone: l.Zone, Time: l.Time, Kind: l.Kind, At: seconds(l.At), Speed: l.Speed, Text: l.Text, Version: l.Version, Step: min(max(l.Step, 0), mostSteps), Waited: Wait(l.Waited.Gaps(mostWaits)), Stands: Stand(l.Stands.Levels()), Enters: Stand(l.Enters.Levels()), Lowered: min(max(l.Lowered, 0), Off)}
	e.From = e.At
	if l.From != nil {
		e.From = seconds(*l.From)
	}
	return nil
}

// Off is how many dB below its own a sound is off.
const Off = 100

// mostWaits bounds the waits that a damaged line can name.
const mostWaits = 1000

// longest is how far a place on a show's line can be: a week.
const longest = 7 * 24 * 3600

// mostSteps bounds the step that a damaged line can name.
const mostSteps = 1 << 20

func seconds(v float64) time.Duration {
	v = min(max(v, -longest), longest)
	return time.Duration(v * 1e9).Round(time.Microsecond)
}
