package play

import (
	"encoding/binary"
	"io"
	"math"
	"os"
	"slices"
	"testing"
	"time"
)

// Outside check: what a server's recorder hears of clicks, against the instants at which the
// clock that light goes by says that they are heard, for as long as LAMPBLACK_SYNC says. What
// the recorder itself takes is the same for all, and left out.
func TestSoundAgainstLight(t *testing.T) {
	length, err := time.ParseDuration(os.Getenv("LAMPBLACK_SYNC"))
	if err != nil {
		t.Skip("left out: LAMPBLACK_SYNC=30m measures for so long")
	}
	needsServer(t)
	server(t)
	const rate = 48000
	s, err := openAlone(t.Context(), clicks(t, rate, int(length.Seconds())+30), SoundOptions{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ear := listen(t, rate)
	s.Run(time.Now(), 0)
	var off []float64 // ms
	var b [96]byte    // a millisecond
	var arrivals []float64
	begun := time.Now()
	read, quiet := 0, 0
	for time.Since(begun) < length {
		if _, err := io.ReadFull(ear.r, b[:]); err != nil {
			t.Fatal(err)
		}
		now := time.Now()
		// When the recorder's first sample was, by what came soonest of the last ten seconds.
		arrivals = append(arrivals, now.Sub(begun).Seconds()-float64(read)/rate)
		if len(arrivals) > 10000 {
			arrivals = arrivals[1:]
		}
		first := -1
		for i := len(b) - 2; i >= 0; i -= 2 {
			if int16(binary.LittleEndian.Uint16(b[i:])) > 6000 {
				first = i / 2
			}
		}
		if first >= 0 && quiet > 100 {
			heard := slices.Min(arrivals) + float64(read+first)/rate
			c := s.Read(now)
			p := math.Round(2*(c.Position.Seconds()-.05)) / 2 // the clicks come every half second
			light := now.Sub(begun).Seconds() - (c.Position.Seconds() - p)
			off = append(off, 1000*(heard-light))
		}
		if quiet++; first >= 0 {
			quiet = 0
		}
		read += len(b) / 2
	}
	// The first clicks come while the device is being begun.
	off = off[min(20, len(off)):]
	if len(off) < 20 {
		t.Fatalf("%d clicks were heard", len(off))
	}
	sorted := slices.Clone(off)
	slices.Sort(sorted)
	median := sorted[len(sorted)/2]
	var apart []float64
	for _, v := range off {
		apart = append(apart, math.Abs(v-median))
	}
	slices.Sort(apart)
	fifth := len(off) / 5
	mean := func(v []float64) (m float64) {
		for _, x := range v {
			m += x / float64(len(v))
		}
		return m
	}
	t.Logf("%d clicks over %v: the recorder is %.1f ms behind; apart from that %.2f ms (median), %.2f ms (99 %%), %.2f ms (worst); the last fifth is %+.2f ms beside the first",
		len(off), length, median, apart[len(apart)/2], apart[len(apart)*99/100], apart[len(apart)-1], mean(off[len(off)-fifth:])-mean(off[:fifth]))
}
