package soundtrack

import (
	"encoding/json"
	"math"
	"time"
)

// seconds is a time as JSON has it: s, to the microsecond.
type seconds time.Duration

func (s seconds) MarshalJSON() ([]byte, error) {
	return json.Marshal(math.Round(time.Duration(s).Seconds()*1e6) / 1e6)
}

// short is a number with three decimals; what is none is 0.
type short float64

func (v short) MarshalJSON() ([]byte, error) {
	r := math.Round(float64(v)*1000) / 1000
	if math.IsNaN(r) || math.IsInf(r, 0) {
		r = 0
	}
	return json.Marshal(r)
}

// momentJSON is a moment as JSON has it. Times and levels of a hit are pointers, so that a 0 is
// written and what other moments do not have is left out.
type momentJSON struct {
	Kind     Kind     `json:"kind"`
	Time     seconds  `json:"time"`
	End      seconds  `json:"end"`
	Strength short    `json:"strength"`
	Why      string   `json:"why"`
	Rank     int      `json:"rank,omitempty"`
	Sort     string   `json:"sort,omitempty"`
	Low      *seconds `json:"low,omitempty"`
	High     *seconds `json:"high,omitempty"`
	Band     []short  `json:"band,omitempty"`   // Hz
	Attack   *seconds `json:"attack,omitempty"` // s
	Decay    *seconds `json:"decay,omitempty"`  // s
	Before   *short   `json:"before,omitempty"` // LUFS
	After    *short   `json:"after,omitempty"`  // LUFS
	Bar      int      `json:"bar,omitempty"`
	Beat     int      `json:"beat,omitempty"`
	Label    string   `json:"label,omitempty"`
}

// MarshalJSON writes kind, time, end, strength and why, times in seconds, and
// what else the kind of moment has.
func (m Moment) MarshalJSON() ([]byte, error) {
	j := momentJSON{Kind: m.Kind, Time: seconds(m.Time), End: seconds(m.End), Strength: short(m.Strength),
		Why: m.Why, Rank: m.Rank, Sort: m.Sort, Bar: m.Bar, Beat: m.Beat, Label: m.Label}
	if m.Kind == Hit {
		low, high, attack, decay := seconds(m.Low), seconds(m.High), seconds(m.Attack), seconds(m.Decay)
		before, after := short(m.Before), short(m.After)
		j.Low, j.High, j.Attack, j.Decay, j.Before, j.After = &low, &high, &attack, &decay, &before, &after
		j.Band = []short{short(m.Band[0]), short(m.Band[1])}
	}
	return json.Marshal(j)
}

type tempoJSON struct {
	From      seconds `json:"from"`
	To        seconds `json:"to"`
	BPM       short   `json:"bpm"`
	BeatsABar int     `json:"beats_a_bar,omitempty"`
}

type trackJSON struct {
	Duration  seconds     `json:"duration"`
	Rate      int         `json:"rate"`
	Channels  int         `json:"channels"`
	Hash      string      `json:"hash,omitempty"`
	Programme short       `json:"programme"` // LUFS
	Range     short       `json:"range"`     // LU
	Notes     []string    `json:"notes,omitempty"`
	Tempo     []tempoJSON `json:"tempo"`
	Counts    []countJSON `json:"counts"`
	Moments   []Moment    `json:"moments"`
}

type countJSON struct {
	Name  string `json:"name"`
	BPM   short  `json:"bpm"`
	Score short  `json:"score"`
}

// MarshalJSON writes the track with its moments and without its curves.
func (t *Track) MarshalJSON() ([]byte, error) {
	j := trackJSON{Duration: seconds(t.Duration), Rate: t.Rate, Channels: t.Channels, Hash: t.Hash,
		Programme: short(t.Programme), Range: short(t.Range), Notes: t.Notes,
		Tempo: []tempoJSON{}, Counts: []countJSON{}, Moments: t.Moments}
	if j.Moments == nil {
		j.Moments = []Moment{}
	}
	for _, s := range t.Tempo {
		j.Tempo = append(j.Tempo, tempoJSON{seconds(s.From), seconds(s.To), short(s.BPM), s.BeatsABar})
	}
	for _, b := range t.Hypotheses {
		j.Counts = append(j.Counts, countJSON{b.Name, short(b.BPM), short(b.Score)})
	}
	return json.Marshal(j)
}
