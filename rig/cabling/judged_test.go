package cabling_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"lampblack/check/finding"
	"lampblack/check/lines"
	"lampblack/check/subject"
	"lampblack/check/supply"
	"lampblack/rig"
	"lampblack/rig/cabling"
	"lampblack/room"
	"lampblack/show"
	"lampblack/source"
)

// still is a rig that makes no light, for the checks of what hangs and feeds.
type still struct {
	subject.Subject
	rig  *rig.Rig
	room *room.Room
	bill *show.Bill
}

func (s still) Rig() *rig.Rig         { return s.rig }
func (s still) Room() *room.Room      { return s.room }
func (s still) Bill() *show.Bill      { return s.bill }
func (s still) Length() time.Duration { return time.Hour }

// judged is what the checks find of a rig's lines and supply.
func judged(r *rig.Rig, bill *show.Bill) []finding.Finding {
	tells := finding.Tells{finding.NotJudged: "x"}
	for _, f := range []subject.Family{lines.Family, supply.Family} {
		for id, about := range f.Tells {
			tells[id] = about
		}
	}
	run := &subject.Run{Subject: still{rig: r, room: room.Unsaid(), bill: bill}, Report: finding.NewReport(tells), Ctx: context.Background()}
	lines.Family.Measure(run)
	supply.Family.Measure(run)
	return run.List()
}

// types of lamps as their files would be.
const typesText = `par: {size: [0.2 m, 0.2 m, 0.2 m], beam: {half: 25°}, supply: {max: 78 W, factor: 0.92, inrush: 18 A for 250 us, leakage: 0.5 mA, link: 12 units, through: 10 A}}
small: {size: [0.2 m, 0.2 m, 0.2 m], beam: {half: 25°}, supply: {max: 32 W, factor: 0.6, inrush: 12 A for 200 us, leakage: 0.4 mA, link: 5 units}}
bar: {size: [1 m, 0.1 m, 0.1 m], beam: {half: 40°}, unit loads: 2, supply: {max: 120 W, factor: 0.7, inrush: 25 A for 300 us, leakage: 0.6 mA, through: 6 A}, data connector: 3-pin}
flood: {size: [0.4 m, 0.2 m, 0.1 m], beam: {half: 70°}, supply: {max: 150 W, inrush: 45 A for 250 us, leakage: 1.2 mA}, data connector: 5-pin}
spot: {size: [0.2 m, 0.2 m, 0.2 m], beam: {half: 19°}, unit loads: 0.125, supply: {max: 54 W, factor: 0.95, leakage: 0.7 mA, link: 8 units, through: 10 A}}
`

func readTypes(t *testing.T) (out source.Named[*rig.Type]) {
	for line := range strings.Lines(typesText) {
		id, body, _ := strings.Cut(strings.TrimSpace(line), ": ")
		body = strings.TrimSuffix(body, "}") + ", name: " + id + ", emitters: {white: {like: phosphor 6500 K, output: 100 lm}}, modes: {only: {1: {drives: white}, 2: {idle: nothing}}}}"
		kind, faults := rig.ReadType(id, id+".yaml", []byte(body))
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		out = append(out, source.Entry[*rig.Type]{Name: id, Value: kind})
	}
	return out
}

// drawn is the text of a random rig, fed and wired in random ways, most of them bad.
func drawn(rng *rand.Rand, types source.Named[*rig.Type]) string {
	var b strings.Builder
	n, circuits, universes := 1+rng.IntN(30), 1+rng.IntN(5), 1+rng.IntN(2)
	b.WriteString("# a rig\nunits:\n")
	for i := range n {
		fmt.Fprintf(&b, "  - {unit: \"u %d\", type: %s, universe: %d, address: %d, at: [%.1f m, %.1f m, %.1f m]", i, types[rng.IntN(len(types))].Name, 1+rng.IntN(universes), 1+2*i, rng.Float64()*10-5, rng.Float64()*14-8, []float64{.2, 1.8, 3.5}[rng.IntN(3)])
		switch rng.IntN(4) {
		case 0:
			fmt.Fprintf(&b, ", circuit: c%d", rng.IntN(circuits))
		case 1:
			fmt.Fprintf(&b, ", fed by: u %d, lead: {length: 3 m, section: 0.75 mm2}", rng.IntN(n))
		case 2:
			fmt.Fprintf(&b, ", fed by: u %d, circuit: c%d, line: old", rng.IntN(n), rng.IntN(circuits))
		}
		fmt.Fprintf(&b, "}   # unit %d\n", i)
	}
	b.WriteString("circuits:\n")
	for i := range circuits {
		fmt.Fprintf(&b, "  c%d: {breaker: %s, cable: {length: %d m, section: 2.5 mm2, connector: 16 A}, residual current device: 30 mA", i, []string{"C16", "B16", "C10", "20 A", "D16"}[rng.IntN(5)], 5+rng.IntN(20))
		if rng.IntN(2) == 0 {
			fmt.Fprintf(&b, ", phase: L%d", 1+rng.IntN(3))
		}
		if i > 0 && rng.IntN(4) == 0 {
			b.WriteString(", shares device of: c0")
		}
		if rng.IntN(3) == 0 {
			fmt.Fprintf(&b, ", sockets: %d, at: [%d m, -8 m, 0.3 m]", 1+rng.IntN(6), rng.IntN(10)-5)
		}
		switch rng.IntN(12) {
		case 0:
			b.WriteString(", carries: [sound]")
		case 1:
			b.WriteString(", dimmed: yes")
		case 2:
			b.WriteString(", other load: 1500 VA")
		}
		b.WriteString("}\n")
	}
	b.WriteString("lines:\n  old: {order: [u 0], terminated: no}\n  older:\n    order:\n      - u 0\n    branches: no\n")
	return b.String()
}

// eased are the findings that a plan tells of itself.
func eased(c *cabling.Circuits) map[string]bool {
	out := map[string]bool{}
	for _, e := range c.Eased {
		switch e {
		case cabling.EaseSurge:
			out["supply-inrush"] = true
		case cabling.EaseShare:
			out["supply-load"] = true
		case cabling.EaseLeakage:
			out["supply-leakage"] = true
		case cabling.EaseNeutral:
			out["supply-phase"] = true
		case cabling.EaseDrop:
			out["supply-drop"] = true
		}
	}
	return out
}

// What is planned for random rigs, written into their files and read again, breaks no limit of the
// checks, which are other code: neither their stops nor their warnings, but for what the plan said that
// it could not keep.
func TestJudgedByTheChecks(t *testing.T) {
	types := readTypes(t)
	rigs := 100
	switch {
	case os.Getenv("LAMPBLACK_LONG") != "":
		rigs = 500
	case testing.Short():
		rigs = 60
	}
	rng := rand.New(rand.NewPCG(20260314, 34))
	planned, refused, let, before := 0, 0, 0, 0
	for range rigs {
		text := drawn(rng, types)
		r, _ := rig.Read("rig.yaml", []byte(text), types)
		bill := &show.Bill{}
		if len(broken(judged(r, bill), nil)) > 0 {
			before++
		}
		l, err := cabling.PlanLines(r, cabling.Options{Desk: desk})
		if err != nil {
			t.Fatal(err)
		}
		c, err := cabling.PlanCircuits(r, cabling.Supply{Walls: cabling.Walls{Left: -5, Right: 5, Front: -8, Back: 6}})
		if err != nil {
			refused++
			if !errors.Is(err, cabling.ErrNoCircuits) && !strings.Contains(err.Error(), "no way was found") {
				t.Error(err)
			}
			continue
		}
		planned++
		if len(c.Eased) > 0 {
			let++
		}
		after := written(t, r, text, l, c, types)
		if bad := broken(judged(after, bill), eased(c)); bad != nil {
			t.Errorf("%s\n%v eased %v", strings.Join(bad, "\n"), text, c.Eased)
			if os.Getenv("FIRST") != "" {
				t.FailNow()
			}
		}
	}
	t.Logf("of %d rigs %d were planned, none of them with a limit broken; of %d of these the plan said which limit it could not keep; %d were refused. %d of %d broke limits as they were drawn", rigs, planned, let, refused, before, rigs)
	if refused > rigs*2/5 || let > rigs/3 || before < rigs*9/10 {
		t.Errorf("%d refused, %d with limits eased, %d bad before", refused, let, before)
	}
}

// written is a rig with its plans in its text.
func written(t *testing.T, r *rig.Rig, text string, l *cabling.Lines, c *cabling.Circuits, types source.Named[*rig.Type]) *rig.Rig {
	data, err := l.Write("rig.yaml", []byte(text), r)
	if err != nil {
		t.Fatal(err, text)
	}
	if data, err = c.Write("rig.yaml", data, r); err != nil {
		t.Fatal(err, text)
	}
	after, faults := rig.Read("rig.yaml", data, types)
	if faults.Err() != nil {
		t.Fatalf("%v\n%s", faults, data)
	}
	if strings.Count(string(data), "# unit ") != strings.Count(text, "# unit ") {
		t.Errorf("comments are lost\n%s", data)
	}
	again, err := l.Write("rig.yaml", data, after)
	if err == nil {
		again, err = c.Write("rig.yaml", again, after)
	}
	if err != nil || string(again) != string(data) {
		t.Errorf("written again it is otherwise: %v\n%s\n%s", err, data, again)
	}
	return after
}

// broken lists the limits that are broken.
func broken(list []finding.Finding, but map[string]bool) (out []string) {
	for i := range list {
		if f := &list[i]; f.Severity != finding.Note && !but[f.ID] {
			out = append(out, fmt.Sprint(f.ID, ": ", f.Text))
		}
	}
	return out
}
