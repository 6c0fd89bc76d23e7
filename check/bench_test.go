//go:build unix

package check

import (
	"context"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check/checktest"
)

// hall is a show of the given length with 64 units of the demo's types, 60
// seats, and a cue every five seconds: fades, bumps, and now and then a unit
// that flashes by itself.
func hall(t testing.TB, minutes int) fs.FS {
	out := checktest.Changed(t, checktest.DemoFolder())
	put := func(name, text string) { out[name] = &fstest.MapFile{Data: []byte(text)} }
	var rig, room, score strings.Builder
	rig.WriteString("units:\n")
	kinds := []struct {
		name, system string
		slots        int
	}{{"par-rgbw-uv", "front", 9}, {"par-rgb-small", "side", 5}, {"uv-colour-bar, mode: seven slots", "uv", 7}, {"uv-flood", "top", 2}}
	at := 1
	for i := range 64 {
		k := kinds[i%4]
		fmt.Fprintf(&rig, "  - {unit: u%d, type: %s, universe: %d, address: %d, at: [%.2f m, %.2f m, 3.5 m], aim: [%.2f m, 2 m, 1 m], systems: [%s, n%d]}\n",
			i, k.name, 1+i/32, at, -3.5+7*float64(i%16)/16, []float64{-2.6, 1, .3, .4}[i%4], -2+4*float64(i%16)/16, k.system, i%8)
		if at += k.slots; i == 31 {
			at = 1
		}
	}
	room.Write(out["room.yaml"].Data[:strings.Index(string(out["room.yaml"].Data), "audience:")])
	room.WriteString("audience:\n")
	for i := range 60 {
		fmt.Fprintf(&room, "  - {name: s%d, at: [%.2f m, %.2f m, 1.2 m]}\n", i, -3+6*float64(i%10)/9, -1.5-float64(i/10))
	}
	score.WriteString("looks:\n")
	for i := range 16 {
		fmt.Fprintf(&score, "  l%d:\n    parts:\n      - {system: front, colour: \"#%06x\", level: %d %%}\n      - {system: side, colour: \"#%06x\", level: %d %%}\n      - {system: uv, emitters: {uv: %d %%}}\n",
			i, 0x204060+i*0x0a0703, 20+4*i, 0x604020+i*0x030a05, 10+5*i, 100-6*i)
	}
	score.WriteString("  blow:\n    parts:\n      - {system: front, colour: \"7000 K\", level: 90 %}\n  strobe:\n    parts:\n      - {system: n4, colour: \"7000 K\", level: 90 %, flash: 2 Hz}\ncues:\n")
	for i := range minutes * 12 {
		switch {
		case i%12 == 11:
			fmt.Fprintf(&score, "  - {cue: %d, at: %d s, look: strobe, up: 0 s, returns: 1 s, hold: 1 s}\n", i+1, i*5)
		case i%3 == 2:
			fmt.Fprintf(&score, "  - {cue: %d, at: %d s, look: blow, up: 0.05 s, returns: 1 s}\n", i+1, i*5)
		default:
			fmt.Fprintf(&score, "  - {cue: %d, at: %d s, look: l%d, up: %.1f s}\n", i+1, i*5, i%16, .5+float64(i%4))
		}
	}
	after := string(out["room.yaml"].Data)
	room.WriteString(after[strings.Index(after, "performers:"):])
	put("rig.yaml", rig.String())
	put("room.yaml", room.String())
	put("score.yaml", score.String())
	return out
}

// BenchmarkHour checks shows of a quarter, a half and a whole hour; the ratio
// of their times shows how the work grows.
func BenchmarkHour(b *testing.B) {
	lengths := []int{15, 30, 60}
	if testing.Short() {
		lengths = lengths[:1]
	}
	for _, minutes := range lengths {
		b.Run(fmt.Sprintf("%dmin", minutes), func(b *testing.B) {
			s := checktest.Solved(b, hall(b, minutes))
			before := checktest.Spent()
			for b.Loop() {
				if _, err := Run(context.Background(), s, Options{}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric((checktest.Spent()-before).Seconds()/float64(b.N), "cpu-s/op")
		})
	}
}

// BenchmarkBumps checks a demo of bumps four a second, which break two limits
// each, and one that lasts for minutes; the ratio of the times shows how the
// work grows with their number.
func BenchmarkBumps(b *testing.B) {
	counts := []int{3000, 6000, 11990}
	if testing.Short() {
		counts = counts[:1]
	}
	for _, n := range counts {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			dir := checktest.Changed(b, checktest.DemoFolder())
			var score strings.Builder
			text := string(dir["score.yaml"].Data)
			score.WriteString(text[:strings.Index(text, "\ncues:")])
			score.WriteString("\ncues:\n  - {cue: 1, at: 0 s, look: house open}\n  - {cue: 2, at: 1 s, look: bell, up: 1 s, returns: 20 min}\n")
			for i := range n {
				fmt.Fprintf(&score, "  - {cue: %d, at: %d ms, look: great drum, up: 30 ms, returns: 90 ms}\n", i+3, 500+250*i)
			}
			dir["score.yaml"] = &fstest.MapFile{Data: []byte(score.String())}
			s := checktest.Solved(b, dir)
			before := checktest.Spent()
			for b.Loop() {
				if _, err := Run(context.Background(), s, Options{}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric((checktest.Spent()-before).Seconds()/float64(b.N), "cpu-s/op")
		})
	}
}
