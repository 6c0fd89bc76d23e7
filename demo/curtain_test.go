package demo

import (
	"strings"
	"testing"
	"time"

	"lampblack/room"
	"lampblack/show"
)

// The evening's hall is that of the play with a curtain before the moon, and nothing else.
func TestHallOfTheEvening(t *testing.T) {
	all, err := texts("show/room.yaml", "evening/room.yaml")
	if err != nil {
		t.Fatal(err)
	}
	of := func(name string) string {
		data, err := files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	var kept []string
	for _, line := range strings.SplitAfter(of("evening/room.yaml"), "\n") {
		if !strings.HasPrefix(line, "  sky curtain:") {
			kept = append(kept, line)
		}
	}
	if len(all) != 1 || strings.Join(kept, "") != of("show/room.yaml") {
		t.Error("the two rooms differ in more than the curtain")
	}
}

// The moon is dark behind its curtain, and glows as the look asks for when that is open; on its way it comes out a little at
// a time.
func TestMoonBehindItsCurtain(t *testing.T) {
	var piece *show.Show
	for _, step := range solve(t, Evening).evening.Steps {
		if !step.Stands() && step.Name() == "ferry bell" {
			piece = step.Show
		}
	}
	if piece == nil {
		t.Fatal("there is no ferry")
	}
	full := make([]float32, len(piece.Rig.Drives))
	for d := range full {
		full[d] = 1
	}
	falls := func(at time.Duration) float64 { return piece.Seen(piece.OnLine(at)).Mean("moon", room.UVA, full) }
	before, way, open, after := falls(8*time.Second), falls(13200*time.Millisecond), falls(18*time.Second), falls(25*time.Second)
	if before > .01*open || after > .01*open || way < .1*open || way > .95*open {
		t.Errorf("ultraviolet on the moon: %.3g W/m² behind the curtain, %.3g on its way, %.3g open, %.3g closed again", before, way, open, after)
	}
	t.Logf("%.3g, %.3g, %.3g, %.3g W/m²", before, way, open, after)
}
