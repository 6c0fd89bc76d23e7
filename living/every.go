package living

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"lampblack/si"
)

// Every says how often something happens: on every beat, or every so many, between beats, on
// bars, on some beats of a bar, or simply every so many seconds. In a file it is one of
//
//	beat          off-beat        bar
//	2 beats       4 bars          0.8 s
//	1 . 3 .       1 . . . | 1 . 3 .
//
// of which the last two name the beats of a bar on which it happens, and have a dot for
// those on which it does not; bars between strokes take turns. A bar that has more beats than
// were written has nothing on them.
type Every struct {
	beats, bars int // every so many; 0 where it is something else
	off         bool
	pattern     []bar
	time        time.Duration
}

// bar is what happens in one bar of a pattern.
type bar struct {
	beats int    // that were written
	on    uint32 // bit k for beat k+1
}

const (
	mostCounted = 64 // beats or bars from one event to the next
	mostBars    = 16 // of a pattern
	mostBeats   = 16 // of a bar
	// Events come no oftener than ten times a second, which no lamp or eye follows, and no more
	// seldom than once in an hour (choices).
	shortestEvery = 100 * time.Millisecond
	longestEvery  = time.Hour
)

const everyForms = "beat, off-beat, bar, 2 beats, 4 bars, beats of a bar as 1 . 3 ., or a time as 0.8 s"

// Units says how the value is written.
func (Every) Units() string { return everyForms }

// UnmarshalText reads the forms that the type's comment shows.
func (e *Every) UnmarshalText(b []byte) error {
	words := strings.Fields(string(b))
	*e = Every{}
	switch text := strings.Join(words, " "); text {
	case "":
		return fmt.Errorf("it should say how often: %s", everyForms)
	case "beat":
		e.beats = 1
		return nil
	case "off-beat":
		e.beats, e.off = 1, true
		return nil
	case "bar":
		e.bars = 1
		return nil
	}
	if last := words[len(words)-1]; last == "beats" || last == "bars" {
		return e.counted(words, last)
	}
	if d, err := si.ParseTime(strings.Join(words, " ")); err == nil && !isCount(words) {
		if d < shortestEvery || d > longestEvery {
			return fmt.Errorf("%q should be from %s to an hour", string(b), si.Say(shortestEvery.Seconds(), "s"))
		}
		e.time = d
		return nil
	}
	if err := e.read(string(b)); err != nil {
		if n, bare := strconv.ParseFloat(words[0], 64); bare == nil && len(words) == 1 && n > 0 {
			return unitless(words[0], n)
		}
		return err
	}
	return nil
}

// unitless says of a bare number what it may have meant.
func unitless(text string, n float64) error {
	said := text + " s"
	if n == math.Trunc(n) && n <= mostCounted {
		said = fmt.Sprintf("%s beats, %s bars or %s s", text, text, text)
	}
	return fmt.Errorf("%q does not say of what: write %s", text, said)
}

// isCount tells whether the words are numbers and nothing else: places of a bar, and no time.
func isCount(words []string) bool {
	for _, w := range words {
		if _, err := strconv.Atoi(w); err != nil {
			return false
		}
	}
	return true
}

// counted reads "2 beats" and "4 bars".
func (e *Every) counted(words []string, of string) error {
	n := 0
	if len(words) == 2 {
		n, _ = strconv.Atoi(words[0])
	}
	if n < 1 || n > mostCounted {
		return fmt.Errorf("%q should be a whole number from 1 to %d and %s", strings.Join(words, " "), mostCounted, of)
	}
	if of == "beats" {
		e.beats = n
	} else {
		e.bars = n
	}
	return nil
}

// read reads a pattern of bars.
func (e *Every) read(text string) error {
	bars := strings.Split(text, "|")
	if len(bars) > mostBars {
		return fmt.Errorf("%d bars are more than the %d of one pattern", len(bars), mostBars)
	}
	any := false
	for k, written := range bars {
		b, err := readBar(written)
		if err != nil {
			if len(bars) > 1 {
				return fmt.Errorf("bar %d of the pattern: %w", k+1, err)
			}
			return err
		}
		any = any || b.on != 0
		e.pattern = append(e.pattern, b)
	}
	if !any {
		*e = Every{}
		return fmt.Errorf("%q is a pattern on which nothing happens: write the number of a beat in place of a dot", text)
	}
	return nil
}

func readBar(text string) (b bar, err error) {
	words := strings.Fields(text)
	if len(words) == 0 || len(words) > mostBeats {
		return b, fmt.Errorf("it has %d beats; from 1 to %d may be written", len(words), mostBeats)
	}
	for k, w := range words {
		if w == "." {
			continue
		}
		n, err := strconv.Atoi(w)
		switch {
		case err != nil:
			return b, fmt.Errorf("%q says nothing of how often: %s", w, everyForms)
		case n != k+1:
			return b, fmt.Errorf("beat %d of a bar is written %d, or as a dot where nothing happens, not %s", k+1, k+1, w)
		}
		b.on |= 1 << k
	}
	b.beats = len(words)
	return b, nil
}

// String prints the form that UnmarshalText reads.
func (e Every) String() string {
	switch {
	case e.off:
		return "off-beat"
	case e.beats == 1:
		return "beat"
	case e.beats > 1:
		return fmt.Sprintf("%d beats", e.beats)
	case e.bars == 1:
		return "bar"
	case e.bars > 1:
		return fmt.Sprintf("%d bars", e.bars)
	case e.time > 0:
		return strconv.FormatFloat(e.time.Seconds(), 'f', -1, 64) + " s"
	}
	var bars []string
	for _, b := range e.pattern {
		words := make([]string, b.beats)
		for k := range words {
			words[k] = "."
			if b.on>>k&1 == 1 {
				words[k] = strconv.Itoa(k + 1)
			}
		}
		bars = append(bars, strings.Join(words, " "))
	}
	return strings.Join(bars, " | ")
}

// Timed tells whether it goes by time alone, and needs no beat.
func (e Every) Timed() bool { return e.time > 0 }

// Often reads an Every of a text that is known to be good; any other is a mistake of the caller,
// and panics.
func Often(text string) (e Every) {
	if err := e.UnmarshalText([]byte(text)); err != nil {
		panic(err)
	}
	return e
}
