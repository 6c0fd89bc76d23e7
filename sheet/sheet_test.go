package sheet

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"lampblack/check/checktest"
	"lampblack/rig"
	"lampblack/sheet/typeset"
	"lampblack/show"
)

var day = time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)

var solvedDemo *show.Show

// demo is the example, solved once for all tests.
func demo(t testing.TB) *show.Show {
	if solvedDemo == nil {
		solvedDemo = checktest.Solved(t, checktest.DemoFolder())
	}
	return solvedDemo
}

func subjectOf(s *show.Show) *Subject {
	stock, _ := typeset.StockOf("", typeset.A4)
	return &Subject{Show: s, Runs: []Run{{Show: s}}, Paper: typeset.A4, Stock: stock}
}

// everything is all papers of a show but those that it has nothing for.
func everything(t testing.TB, s *Subject) []typeset.Document {
	t.Helper()
	var names []string
	for _, k := range Kinds() {
		if k.Without(s) == "" {
			names = append(names, k.Name)
		}
	}
	docs, err := Make(context.Background(), s, names...)
	if err != nil {
		t.Fatal(err)
	}
	return docs
}

// table is the first table of a paper, or that of a name.
func table(t testing.TB, s *Subject, paper, name string) *typeset.Table {
	t.Helper()
	docs, err := Make(context.Background(), s, paper)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range docs[0].Blocks {
		if table, ok := b.(*typeset.Table); ok && (name == "" || table.Name == name) {
			return table
		}
	}
	t.Fatalf("the %s has no table %q", paper, name)
	return nil
}

// rows are those that are neither sums nor stand over others.
func rows(t *typeset.Table) (out []typeset.Row) {
	for _, r := range t.Rows {
		if !r.Bold && !r.Head {
			out = append(out, r)
		}
	}
	return out
}

// The sums on paper are those of the show: added up here from the rig itself.
func TestTotals(t *testing.T) {
	s := demo(t)
	sub := subjectOf(s)
	watts, slots := 0.0, 0
	for i := range s.Rig.Units {
		watts += float64(s.Rig.Units[i].Type.Supply.Max)
		slots += s.Rig.Units[i].Mode.Footprint
	}
	units := len(s.Rig.Units)
	want := func(what, got string, want any) {
		t.Helper()
		if got != fmt.Sprint(want) {
			t.Errorf("%s: %s on paper, the show has %v", what, got, want)
		}
	}
	power := table(t, sub, "power sheet", "Circuits")
	sum := power.Rows[len(power.Rows)-1].Cells
	want("units on the power sheet", sum[6], units)
	want("watts on the power sheet", sum[7], watts)
	each := 0.0
	for _, r := range rows(power) {
		v, _ := strconv.ParseFloat(r.Cells[7], 64)
		each += v
	}
	want("watts of the circuits", fmt.Sprint(each), watts)
	sched := table(t, sub, "instrument schedule", "")
	want("rows of the schedule", fmt.Sprint(len(rows(sched))), units)
	want("watts of the schedule", sched.Rows[len(sched.Rows)-1].Cells[8], watts)
	types := table(t, sub, "instrument schedule", "Types")
	want("units by type", types.Rows[len(types.Rows)-1].Cells[0], units)
	patch := table(t, sub, "patch list", "")
	want("rows of the patch list", fmt.Sprint(len(rows(patch))), units)
	want("slots used", patch.Rows[0].Cells[0], fmt.Sprintf("Universe 1: %d of 512 slots used", slots))
	for _, paper := range []string{"cue sheet", "cue synopsis"} {
		want("cues on the "+paper, fmt.Sprint(len(rows(table(t, sub, paper, "")))), len(s.Cues))
	}
	watch := table(t, sub, "stopwatch sheet", "")
	docs, _ := Make(t.Context(), sub, "stopwatch sheet")
	left := regexp.MustCompile(`(\d+) cues? (is|are) too fast`).FindStringSubmatch(docs[0].Blocks[0].(*typeset.Words).Text)
	n, _ := strconv.Atoi(left[1])
	want("cues on the stopwatch sheet, and left out", fmt.Sprint(len(rows(watch))+n), len(s.Cues))
	labels, _ := Make(t.Context(), sub, "unit labels")
	want("labels", fmt.Sprint(len(labels[0].Blocks[0].(*typeset.Labels).List)), units)
	// Amperes by hand: 4 x 78/.95-like sums would repeat the code; the definition P = U I cos φ does not.
	for _, r := range rows(power) {
		va, _ := strconv.ParseFloat(r.Cells[8], 64)
		a, _ := strconv.ParseFloat(r.Cells[9], 64)
		if a < va/230-.06 || a > va/230+.06 {
			t.Errorf("circuit %s: %v A for %v VA at 230 V", r.Cells[0], a, va)
		}
	}
}

// What the cue sheet says of a level is the light that the look gives, over all that the system has: worked out here from
// lumens and levels.
func TestLevels(t *testing.T) {
	s := demo(t)
	list := systemsOf(s)
	if len(list) < 6 {
		t.Fatalf("%d systems are lit", len(list))
	}
	full := make([]float32, len(s.Rig.Drives))
	for i := range full {
		full[i] = 1
	}
	for _, y := range list {
		if v := y.level(full); v < .999 || v > 1.001 {
			t.Errorf("%s at full is at %v", y.name, v)
		}
		if v := y.level(make([]float32, len(full))); v != 0 {
			t.Errorf("%s dark is at %v", y.name, v)
		}
	}
	for v, want := range map[float64]string{0: "", .004: "<1", .126: "13", 1: "100"} {
		if got := percent(v); got != want {
			t.Errorf("%v is written %q, want %q", v, got, want)
		}
	}
}

// Times are written as clocks have them.
func TestClock(t *testing.T) {
	for d, want := range map[time.Duration]string{0: "0:00.0", 59*time.Second + 960*time.Millisecond: "1:00.0", 61500 * time.Millisecond: "1:01.5", 3*time.Hour + 4*time.Minute + 5*time.Second: "3:04:05.0"} {
		if got := clock(d); got != want {
			t.Errorf("%v is %q, want %q", d, got, want)
		}
	}
}

// The throw and the turn of the focus chart, against a triangle of sides 3, 4 and 5.
func TestAim(t *testing.T) {
	u := &rig.Unit{At: [3]siLength{0, 0, 4}, Aim: [3]siLength{0, 3, 0}}
	throw, pan, tilt := aimOf(u)
	if throw != 5 || pan != "0°" || tilt != "53° down" { // atan(4/3) = 53.13°
		t.Errorf("throw %v, %s, %s", throw, pan, tilt)
	}
	u.Aim = [3]siLength{3, 3, 4}
	if _, pan, tilt := aimOf(u); pan != "45° right" || tilt != "0° down" {
		t.Errorf("%s, %s", pan, tilt)
	}
}

// A paper that was handed out marks what is new, says what is gone, and nothing else.
func TestRecord(t *testing.T) {
	s := demo(t)
	sub := subjectOf(s)
	make := func() []typeset.Document {
		docs, err := Make(t.Context(), sub, "patch list", "lighting plan", "unit labels")
		if err != nil {
			t.Fatal(err)
		}
		return docs
	}
	data, err := (&Record{}).HandOut(make(), "v1", day).Bytes()
	if err != nil {
		t.Fatal(err)
	}
	r, err := ReadRecord(data)
	if err != nil {
		t.Fatal(err)
	}
	marked := func(docs []typeset.Document) (n int) {
		for i := range docs {
			eachLine(&docs[i], func(_, _ string, changed *bool) {
				if *changed {
					n++
				}
			})
		}
		return n
	}
	docs := make()
	if got := r.Changed(docs); len(got) != 0 {
		t.Errorf("of the same papers %v are others", got)
	}
	if r.Mark(docs); marked(docs) != 0 {
		t.Errorf("%d lines have changed of the same papers", marked(docs))
	}
	moved := *s.Rig
	moved.Units = append([]rig.Unit{}, s.Rig.Units...)
	moved.Units[0].Address = 400
	moved.Units = moved.Units[:len(moved.Units)-1]
	other := *s
	other.Rig = &moved
	sub = subjectOf(&other)
	docs = make()
	if got := r.Changed(docs); marked(docs) != 0 || len(got) == 0 || got[0] != docs[0].Title || len(got) > len(docs) {
		t.Errorf("changed are %v, and %d lines are marked by asking", got, marked(docs))
	}
	r.Mark(docs)
	// The unit's row, the universe's, the sum; the plan, as a unit is gone from it.
	if n := marked(docs[:1]); n != 3 {
		t.Errorf("%d lines of the patch list are marked, want 3", n)
	}
	said := docs[0].Blocks[0].(*typeset.Words).Text
	if !strings.Contains(said, "2026-11-28") || !strings.HasSuffix(said, "Gone: flood right.") {
		t.Errorf("the patch list says %q", said)
	}
	for _, bad := range []string{"", "{", `{"papers": 3}`, "null"} {
		if r, err := ReadRecord([]byte(bad)); (err == nil) != (bad == "null") || err == nil && r.Papers == nil {
			t.Errorf("%q is read: %v", bad, err)
		}
	}
}

// pdf writes the papers and returns the file.
func pdf(t testing.TB, paper typeset.Paper, s *show.Show, docs []typeset.Document) string {
	t.Helper()
	var b bytes.Buffer
	if err := typeset.Set(paper, Foot(s, day), docs...).PDF(&b); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

var (
	pageSize = regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)"`)
	wordBox  = regexp.MustCompile(`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*)</word>`)
)

// onPages fails where a word lies off its page, as pdftotext finds it, and returns how many pages there are, and all words.
func onPages(t *testing.T, file string) (pages int, text string) {
	t.Helper()
	out, err := exec.Command("pdftotext", "-bbox", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	var w, h float64
	var b strings.Builder
	for line := range strings.SplitSeq(string(out), "\n") {
		if m := pageSize.FindStringSubmatch(line); m != nil {
			w, _ = strconv.ParseFloat(m[1], 64)
			h, _ = strconv.ParseFloat(m[2], 64)
			pages++
		}
		if m := wordBox.FindStringSubmatch(line); m != nil {
			var v [4]float64
			for i := range v {
				v[i], _ = strconv.ParseFloat(m[i+1], 64)
			}
			if v[0] < -.5 || v[1] < -.5 || v[2] > w+.5 || v[3] > h+.5 {
				t.Errorf("page %d: %q lies at %v on %v by %v", pages, m[5], v, w, h)
			}
			b.WriteString(m[5] + " ")
		}
	}
	return pages, b.String()
}

// Every paper of shows of all sizes is set on both papers with every word on its page: the demo; one without rooms, sound or
// cues; 500 units with names of 120 letters, and 2,000 cues.
func TestEveryPaper(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("outside check left out: needs pdftotext (Debian package poppler-utils)")
	}
	for name, s := range map[string]*show.Show{"demo": demo(t), "least": solved(t, least()), "most": solved(t, most(60, 300))} {
		for _, paper := range typeset.Papers {
			sub := subjectOf(s)
			sub.Paper = paper
			sub.Stock, _ = typeset.StockOf("", paper)
			pages, text := onPages(t, pdf(t, paper, s, everything(t, sub)))
			t.Logf("%s on %s: %d pages, %d words", name, paper.Name, pages, len(strings.Fields(text)))
			if !strings.Contains(text, fmt.Sprintf("%d of %d", pages, pages)) && !strings.Contains(text, fmt.Sprintf("of %d ", pages)) {
				t.Errorf("%s: no page says that there are %d", name, pages)
			}
		}
	}
}
