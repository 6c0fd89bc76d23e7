package main

import (
	"reflect"
	"testing"

	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// What a run takes over only as it begins is another when it says something else, and not when it
// stands elsewhere in its file.
func TestAlikeWhereverItStands(t *testing.T) {
	bill := func(line int, to string, level float64) show.Bill {
		at := source.Pos{File: "show.yaml", Line: line}
		return show.Bill{Outputs: []show.Output{{Pos: at, To: to}}, Extras: source.Named[show.Extra]{{Name: "bell", Value: show.Extra{Pos: at, File: source.Ref{Pos: at, Name: "bell.wav"}, Level: si.Decibels(level)}}}}
	}
	was := bill(3, "e131 multicast", -6)
	for name, c := range map[string]struct {
		is              show.Bill
		outputs, extras bool
	}{
		"three lines further down": {bill(6, "e131 multicast", -6), true, true},
		"another output":           {bill(3, "e131 10.0.0.7", -6), false, true},
		"another level":            {bill(3, "e131 multicast", -3), true, false},
		"nothing":                  {show.Bill{}, false, false},
	} {
		if got := alike(reflect.ValueOf(was.Outputs), reflect.ValueOf(c.is.Outputs)); got != c.outputs {
			t.Errorf("%s: outputs alike: %v", name, got)
		}
		if got := alike(reflect.ValueOf(was.Extras), reflect.ValueOf(c.is.Extras)); got != c.extras {
			t.Errorf("%s: extra sounds alike: %v", name, got)
		}
	}
}
