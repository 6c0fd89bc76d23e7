// Package cues checks where cues stand and how their fades run: give [Family] to
// a run of package check.
//
// The model: an accent is meant for the strong hit that is nearest within 0.3 s;
// light and sound meet at a seat after the delays that the show states and the
// sound's way at 343 m/s; a fade is read back off the slots, as the units will
// show it, and its lightness (CIE L*) may neither leap nor turn back.
//
// Sources: ATSC IS-191 (from memory), ITU-R BT.1359-1; the limits of smoothness,
// and light that is at most 20 ms late, are this tool's choice; density and calm
// are the director's own brief.
//
// It does not see: whether a cue is beautiful, what a unit's own smoothing does
// beyond what its file says, echoes.
package cues

import (
	"lampblack/check/finding"
	"lampblack/check/subject"
)

// limits is one run over the family's table.
type limits struct {
	*subject.Run
	stands bool // it is a look that stands without cues
}

// Family looks at the cues of a score.
var Family = subject.NewFamily(func(r *subject.Run) *limits { return &limits{Run: r} }, table...).OfScore()

var table = []subject.Limit[*limits]{
	{Measure: (*limits).landings, Tells: finding.Tells{"cue-off": "a cue lands off its moment"}},
	{Measure: (*limits).unreached, Tells: finding.Tells{"cue-unreached": "a cue that nobody will see"}},
	{Measure: (*limits).hidden},
	{Measure: (*limits).order, Tells: finding.Tells{"cue-order": "the number of a cue is out of its order in time"}},
	{Measure: (*limits).cut, Tells: finding.Tells{"fade-cut": "the next cue takes over before a fade is done"}},
	{Measure: (*limits).density, Tells: finding.Tells{"cue-density": "more cues in a minute than the brief allows"}},
	{Measure: (*limits).calm, Tells: finding.Tells{"cue-calm": "a flash, a bump or a snap in a span that wants calm"}},
	{Measure: (*limits).seats, Tells: finding.Tells{"cue-seat": "light and sound of a cue do not meet at a seat"}},
	{Measure: (*limits).jumps, Tells: finding.Tells{"fade-jumps": "the light of a unit leaps, or turns back, within a fade"}},
	moving,
}

// Moving looks at what moves by itself alone, as in a look that stands without cues.
var Moving = subject.NewFamily(func(r *subject.Run) *limits { return &limits{Run: r, stands: true} }, moving).OfScore()

var moving = subject.Limit[*limits]{Measure: (*limits).movements, Tells: finding.Tells{
	"movement-softened": "light that moves by itself was made less, or slower, so that it does not flash too often",
	"movement-beat":     "light that moves with a beat that is not sure, or with a sound that is not there",
}}
