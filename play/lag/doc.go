// Package lag finds how long after the light of a flash the sound of a click is at a place,
// from what the camera and the microphone of one phone took there.
//
// A frame of a camera lasts 33 ms and its rows are read one after another, so that one flash
// says little. Many do: their instants are drawn by chance, so that frames fall on them
// everywhere. What is not yet lit of the frames about a flash, added up, says when it began, and
// in the mean over many it does not matter how far frames are apart. A curve that is laid
// through all of them tells how long the rows take to be read, which shifts each band of rows
// by its own, and how long one is exposed. The interval is that of a mean, from how far the
// flashes lie apart.
//
// Which clock the phone has does not matter: the pattern of the clicks, which is drawn by
// chance too, is looked for in what was heard, and sets the phone's clock.
//
// Camera and microphone of a phone have delays of their own that nothing here can tell. They
// are the same at two places as long as the camera stays open: differences are free of them.
package lag

import (
	"fmt"
	"math"
	"time"
)

// Repeat is one flash with its click, in seconds of the show's clock: when the light was sent
// and when the sound was played.
type Repeat struct {
	Flash, Click float64
}

// Frame is what the camera took at an instant of the phone's clock.
type Frame struct {
	At   float64   // s
	Rows []float64 // brightness of bands of rows from top to bottom, 0 to 1, as the camera codes it
}

// Block is what the microphone took: levels of bins of equal length that follow one another
// without a gap over all blocks.
type Block struct {
	At     float64   // s of the phone's clock, when the block was handed over; late by chance, never early
	Levels []float64 // root mean square in the band of the click
}

// Recording is all that was taken at one place.
type Recording struct {
	Frames []Frame
	Blocks []Block
	Bin    float64 // s that a level is of
}

// Interval is a figure with its 95 % interval.
type Interval struct {
	Best, Low, High time.Duration
}

// Half is half the width of the interval.
func (i Interval) Half() time.Duration { return (i.High - i.Low) / 2 }

func (i Interval) String() string {
	ms := func(d time.Duration) float64 {
		return float64(d.Round(100*time.Microsecond)) / float64(time.Millisecond)
	}
	return fmt.Sprintf("%.1f ms (%.1f to %.1f ms)", ms(i.Best), ms(i.Low), ms(i.High))
}

// Result is what a recording says of its place. Behind counts with the phone's own delays.
type Result struct {
	Behind   Interval      // sound behind light; negative where sound comes first
	Rate     float64       // frames a second
	Readout  time.Duration // from the first row to the last; negative where the picture is upside down
	Exposure time.Duration // of a row, as far as the picture is not blown out
	Flashes  int           // that were seen
	Clicks   int           // that were heard

	row, spread float64 // middle and variance of where in the picture the light was, -.5 for the first row to .5
}

// with is the sound behind the light as it would have been found by another readout.
func (r Result) with(readout float64) time.Duration {
	return r.Behind.Best - seconds(r.row*(readout-r.Readout.Seconds()))
}

// sureReadout is how far the readout is found, which matters where the light was in another
// part of the picture.
const sureReadout = 5 * time.Millisecond

// Between is by how much later, against its light, the sound is at b than at a, by one phone
// whose camera stayed open. Whether a camera dates a frame by the beginning or the end of its
// exposure is not known: where the exposures differ the interval is wider by half of that. One
// camera reads its rows in one time: where the light was all over the picture says it best.
func Between(a, b Result) Interval {
	readout := (a.spread*a.Readout.Seconds() + b.spread*b.Readout.Seconds()) / max(a.spread+b.spread, 1e-9)
	best := b.with(readout) - a.with(readout)
	half := seconds(math.Abs(a.row-b.row)*sureReadout.Seconds()) + hypot(a.Behind.Half(), b.Behind.Half()) + abs(a.Exposure-b.Exposure)/2
	return Interval{best, best - half, best + half}
}
