package demo

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/show"
	"lampblack/soundtrack"
)

// longEvening is an evening of eight pieces and 97 cues on the rig and with the looks and
// the sounds of the short one: pieces without sound, with a span that repeats, with sound
// alone, and a standing look after each.
func longEvening() fstest.MapFS {
	all, err := texts(Evening.texts...)
	if err != nil {
		panic(err)
	}
	dir := fstest.MapFS{}
	put := func(name, text string) { dir[name] = &fstest.MapFile{Data: []byte(text)} }
	for name, data := range all {
		put(name, string(data))
	}
	looks := []string{"quay", "lamp aboard", "crossing", "morning", "cloud", "weed in the net", "low water", "flood tide", "ebb"}
	kinds := []struct {
		sound, waits string
		apart        int // s from cue to cue
	}{
		{"", "waits: [{at: 0:24, usually: 20 s, at most: 2 min}]\n", 8},
		{", soundtrack: ferry-bell.wav", "waits: [{from: 0:06.333, to: 0:11.667, usually: 10 s, at most: 1 min}]\n", 2},
		{", soundtrack: spring-tide.wav", "", 2},
	}
	order := "order:\n  - {standing: preshow, look: house open, up: 3 s, usually: 20 min, at most: 35 min}\n"
	for p := range 8 {
		kind, cues := kinds[p%3], 12
		if p == 7 {
			cues = 13
		}
		var b strings.Builder
		b.WriteString("brief: {cues per minute: 40}\n" + kind.waits + "cues:\n")
		for i := range cues {
			look := looks[(p+i)%len(looks)] + ", up: 1.5 s, lands: starts"
			if i%4 == 3 {
				look = "bell, up: 0.2 s, returns: 1 s, lands: peaks"
			}
			at := i * kind.apart
			fmt.Fprintf(&b, "  - {cue: %d, at: %d:%02d, look: %s, why: next}\n", i+1, at/60, at%60, look)
		}
		put(fmt.Sprintf("pieces/%d.yaml", p+1), b.String())
		order += fmt.Sprintf("  - {piece: piece %d, cues: pieces/%d.yaml%s}\n  - {standing: after %d, look: applause, up: 2 s, usually: 30 s, at most: 3 min}\n", p+1, p+1, kind.sound, p+1)
	}
	put("order.yaml", order)
	return dir
}

// What `lampblack check` computes for eight pieces and 97 cues, the sounds being heard
// before: reading, solving looks in the room, all families of checks.
func BenchmarkCheckEightPieces(b *testing.B) {
	dir, cues := longEvening(), 0
	tracks := map[string]*soundtrack.Track{}
	for _, r := range Evening.sounds {
		tracks[r.file] = heard(b, r.plan())
	}
	for b.Loop() {
		f, faults := show.Read(dir)
		s, more := show.New(context.Background(), f, nil)
		e, last := s.Evening(f.Order, tracks)
		if err := append(append(faults, more...), last...).Err(); err != nil {
			b.Fatal(err)
		}
		cues = 0
		for _, step := range e.Steps {
			if !step.Stands() {
				cues += len(step.Show.Score.Cues)
			}
		}
		list, err := check.Evening(b.Context(), e, check.Options{})
		if err != nil || len(finding.Stops(list)) > 0 {
			b.Fatal(err, finding.Stops(list))
		}
	}
	b.ReportMetric(float64(cues), "cues")
}
