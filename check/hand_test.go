package check

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"lampblack/check/finding"
	"lampblack/check/lines"
	"lampblack/check/subject"
	"lampblack/check/supply"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
)

// lampType draws 200 W at a power factor of 0.8, 250 VA: 1.0870 A at 230 V.
const lampType = `name: lamp
beam: {half: 40°}
supply: {max: 200 W, factor: 0.8, inrush: 60 A for 300 us, leakage: 1.5 mA, link: 20 units, through: 16 A}
on data loss: hold
emitters: {white: {like: phosphor 6500 K, output: 500 lm}}
modes: {two: {1: {drives: white}, 2: {idle: none}}}
`

// plainType says nothing but its power, 60 W: 120 VA at the factor of 0.5 that
// is then taken, 0.5217 A at 230 V.
const plainType = `name: plain
beam: {half: 40°}
supply: {max: 60 W}
emitters: {white: {like: phosphor 6500 K, output: 100 lm}}
modes: {one: {1: {drives: white}}}
`

// row writes n units of a type, addressed two apart, that hang on a circuit one
// through the other.
func row(n int, kind, circuit string, first int, more string) string {
	var b strings.Builder
	for i := range n {
		feed := "circuit: " + circuit
		if i > 0 {
			feed = fmt.Sprintf("fed by: %s %d", circuit, i)
		}
		fmt.Fprintf(&b, "  - {unit: %s %d, type: %s, address: %d, at: [0 m, 1 m, 2 m], aim: [0 m, 2 m, 0 m], systems: [all], %s%s}\n", circuit, i+1, kind, first+2*i, feed, more)
	}
	return b.String()
}

// onPaper checks a rig by what needs no light: supply, lines, addresses.
func onPaper(t *testing.T, text string, bill show.Bill) []finding.Finding {
	t.Helper()
	var types source.Named[*rig.Type]
	for id, form := range map[string]string{"lamp": lampType, "plain": plainType} {
		v, faults := rig.ReadType(id, id+".yaml", []byte(form))
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		types = append(types, source.Entry[*rig.Type]{Name: id, Value: v})
	}
	rg, faults := rig.Read("rig.yaml", []byte(text), types)
	if err := faults.Err(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	s := &show.Show{Rig: rg, Room: &room.Room{}, Score: &score.Score{}, Bill: bill, Length: 10 * time.Minute}
	r := &subject.Run{Subject: subject.Of(s), Ctx: context.Background(), Show: s, Report: finding.NewReport(tells)}
	lines.Family.Measure(r)
	supply.Family.Measure(r)
	return r.Bound()
}

// wantedFinding is a finding worked out by hand; text is part of what it says,
// or of its hint.
type wantedFinding struct {
	id, place string
	severity  finding.Severity
	value     float64
	limit     float64
	text      string
}

// Supplies worked out by hand. Sources: BS 7671 433.1.1 (load no more than the
// breaker), 531.3.2 (leakage no more than 30 % of the device), appendix 4 (29
// mV/A/m for 1.5 mm², 18 for 2.5 mm²; 3 % for lighting); NEC 210.20(A) (80 % for
// three hours and more); IEC 60898-1 (B trips from 3 times its rating, C from
// 5, D from 10); for surges of 300 us sqrt(10 ms/300 us) = 5.7735, the tool's
// own model; IEC 60320 (10 A couplers); flexible cords of 1 mm² carry 10 A (BS
// 7671 appendix 4, from memory).
func TestSupplyByHand(t *testing.T) {
	const b16 = "circuits:\n  red: {breaker: B16, voltage: 230 V, residual current device: 30 mA%s}\n"
	red := func(more string) string { return fmt.Sprintf(b16, more) }
	us := show.Bill{Wiring: show.CodeUS}
	short := show.Bill{Wiring: show.CodeUS, Days: []show.Day{{Name: "one", Shows: 1}}}
	for _, c := range []struct {
		name string
		rig  string
		bill show.Bill
		want []wantedFinding
		not  []string
	}{
		{"4 lamps, and nothing to say but 6 mA of 9", red("") + "units:\n" + row(4, "lamp", "red", 1, ""), show.Bill{}, nil,
			[]string{"supply-load", "supply-inrush", "supply-leakage", "supply-chain", "supply-drop", "supply-phase", "supply-breaker", "supply-link"}},
		{"11 lamps: 11.957 A", red("") + "units:\n" + row(11, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-inrush", "circuit red", finding.Warn, 660, 277.128, "switch it on in 3 groups"},
			{"supply-leakage", "circuit red", finding.Warn, 16.5, 9, "more than half of its rating"},
		}, []string{"supply-load"}},
		{"7 lamps: 10.5 mA is above 9 and below 15", red("") + "units:\n" + row(7, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-leakage", "circuit red", finding.Warn, 10.5, 9, "leak 10 mA to earth"},
			{"supply-inrush", "circuit red", finding.Warn, 420, 277.128, "switch it on in 2 groups"},
		}, []string{"supply-load"}},
		{"12 lamps: 13.043 A is over 80 %", red("") + "units:\n" + row(12, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-load", "circuit red", finding.Note, 13.0435, 12.8, "more than 80 % of its breaker"},
		}, nil},
		{"15 lamps: 16.304 A", red("") + "units:\n" + row(15, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-load", "circuit red", finding.Stop, 16.3043, 16, "carries 16 A, 3.8 kVA"},
			{"supply-chain", "unit red 1", finding.Stop, 16.3043, 16, "and its inlet carries 16 A"},
		}, nil},
		{"12 lamps by the NEC, all day", red("") + "units:\n" + row(12, "lamp", "red", 1, ""), us, []wantedFinding{
			{"supply-load", "circuit red", finding.Stop, 13.0435, 12.8, "move units"},
		}, nil},
		{"12 lamps by the NEC, for ten minutes", red("") + "units:\n" + row(12, "lamp", "red", 1, ""), short, nil, []string{"supply-load"}},
		{"what else draws: 4 lamps and 3 kVA, 17.391 A", red(", other load: 3 kVA") + "units:\n" + row(4, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-load", "circuit red", finding.Stop, 17.3913, 16, ""},
		}, nil},
		{"a curve of C stands 5 times", strings.Replace(red(""), "B16", "C16", 1) + "units:\n" + row(8, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-inrush", "circuit red", finding.Warn, 480, 461.880, "switch it on in 2 groups"},
		}, nil},
		{"a curve of D stands 10 times", strings.Replace(red(""), "B16", "D16", 1) + "units:\n" + row(15, "lamp", "red", 1, ""), show.Bill{}, nil, []string{"supply-inrush"}},
		{"units that say nothing: 120 VA each, couplers of 10 A", strings.Replace(red(""), "B16", "B32", 1) + "units:\n" + row(20, "plain", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-chain", "unit red 1", finding.Stop, 10.4348, 10, "an inlet of 10 A carries 10 A"},
			{"not-judged", "what the units leak to earth", finding.Note, 0, 0, ""},
		}, []string{"supply-load", "supply-inrush"}},
		{"more linked than the maker allows", red("") + "units:\n" + row(21, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-link", "unit red 1", finding.Stop, 21, 20, "21 units are linked from unit red 1 on"},
		}, nil},
		{"as many as the maker allows", red("") + "units:\n" + row(20, "lamp", "red", 1, ""), show.Bill{}, nil, []string{"supply-link"}},
		{"no breaker, no device", "circuits:\n  red: {voltage: 230 V}\nunits:\n" + row(2, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"not-judged", "what breaker there is", finding.Note, 0, 0, ""},
			{"not-judged", "what residual current device there is, which a competent person tells", finding.Note, 0, 0, ""},
		}, []string{"supply-load", "supply-inrush"}},
		{"a cable of 1 mm² behind 16 A", red(", cable: {length: 2 m, section: 1 mm2}") + "units:\n" + row(2, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-breaker", "circuit red", finding.Warn, 16, 10, "breaker B16 lets more through"},
		}, nil},
		{"80 m of 1.5 mm²: 29 mV x 3.2609 A x 80 m = 7.565 V of 6.9", red(", cable: {length: 80 m, section: 1.5 mm2}") + "units:\n" + row(3, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-drop", "unit red 1", finding.Warn, 7.5652, 6.9, "7.6 V less than the board of circuit red, 3.3 %"},
		}, nil},
		{"70 m of it: 6.620 V", red(", cable: {length: 70 m, section: 1.5 mm2}") + "units:\n" + row(3, "lamp", "red", 1, ""), show.Bill{}, nil, []string{"supply-drop"}},
		{"and leads of 20 m each that carry 3.26, 2.17 and 1.09 A: 6.620 + 1.891 + 1.261 + 0.630 V", red(", cable: {length: 70 m, section: 1.5 mm2}") + "units:\n" +
			row(3, "lamp", "red", 1, ", lead: {length: 20 m, section: 1.5 mm2}"), show.Bill{}, []wantedFinding{
			{"supply-drop", "unit red 3", finding.Warn, 10.4022, 6.9, ""},
		}, nil},
		{"a lead of 0.5 mm² carries 3 A, and 3.26 pass", red("") + "units:\n" + row(3, "lamp", "red", 1, ", lead: {length: 1 m, section: 0.5 mm2}"), show.Bill{}, []wantedFinding{
			{"supply-chain", "unit red 1", finding.Stop, 3.2609, 3, "its lead carries 3 A"},
		}, nil},
		{"an outlet of 3 A", red(", outlet: 3 A") + "units:\n" + row(3, "lamp", "red", 1, ""), show.Bill{}, []wantedFinding{
			{"supply-chain", "unit red 1", finding.Stop, 3.2609, 3, "the outlet carries 3 A"},
		}, nil},
		{"two circuits behind one device: 4 + 4 lamps, 12 mA", "circuits:\n  red: {breaker: B16, residual current device: 30 mA}\n  blue: {breaker: B16, shares device of: red}\nunits:\n" +
			row(4, "lamp", "red", 1, "") + row(4, "lamp", "blue", 101, ""), show.Bill{}, []wantedFinding{
			{"supply-leakage", "circuit red", finding.Warn, 12, 9, "behind the 30 mA device of circuit red"},
		}, nil},
		{"L1 3.2609 A, L2 1.0870 A: sqrt(a² + b² - ab) = 2.8758 A in the neutral", "circuits:\n  red: {breaker: B16, phase: L1, residual current device: 30 mA}\n  blue: {breaker: B10, phase: L2, residual current device: 30 mA}\nunits:\n" +
			row(3, "lamp", "red", 1, "") + row(1, "lamp", "blue", 101, ""), show.Bill{}, []wantedFinding{
			{"supply-phase", "three phases", finding.Note, 2.8758, 16, "carry 3.3, 1.1 and 0.0 A"},
		}, nil},
		{"three equal phases of 3.2609 A: none, but for 1.7 x 3.2609 = 5.5435 A of third harmonics", "circuits:\n  red: {breaker: B16, phase: L1, residual current device: 30 mA}\n  blue: {breaker: B16, phase: L2, residual current device: 30 mA}\n  green: {breaker: B16, phase: L3, residual current device: 30 mA}\nunits:\n" +
			row(3, "lamp", "red", 1, "") + row(3, "lamp", "blue", 101, "") + row(3, "lamp", "green", 201, ""), show.Bill{}, []wantedFinding{
			{"supply-phase", "three phases", finding.Note, 5.5435, 16, "third harmonics"},
		}, nil},
		{"three phases on a breaker of 5 A", "circuits:\n  red: {breaker: B5, phase: L1, residual current device: 30 mA}\n  blue: {breaker: B5, phase: L2, residual current device: 30 mA}\n  green: {breaker: B5, phase: L3, residual current device: 30 mA}\nunits:\n" +
			row(3, "lamp", "red", 1, "") + row(3, "lamp", "blue", 101, "") + row(3, "lamp", "green", 201, ""), show.Bill{}, []wantedFinding{
			{"supply-phase", "three phases", finding.Stop, 5.5435, 5, "balance the phases"},
		}, nil},
	} {
		onPaperAs(t, c.name, onPaper(t, c.rig, c.bill), c.want, c.not)
	}
}

// Data lines and addresses worked out by hand. Sources: ANSI E1.11 (512 slots;
// 92 us of break, 12 us of mark, 44 us for the START code and each slot: 400
// slots take 104 + 44 x 401 = 17 748 us; 32 unit loads).
func TestLinesByHand(t *testing.T) {
	const lines = "lines:\n  a: {universe: 1, from: hub leg 1, length: 20 m, terminated: yes, isolated: %s, cable: data}\n  b: {universe: 1, from: hub leg 2, length: 20 m, terminated: yes, isolated: yes, cable: data}\n"
	supply := "circuits:\n  red: {breaker: B63, residual current device: 30 mA}\n"
	unit := func(name, kind string, address int) string {
		return fmt.Sprintf("  - {unit: %s, type: %s, address: %d, at: [0 m, 1 m, 2 m], aim: [0 m, 2 m, 0 m], systems: [all], circuit: red, line: a}\n", name, kind, address)
	}
	isolated, not := fmt.Sprintf(lines, "yes"), fmt.Sprintf(lines, "no")
	one := strings.Replace(not, "hub leg 2", "other", 1)
	for _, c := range []struct {
		name, rig string
		want      []wantedFinding
		not       []string
	}{
		{"two units apart", isolated + supply + "units:\n" + unit("x", "lamp", 1) + unit("y", "lamp", 3), nil,
			[]string{"address-overlap", "address-shared", "line-refresh", "line-branch", "line-loads", "line-terminator", "line-length"}},
		{"they share slot 2", isolated + supply + "units:\n" + unit("x", "lamp", 1) + unit("y", "lamp", 2), []wantedFinding{
			{"address-overlap", "unit y", finding.Stop, 1, 0, "x (1 to 2) and y (2 to 3)"},
			{"address-overlap", "unit y", finding.Stop, 1, 0, "address 3 is free for unit y"},
		}, nil},
		{"they share both slots, and mean the same", isolated + supply + "units:\n" + unit("x", "lamp", 7) + unit("y", "lamp", 7), []wantedFinding{
			{"address-shared", "unit y", finding.Note, 2, 0, "share address 7"},
		}, []string{"address-overlap"}},
		{"the last that fits", isolated + supply + "units:\n" + unit("x", "lamp", 511), []wantedFinding{
			{"line-refresh", "universe 1", finding.Note, 22.676, 22.727, "slots up to 512"},
		}, nil},
		{"slots up to 400", isolated + supply + "units:\n" + unit("x", "lamp", 399), []wantedFinding{
			{"line-refresh", "universe 1", finding.Note, 17.748, 22.727, "slots up to 400"},
		}, nil},
		{"slots up to 256", isolated + supply + "units:\n" + unit("x", "lamp", 255), nil, []string{"line-refresh"}},
		{"a leg that is not isolated, of two", not + supply + "units:\n" + unit("x", "lamp", 1), []wantedFinding{
			{"line-branch", "line a", finding.Note, 0, 0, "leg that feeds data line a is not isolated"},
		}, nil},
		{"a leg that is not isolated, of one", one + supply + "units:\n" + unit("x", "lamp", 1), nil, []string{"line-branch"}},
	} {
		onPaperAs(t, c.name, onPaper(t, c.rig, show.Bill{}), c.want, c.not)
	}
}

func onPaperAs(t *testing.T, name string, list []finding.Finding, want []wantedFinding, not []string) {
	t.Helper()
	for _, w := range want {
		found := false
		for _, f := range list {
			found = found || f.ID == w.id && f.Place == w.place && f.Severity == w.severity && near3(f.Value, w.value) && near3(f.Limit, w.limit) &&
				strings.Contains(f.Text+"; "+f.Hint+"; "+f.Assumed, w.text)
		}
		if !found {
			t.Errorf("%s: no %s %s at %s of %v, limit %v, that says %q, among\n%s", name, w.severity, w.id, w.place, w.value, w.limit, w.text, listed(list))
		}
	}
	for _, f := range list {
		for _, id := range not {
			if f.ID == id {
				t.Errorf("%s: also\n%s", name, listed([]finding.Finding{f}))
			}
		}
	}
}

// near3 compares to a part in 3000.
func near3(got, want float64) bool {
	return math.Abs(got-want) <= math.Abs(want)/3000+1e-9
}

func listed(list []finding.Finding) string {
	var b strings.Builder
	for _, f := range list {
		fmt.Fprintf(&b, "  %s %s at %s: %v of %v: %s; %s; %s\n", f.Severity, f.ID, f.Place, f.Value, f.Limit, f.Text, f.Hint, f.Assumed)
	}
	return b.String()
}
