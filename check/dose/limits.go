// Package dose checks ultraviolet and blue light at every eye: give [Family] to a
// run of package check; [Reach] and [Axis] tell distances, and [Log] writes the
// log of a run's days.
//
// The model: irradiance is linear in the drives, so that a show's dose is a sum
// over the corners of its trace; a day is its shows and its rehearsal. The eye
// turns to every lamp, lamps give the upper end of their output, nothing shades
// the eye. A lens is even; the scene is an even half space.
//
// Sources: ICNIRP 2004, Directive 2006/25/EC annex I table 1.1, IEC 62471:2006
// (some from memory), CIE position statement 2019 as quoted; the child's half of
// the dose is common practice.
//
// It does not see: skin, medicines, daylight, sunglasses, other lamps, wavelengths
// below 300 nm.
package dose

import (
	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/room"
)

// Family looks at optical radiation.
var Family = subject.NewFamily(open, table...)

// limits is one run over the family's table.
type limits struct {
	*subject.Run
	integrals []float64 // of each drive's level over the show, in s
	exposures map[room.Sense][]Exposure
	ways      [][]stretch // by eye; each is made by who works on that eye
}

func open(r *subject.Run) *limits {
	l := &limits{Run: r, exposures: map[room.Sense][]Exposure{}}
	l.integrals = integrals(r.Trace(), len(r.Rig().Drives))
	l.ways = make([][]stretch, len(r.Transport().Eyes))
	return l
}

var table = []subject.Limit[*limits]{
	{Measure: (*limits).ultraviolet, Tells: finding.Tells{"uv-dose": "UV-A dose of an eye over the day"}},
	{Measure: (*limits).actinic, Tells: finding.Tells{"uv-actinic": "weighted ultraviolet dose of an eye over the day"}},
	{Measure: (*limits).lampLimit, Tells: finding.Tells{"uv-irradiance": "UV-A irradiance at an eye beside the limit of the lamp standard"}},
	{Measure: (*limits).keepOut, Tells: finding.Tells{"uv-keep-out": "distance to keep from a lamp that gives ultraviolet"}},
	{Measure: (*limits).held, Tells: finding.Tells{"uv-held": "ultraviolet that stays when the data stops"}},
	{Measure: (*limits).full, Tells: finding.Tells{"day-full": "more shows and rehearsal than a day holds"}},
	{Measure: (*limits).gaze, Tells: finding.Tells{"blue-gaze": "blue-light radiance of a lens that an eye sees"}},
	{Measure: (*limits).blueRoom, Tells: finding.Tells{"blue-room": "blue-light exposure of an eye over the day"}},
}

// exposed returns what all eyes take of a sense, worked out once.
func (r *limits) exposed(sense room.Sense) []Exposure {
	if r.exposures[sense] == nil {
		all := make([]Exposure, len(r.Transport().Eyes))
		subject.Each(len(all), func(e int) { all[e] = r.exposure(e, sense) })
		r.exposures[sense] = all
	}
	return r.exposures[sense]
}
