package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"lampblack/check/finding"
	"lampblack/folder"
	"lampblack/sheet"
	"lampblack/sheet/typeset"
	"lampblack/show"
	"lampblack/show/compare"
	"lampblack/si"
	"lampblack/source"
)

// variant is the show with other texts laid over its folder, or with units out, solved and checked. It
// shares the folder with the show, which closes it.
func (l *loaded) variant(ctx context.Context, words io.Writer, laid *folder.Laid, out ...string) (*loaded, error) {
	texts := &textRecorder{FS: laid, texts: map[string][]byte{}}
	files, faults := show.Read(texts)
	v := &loaded{folder: l.folder, files: files, texts: texts.texts}
	return v.checked(ctx, words, reading{out: out}, faults)
}

// checked solves and checks what was read. What is wrong with it is in its findings.
func (l *loaded) checked(ctx context.Context, words io.Writer, how reading, faults source.Faults) (*loaded, error) {
	if _, err := l.solve(ctx, words, how, faults); err != nil || l.show == nil {
		return l, err
	}
	found, err := l.check(ctx)
	l.findings = append(l.findings, found...)
	return l, err
}

// faulty is why a show could not be solved; nothing where it could.
func (l *loaded) faulty() []finding.Finding {
	if l.show != nil {
		return nil
	}
	return l.findings
}

// became is what a show becomes by a change of its rig or its hall.
type became struct {
	before, after *loaded
	looks         []compare.Look
	worse         []finding.Finding // stops and warns that are new, or worse
	papers        []string          // that change, by title
}

// held holds a show against what it becomes.
func held(c *cobra.Command, before, after *loaded) (*became, error) {
	b := &became{before: before, after: after, looks: compare.Shows(before.show, after.show), worse: finding.Worse(before.findings, after.findings)}
	var err error
	b.papers, err = papersChanged(c, before, after)
	return b, err
}

// papersChanged names the papers that are others than those that were handed out, or than those of the show as it was.
func papersChanged(c *cobra.Command, before, after *loaded) ([]string, error) {
	was, err := papersOf(c, before)
	if err != nil {
		return nil, err
	}
	is, err := papersOf(c, after)
	if err != nil {
		return nil, err
	}
	data, err := before.folder.Optional(sheet.RecordFile)
	if err != nil {
		return nil, err
	}
	record, err := sheet.ReadRecord(data)
	if err != nil {
		record = &sheet.Record{} // it is only a memory of what was handed out
	}
	now := (&sheet.Record{}).HandOut(was, "", time.Time{})
	for title, paper := range record.Papers {
		now.Papers[title] = paper
	}
	return now.Changed(is), nil
}

func papersOf(c *cobra.Command, l *loaded) ([]typeset.Document, error) {
	f := sheetFlags{size: typeset.A4}
	f.stock, _ = typeset.StockOf("", f.size)
	s, err := f.of(c, l)
	if err != nil {
		return nil, err
	}
	names := slices.DeleteFunc(sheet.Names(), func(name string) bool {
		k, _ := sheet.Of(name)
		return k.Without(s) != ""
	})
	return sheet.Make(c.Context(), s, names...)
}

// mostPlaces is how many places are told that are lighter or darker beside the rest; --json has all.
const mostPlaces = 6

// tellLooks prints what each look keeps and loses of what it asks for, then what becomes of the light beside that.
func tellLooks(w io.Writer, looks []compare.Look) {
	kept := 0
	for i := range looks {
		l := &looks[i]
		lines := l.Asked()
		if len(lines) == 0 {
			kept++
			continue
		}
		name := "look " + l.Name
		if len(l.For) > 0 {
			name += ", cue " + source.First(l.For, 4)
		}
		if kept, asked := l.Kept(); asked > 0 {
			name += fmt.Sprintf(": %d of %s kept", kept, si.Count(asked, "wish", "wishes"))
		}
		fmt.Fprintln(w, source.Visible(name))
		for _, line := range lines {
			fmt.Fprintf(w, "  %-5s %s\n", line.Kind, source.Visible(line.Text))
		}
	}
	if kept > 0 {
		fmt.Fprintln(w, si.Count(kept, "look keeps all that it asks for", "looks keep all that they ask for"))
	}
	groups := compare.Groups(looks)
	if len(groups) == 0 {
		fmt.Fprintln(w, "all else is as bright as it was")
		return
	}
	fmt.Fprintln(w, "\nhow bright it is, whoever asked for it:")
	for _, g := range groups[:min(len(groups), mostPlaces)] {
		fmt.Fprintf(w, "  %s\n", source.Visible(g.Text))
	}
	if n := len(groups) - mostPlaces; n > 0 {
		fmt.Fprintf(w, "  and %s, by less (--json has all)\n", si.Count(n, "other place", "other places"))
	}
}

// tellWorse prints the findings that are new or worse.
func (b *became) tellWorse(w io.Writer) {
	if len(b.worse) == 0 {
		fmt.Fprintln(w, "\nthe checks find nothing new")
		return
	}
	fmt.Fprintln(w, "\nthe checks find, new or worse than before:")
	writeFound(w, b.worse)
}

// tellPapers names the papers to print anew.
func (b *became) tellPapers(w io.Writer) {
	if len(b.papers) == 0 {
		fmt.Fprintln(w, "no paper changes")
		return
	}
	fmt.Fprintf(w, "%s: %s\n", si.Count(len(b.papers), "paper changes", "papers change"), strings.ToLower(strings.Join(b.papers, ", ")))
}

// What is said to programs.
type (
	becameOut struct {
		Steps    []stepOut         `json:"steps"`
		Faults   []finding.Finding `json:"faults,omitempty"` // why looks are not compared
		Looks    []lookOut         `json:"looks"`
		Findings []finding.Finding `json:"findings"`
		Papers   []string          `json:"papers"`
	}
	lookOut struct {
		Look    string      `json:"look"`
		Cues    []string    `json:"cues,omitempty"`
		Kept    int         `json:"kept"`
		Asked   int         `json:"asked"`
		Says    []saidOut   `json:"says"`
		Wishes  []wishOut   `json:"wishes"`
		Colours []colourOut `json:"colours"`
		Even    []evenOut   `json:"evenness"`
		Light   []lightOut  `json:"luminance_cd_m2"`
		General float64     `json:"times_as_bright,omitempty"`
		Held    []string    `json:"held_against,omitempty"`
	}
	saidOut struct {
		Kind compare.Kind `json:"kind"`
		Text string       `json:"text"`
	}
	wishOut struct {
		Wish   show.Wish `json:"wish"`
		On     string    `json:"on,omitempty"`
		Unit   string    `json:"unit"`
		Wanted float64   `json:"wanted"`
		Before *float64  `json:"before,omitempty"`
		After  *float64  `json:"after,omitempty"`
	}
	colourOut struct {
		Colour string  `json:"colour"`
		Units  string  `json:"units"`
		Before float64 `json:"before_off"`
		After  float64 `json:"after_off"`
	}
	evenOut struct {
		On     string  `json:"on"`
		Before float64 `json:"before"`
		After  float64 `json:"after"`
	}
	lightOut evenOut
)

// out is all of it for programs.
func (b *became) out(list []stepOut) becameOut {
	out := becameOut{Steps: list, Looks: []lookOut{}, Findings: b.worse, Papers: b.papers}
	if out.Findings == nil {
		out.Findings = []finding.Finding{}
	}
	if out.Papers == nil {
		out.Papers = []string{}
	}
	for i := range b.looks {
		out.Looks = append(out.Looks, outOf(&b.looks[i]))
	}
	return out
}

func outOf(l *compare.Look) lookOut {
	o := lookOut{Look: l.Name, Cues: l.For, General: l.General, Held: l.Held, Says: []saidOut{}, Wishes: []wishOut{}, Colours: []colourOut{}, Even: []evenOut{}, Light: []lightOut{}}
	o.Kept, o.Asked = l.Kept()
	for _, line := range l.Lines() {
		o.Says = append(o.Says, saidOut{line.Kind, line.Text})
	}
	for i := range l.Wishes {
		w := &l.Wishes[i]
		row := wishOut{Wish: w.Wish, On: w.On, Unit: w.Wish.Unit(), Wanted: w.Wanted}
		if w.Before.There {
			row.Before = &w.Before.Found
		}
		if w.After.There {
			row.After = &w.After.Found
		}
		o.Wishes = append(o.Wishes, row)
	}
	for _, c := range l.Colours {
		o.Colours = append(o.Colours, colourOut{c.Text, c.Units, c.Before, c.After})
	}
	for _, e := range l.Even {
		o.Even = append(o.Even, evenOut(e))
	}
	for _, p := range l.Light {
		o.Light = append(o.Light, lightOut(p))
	}
	return o
}
