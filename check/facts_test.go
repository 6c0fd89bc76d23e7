package check

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/check/lines"
	"lampblack/check/subject"
	"lampblack/check/supply"
	"lampblack/room"
	"lampblack/show"
	"lampblack/soundtrack"
)

// The facts that are added to a show of almost nothing. Each is text for one file, or for
// every unit's line.
var factNames = []string{"front places", "other places", "size", "seats", "player", "backdrop", "star", "way", "circuits", "lines", "modes", "cues", "sound"}

// factFolder is the show with some of the facts: 1<<i for the fact i.
func factFolder(facts int) fstest.MapFS {
	has := func(name string) bool { return facts&(1<<slices.Index(factNames, name)) != 0 }
	var rig, room, bill strings.Builder
	if has("circuits") {
		rig.WriteString("circuits:\n  wall: {breaker: C16, voltage: 230 V, residual current device: 30 mA}\n")
	}
	if has("lines") {
		rig.WriteString("lines:\n  stage: {universe: 1, length: 20 m, terminated: yes, cable: data}\n")
	}
	rig.WriteString("units:\n")
	for i := range 5 {
		kind, mode := "colour par", "3 slots"
		if i == 4 {
			kind, mode = "black light flood", "1 slot"
		}
		fmt.Fprintf(&rig, "  - {unit: %d, type: %s, address: %d", i+1, kind, 1+3*i)
		if has("front places") && i < 3 || has("other places") && i >= 3 {
			fmt.Fprintf(&rig, ", at: [%d m, -2 m, 2.8 m], aim: [0 m, 1.5 m, 1 m]", i-2)
		}
		if has("circuits") {
			rig.WriteString(", circuit: wall")
		}
		if has("lines") {
			rig.WriteString(", line: stage")
		}
		if has("modes") {
			rig.WriteString(", mode: " + mode)
		}
		rig.WriteString("}\n")
	}
	for name, text := range map[string]string{
		"size": "size: [7 m, 9 m, 3.2 m]\nstage front: 5 m\n", "seats": "audience: [{name: front, at: [0 m, -1.5 m, 1 m], child: yes}]\n",
		"player":   "performers: [{name: player, at: [0 m, 2 m, 1.6 m]}]\n",
		"backdrop": "surfaces:\n  backdrop: {material: black velvet, centre: [0 m, 3 m, 1.5 m], width: 4 m, height: 2.5 m, faces: [0 m, -1 m, 0 m]}\n",
		"star":     "objects:\n  star: {paint: fluorescent green, centre: [0 m, 1.8 m, 1.2 m], width: 0.5 m, height: 0.5 m, faces: [0 m, -1 m, 0 m]}\n",
		"way":      "paths:\n  way: {points: [[-2 m, 2 m, 0 m], [2 m, 2 m, 0 m]]}\n",
	} {
		if has(name) {
			room.WriteString(text)
		}
	}
	score := "looks:\n  welcome: {colour: orange, level: 60 %}\n  wash: {units: [1, 2, 3, 4], colour: white, lux: 5, on: backdrop, people move: yes}\n  star: {units: [5], glow: {object: star, over background: 5}}\n"
	if has("cues") {
		score += "cues: [{cue: 1, at: 0:00, look: welcome}, {cue: 2, at: 0:10, look: wash, up: 3 s}, {cue: 3, at: 0:20, look: star, up: 3 s}]\n"
	}
	if has("sound") {
		bill.WriteString("soundtrack: a.wav\n")
	}
	dir := fstest.MapFS{"rig.yaml": {Data: []byte(rig.String())}, "score.yaml": {Data: []byte(score)}}
	for name, text := range map[string]string{"room.yaml": room.String(), "show.yaml": bill.String()} {
		if text != "" {
			dir[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	return dir
}

// judgedOf is what is judged of a show with some facts: each limit of each thing that it is
// about and that is known, unless the one finding says that it was not.
func judgedOf(t *testing.T, facts int) map[string]bool {
	t.Helper()
	f, faults := show.Read(factFolder(facts))
	var track *soundtrack.Track
	if f.Bill.Soundtrack.Name != "" {
		track = &soundtrack.Track{Duration: 40 * time.Second, Rate: 48000, Channels: 2}
	}
	s, more := show.New(context.Background(), f, track)
	if err := append(faults, more...).Err(); err != nil {
		t.Fatalf("with %v: %v", factsIn(facts), err)
	}
	list, err := Run(context.Background(), s, Options{})
	if f.Order != nil {
		e, faults := s.Evening(f.Order, nil)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		list, err = Evening(context.Background(), e, Options{})
	}
	if err != nil {
		t.Fatal(err)
	}
	return judgedIn(t, facts, s, list)
}

// judgedOnPaper is the same without light: of what is known alone, the data lines and the
// supply. It takes no time, and has no cues.
func judgedOnPaper(t *testing.T, facts int) map[string]bool {
	t.Helper()
	f, faults := show.Read(factFolder(facts))
	if err := faults.Err(); err != nil {
		t.Fatalf("with %v: %v", factsIn(facts), err)
	}
	s := &show.Show{Bill: f.Bill, Rig: f.Rig, Room: f.Room, Score: f.Score}
	r := &subject.Run{Subject: subject.Of(s), Ctx: context.Background(), Show: s, Report: finding.NewReport(tells)}
	if err := measure(r, []subject.Family{lines.Family, supply.Family}); err != nil {
		t.Fatal(err)
	}
	return judgedIn(t, facts, s, settle(r.Subject, s, r.List()))
}

// judgedIn is what a list of findings says of a show.
func judgedIn(t *testing.T, facts int, s *show.Show, list []finding.Finding) map[string]bool {
	t.Helper()
	things := map[string][]string{"show": {"show"}}
	for i := range s.Rig.Units {
		things["unit"] = append(things["unit"], s.Rig.Units[i].Name.Name)
	}
	for _, eyes := range [][]room.Eye{s.Room.Seats, s.Room.People} {
		for i := range eyes {
			things["eye"] = append(things["eye"], eyes[i].Name)
		}
	}
	for _, p := range s.Room.Paths {
		things["path"] = append(things["path"], p.Name)
	}
	out := map[string]bool{}
	for _, id := range Identifiers() {
		for _, thing := range things[aboutKind(id)] {
			if !slices.ContainsFunc(list, func(f finding.Finding) bool { return lacksLimit(&f, id, thing, aboutKind(id)) }) {
				out[id+" of "+thing] = true
			}
		}
	}
	n := 0
	for _, f := range list {
		if f.ID == finding.NotJudged {
			n++
		}
		if f.ID != finding.NotJudged && (strings.Contains(f.Text, "not described") || strings.Contains(f.Text, "does not say")) {
			t.Errorf("with %v: it is told that something was not said: %s", factsIn(facts), f.Text)
		}
	}
	if n > 1 {
		t.Errorf("with %v: %d findings of what was not judged", factsIn(facts), n)
	}
	return out
}

// lacksLimit tells whether a finding says that a limit was not judged of a thing.
func lacksLimit(f *finding.Finding, id, thing, kind string) bool {
	return slices.ContainsFunc(f.Lacks, func(l finding.Lack) bool {
		return slices.Contains(l.Limits, id) && (kind != "unit" || len(l.Of) == 0 || slices.Contains(l.Of, thing))
	})
}

// aboutKind is what sort of thing a limit is about.
func aboutKind(id string) string {
	switch {
	case id == "path-dark" || id == "alarm-input" || id == "uv-path" || id == "line-loss":
		return "path"
	case id == "uv-keep-out" || id == "uv-look-ceiling":
		return "show"
	case strings.HasPrefix(id, "uv-") || strings.HasPrefix(id, "blue-") || id == "flash-rate" || id == "flash-red" || id == "lens-in-eye":
		return "eye"
	case strings.HasPrefix(id, "supply-") || strings.HasPrefix(id, "line-") || strings.HasPrefix(id, "address-") || strings.HasPrefix(id, "slot-"):
		return "unit"
	}
	return "show"
}

func factsIn(facts int) (out []string) {
	for i, name := range factNames {
		if facts&(1<<i) != 0 {
			out = append(out, name)
		}
	}
	return out
}

// From almost nothing, each further fact, in any order, is no error, and what is judged
// only grows: 200 orders. A plain run takes all of them on paper, and one with its light,
// four facts at a time.
func TestJudgedOnlyGrows(t *testing.T) {
	checktest.Coarse(t)
	grows(t, 200, 1, judgedOnPaper)
	if os.Getenv("LAMPBLACK_LONG") != "" {
		grows(t, 200, 1, judgedOf)
		return
	}
	grows(t, 1, 4, judgedOf)
}

// grows adds the facts in random orders, some at a time.
func grows(t *testing.T, orders, atATime int, judgedOf func(*testing.T, int) map[string]bool) {
	known := map[int]map[string]bool{}
	judged := func(facts int) map[string]bool {
		if known[facts] == nil {
			known[facts] = judgedOf(t, facts)
		}
		return known[facts]
	}
	draw := rand.New(rand.NewPCG(13, 1))
	for range orders {
		facts := 0
		for some := range slices.Chunk(draw.Perm(len(factNames)), atATime) {
			before, had := judged(facts), facts
			for _, i := range some {
				facts |= 1 << i
			}
			after := judged(facts)
			for what := range before {
				if !after[what] {
					t.Errorf("%s is judged no longer once %v is told beside %v", what, factsIn(facts&^had), factsIn(had))
				}
			}
		}
	}
	none, all := judged(0), judged(1<<len(factNames)-1)
	if len(none) == 0 || len(all) < len(none)+20 {
		t.Errorf("%d judged with no facts, %d with all", len(none), len(all))
	}
	t.Logf("%d judged with no facts, %d with all %d; %d states", len(none), len(all), len(factNames), len(known))
}
