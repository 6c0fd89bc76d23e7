package typeset

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lampblack/plate/drawing"
)

// someWord is a word as names have them: short, long, with letters of many sorts.
func someWord(t *rapid.T) string {
	switch rapid.IntRange(0, 9).Draw(t, "sort") {
	case 0:
		return strings.Repeat(rapid.SampledFrom([]string{"W", "i", "ß", "Ж", "世", "0"}).Draw(t, "letter"), rapid.IntRange(1, 120).Draw(t, "letters"))
	case 1:
		return rapid.SampledFrom([]string{"m²", "µW/cm²", "40°", "→", "CO₂", "“so”", "**", "a**b", "\u202e", "\x00", "\xff", "=1+1"}).Draw(t, "odd")
	}
	return rapid.StringMatching(`[a-zäöüé0-9.,-]{1,12}`).Draw(t, "word")
}

func someText(t *rapid.T) string {
	var out []string
	for range rapid.IntRange(0, 12).Draw(t, "words") {
		out = append(out, someWord(t))
	}
	return strings.Join(out, rapid.SampledFrom([]string{" ", " ", "\n"}).Draw(t, "between"))
}

// someDocument has every kind of block that holds words.
func someDocument(t *rapid.T) Document {
	table := &Table{Ruled: rapid.Bool().Draw(t, "ruled"), Size: rapid.SampledFrom([]float64{0, Large, 27}).Draw(t, "size")}
	for range rapid.IntRange(1, 9).Draw(t, "columns") {
		table.Columns = append(table.Columns, Column{Head: someWord(t), Right: rapid.Bool().Draw(t, "right"), Bold: rapid.Bool().Draw(t, "bold"), Grow: rapid.Bool().Draw(t, "grow"), Least: float64(rapid.IntRange(0, 12).Draw(t, "least"))})
	}
	for range rapid.IntRange(0, 30).Draw(t, "rows") {
		r := Row{Head: rapid.IntRange(0, 9).Draw(t, "over") == 0, Bold: rapid.Bool().Draw(t, "sum"), Changed: rapid.Bool().Draw(t, "changed")}
		for range table.Columns {
			r.Cells = append(r.Cells, someText(t))
		}
		table.Rows = append(table.Rows, r)
	}
	stock, _ := StockOf("", A4)
	d := Document{Title: someWord(t), Landscape: rapid.Bool().Draw(t, "landscape"), Blocks: []Block{
		&Words{Text: someText(t), Boxed: rapid.Bool().Draw(t, "boxed"), Centred: rapid.Bool().Draw(t, "centred"), Size: 26}, &Heading{someWord(t)}, table,
		&Tasks{List: []Task{{Text: someText(t)}, {Text: someText(t), Plain: true}}}, &Blank{2}}}
	if rapid.Bool().Draw(t, "labels") {
		d.Blocks = []Block{&Labels{stock, []Label{{someText(t), []string{someText(t), someText(t)}}}}}
	}
	return d
}

// shownIn is what of a text is to be found on a page, blanks aside.
func shownIn(text string) string {
	return strings.ReplaceAll(strings.Join(strings.Fields(plain(clean(text))), ""), Box, "") // which is drawn
}

// Nothing leaves its box, no page loses a word, and no two lines lie on each other, whatever the words are
// and on either paper.
func TestNothingIsCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		paper := rapid.SampledFrom(Papers).Draw(t, "paper")
		d := someDocument(t)
		foot := Foot{Left: someText(t)}
		p := Set(paper, foot, d)
		seen := strings.Builder{}
		for _, w := range p.placed {
			const hair = .01
			page := p.List[w.page-1]
			narrow := w.box[2]-w.box[0] < 30 // a column in which one letter has no room
			if (w.text[0] < w.box[0]-hair || w.text[2] > w.box[2]+hair) && !narrow {
				t.Fatalf("%q stands from %.1f to %.1f in a box from %.1f to %.1f", w.words, w.text[0], w.text[2], w.box[0], w.box[2])
			}
			if w.text[0] < 0 || w.text[1] < 0 || w.text[2] > page.Width || w.text[3] > page.Height {
				t.Fatalf("%q stands at %.0f on a page of %.0f by %.0f", w.words, w.text, page.Width, page.Height)
			}
			if w.box[3] > marginTop+footSize*leading+.01 || w.page == 1 { // not the title of a page that goes on
				seen.WriteString(strings.ReplaceAll(w.words, " ", ""))
			}
		}
		all := strings.ReplaceAll(seen.String(), Box, "")
		for _, b := range d.Blocks {
			if w, ok := b.(*Words); ok && !strings.Contains(all, shownIn(w.Text)) {
				t.Fatalf("%q is not in %q", w.Text, all)
			}
			if table, ok := b.(*Table); ok {
				for _, r := range table.Rows {
					if r.Head && !strings.Contains(all, shownIn(r.Cells[0])) {
						t.Fatalf("%q is not on the page", r.Cells[0])
					}
				}
			}
		}
	})
}

// Lines of one column do not overlap, and stay above the foot.
func TestLinesKeepApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := someDocument(t)
		p := Set(A4, Foot{Left: "a show, version 1"}, d)
		at := map[string]float64{} // by page and left edge of the box: where the last line ends
		for _, w := range p.placed {
			key := fmt.Sprint(w.page, " ", w.box[0])
			if last, ok := at[key]; ok && w.box[1] < last-.01 && w.box[1] > last-30 && w.text[1] < last-w.box[3]+w.box[1] {
				t.Fatalf("%q begins at %.1f, and the line above ends at %.1f", w.words, w.box[1], last)
			}
			at[key] = w.box[3]
		}
	})
}

// The letters' heights are those of the font (hhea and OS/2 of the Go fonts, by way of
// golang.org/x/image), and words are as wide in the PDF as they were measured, by a program that is not
// ours.
func TestMeasuredAsWritten(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("outside check left out: needs pdftotext (Debian package poppler-utils)")
	}
	d := Document{Title: "Widths", Blocks: []Block{&Words{Text: "Hamburgefonstiv illlllll WWWWWWWW 0123456789 m²µ°→ÄÖÜß₂"}, &Words{Text: "Bold-face-words", Bold: true, Size: 30}}}
	p := Set(A4, Foot{Left: "x"}, d)
	found := wordsOf(t, p)
	for _, w := range []struct {
		word string
		size float64
		bold bool
	}{{"Hamburgefonstiv", Usual, false}, {"illlllll", Usual, false}, {"WWWWWWWW", Usual, false}, {"0123456789", Usual, false}, {"m²µ°→ÄÖÜß₂", Usual, false}, {"Bold-face-words", 30, true}} {
		box, ok := found[w.word]
		if !ok {
			t.Errorf("%q is not in the PDF: %v", w.word, found)
			continue
		}
		if want, got := drawing.Wide(w.word, w.size, w.bold)*.75, box[2]-box[0]; got < want*.995-.05 || got > want*1.005+.05 {
			t.Errorf("%q is %.2f pt wide in the PDF, measured %.2f", w.word, got, want)
		}
	}
}

// wordsOf is every word of the PDF with its box, as pdftotext finds it; it fails where one lies off its page.
func wordsOf(t *testing.T, p *Pages) map[string][4]float64 {
	t.Helper()
	file := filepath.Join(t.TempDir(), "a.pdf")
	var b bytes.Buffer
	if err := p.PDF(&b); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-bbox", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Pages []struct {
			Width  float64 `xml:"width,attr"`
			Height float64 `xml:"height,attr"`
			Words  []struct {
				X0   float64 `xml:"xMin,attr"`
				Y0   float64 `xml:"yMin,attr"`
				X1   float64 `xml:"xMax,attr"`
				Y1   float64 `xml:"yMax,attr"`
				Text string  `xml:",chardata"`
			} `xml:"word"`
		} `xml:"body>doc>page"`
	}
	d := xml.NewDecoder(bytes.NewReader(out))
	d.Strict, d.Entity, d.AutoClose = false, xml.HTMLEntity, xml.HTMLAutoClose
	if err := d.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	found := map[string][4]float64{}
	for _, page := range doc.Pages {
		for _, w := range page.Words {
			if w.X0 < 0 || w.Y0 < 0 || w.X1 > page.Width || w.Y1 > page.Height {
				t.Errorf("%q lies at %.1f %.1f %.1f %.1f on a page of %.1f by %.1f", w.Text, w.X0, w.Y0, w.X1, w.Y1, page.Width, page.Height)
			}
			found[w.Text] = [4]float64{w.X0, w.Y0, w.X1, w.Y1}
		}
	}
	return found
}

// A table is read back from CSV as it was (RFC 4180, by encoding/csv), and no cell begins what a
// spreadsheet would run.
func TestCSV(t *testing.T) {
	d := Document{Title: "T", Blocks: []Block{&Table{Columns: []Column{{Head: "a"}, {Head: "b,c"}}, Rows: []Row{{Cells: []string{"x\ny", `"q"`}}, {Cells: []string{"=1+1", "-2.5"}}, {Cells: []string{Strong("bold")}}}}}}
	var b bytes.Buffer
	if err := CSV(&b, d); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{{"a", "b,c"}, {"x\ny", `"q"`}, {"'=1+1", "-2.5"}, {"bold", ""}}
	if fmt.Sprint(rows) != fmt.Sprint(want) {
		t.Errorf("%q, want %q", rows, want)
	}
}

// What Text writes Markdown reads: the same words in the same blocks.
func TestMarkdownBothWays(t *testing.T) {
	d := Document{Title: "A paper", Blocks: []Block{&Heading{"First"}, words("some " + Strong("bold") + " words"), &Tasks{List: []Task{{Text: "do it"}, {Text: "know it", Plain: true}}},
		&Table{Columns: []Column{{Head: "a"}, {Head: "b"}}, Rows: []Row{{Cells: []string{"x|y", "1\n2"}}, {Cells: []string{"", "z"}}}}, &Words{Text: "beware", Boxed: true}}}
	var b, again strings.Builder
	if err := Text(&b, d); err != nil {
		t.Fatal(err)
	}
	title, blocks := Markdown(b.String())
	if err := Text(&again, Document{Title: title, Blocks: blocks}); err != nil {
		t.Fatal(err)
	}
	if again.String() != b.String() {
		t.Errorf("written\n%s\nread\n%s", b.String(), again.String())
	}
}

func words(text string) *Words { return &Words{Text: text} }

// The same documents give the same bytes in each form, and a page more has a number more.
func TestSameBytes(t *testing.T) {
	d := Document{Title: "A", Blocks: []Block{words("one")}}
	made := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)
	write := func() string {
		var b bytes.Buffer
		p := Set(Letter, Foot{"a show", made}, d, d)
		if err := p.PDF(&b); err != nil {
			t.Fatal(err)
		}
		if err := p.SVG(&b); err != nil {
			t.Fatal(err)
		}
		if last := p.placed[len(p.placed)-1].words; last != "2 of 2" {
			t.Errorf("the last page says %q", last)
		}
		return b.String()
	}
	if one, again := write(), write(); one != again {
		t.Error("the same documents give other bytes")
	}
}

// A bar stands beside what has changed, and nowhere else.
func TestBars(t *testing.T) {
	for _, changed := range []bool{false, true} {
		table := &Table{Columns: []Column{{Head: "a"}}, Rows: []Row{{Cells: []string{"x"}}, {Cells: []string{"y"}, Changed: changed}}}
		p := Set(A4, Foot{}, Document{Title: "A", Blocks: []Block{table}})
		svg, err := p.List[0].SVG()
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Count(string(svg), `stroke-width="3.5"`); got != map[bool]int{true: 1, false: 0}[changed] {
			t.Errorf("changed %v: %d bars", changed, got)
		}
	}
}

// Labels lie on their sheet, whichever it is, and none on another.
func TestLabelsOnTheirSheet(t *testing.T) {
	for _, k := range Stocks {
		if _, err := ReadStock(fmt.Sprintf("%d x %d of %g x %g mm, from %g x %g mm, every %g x %g mm", k.Columns, k.Rows, k.Wide, k.High, k.Left, k.Top, k.Across, k.Down), k.Paper); err != nil {
			t.Errorf("%s: %v", k.Name, err)
		}
		var list []Label
		for i := range k.Columns*k.Rows + 1 {
			list = append(list, Label{fmt.Sprint("unit ", i), []string{"1: 1–9", strings.Repeat("long ", 20)}})
		}
		p := Set(k.Paper, Foot{Left: "no foot here"}, Document{Title: "L", Blocks: []Block{&Labels{k, list}}})
		if len(p.List) != 2 {
			t.Errorf("%s: %d sheets for one label more than a sheet holds", k.Name, len(p.List))
		}
		for _, w := range p.placed {
			if strings.Contains(w.words, "foot") {
				t.Errorf("%s: a sheet of labels has a foot", k.Name)
			}
			x := (w.text[0]/mm - k.Left) / k.Across
			column := float64(int(x))
			if right := k.Left + column*k.Across + k.Wide; w.text[2]/mm > right || w.text[3]/mm > k.Top+float64(k.Rows)*k.Down {
				t.Errorf("%s: %q leaves its label", k.Name, w.words)
			}
		}
	}
	for _, bad := range []string{"", "a5", "0 x 7 of 63.5 x 38.1 mm, from 7 x 15 mm, every 66 x 38.1 mm", "3 x 7 of 63.5 x 38.1 mm, from 7 x 15 mm, every 60 x 38.1 mm", "9 x 7 of 63.5 x 38.1 mm, from 7 x 15 mm, every 66 x 38.1 mm"} {
		if _, err := ReadStock(bad, A4); err == nil {
			t.Errorf("%q is taken for a sheet", bad)
		}
	}
}

// The figure's scale is one that plans have, and the ruler under it is true: so many metres on paper
// are so long (ISO 5455: 1:50 is 20 mm to a metre).
func TestScale(t *testing.T) {
	d := drawing.New(300, 200, "plan")
	p := Set(A4, Foot{}, Document{Title: "A", Blocks: []Block{&Figure{Drawing: d, Metre: 40}}})
	said := ""
	for _, w := range p.placed {
		if strings.Contains(w.words, "Scale") {
			said = w.words
		}
	}
	// 300 px at 40 px a metre are 7.5 m: 150 mm at 1:50, and 300 mm, too much, at 1:25.
	if !strings.Contains(said, "Scale 1:50 on A4") {
		t.Errorf("the figure says %q", said)
	}
	svg, _ := p.List[0].SVG()
	if want := fmt.Sprintf("M%.2f", marginLeft+20*mm); !strings.Contains(string(svg), want) {
		t.Errorf("no metre of 20 mm in the ruler: want %s", want)
	}
}

// Whatever is taken for Markdown is set, and read again from what is written of it comes to the same.
func TestAnyMarkdown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lines []string
		for range rapid.IntRange(0, 12).Draw(t, "lines") {
			lines = append(lines, rapid.SampledFrom([]string{"", "# ", "## ", "- ", "- [ ] ", "| ", "|---|", "> ", "> - ", "#", "-", "|"}).Draw(t, "mark")+rapid.StringMatching(`[a-z *|\\#<>-]{0,20}`).Draw(t, "words"))
		}
		title, blocks := Markdown(strings.Join(lines, "\n"))
		Set(A4, Foot{}, Document{Title: title, Blocks: blocks})
		var b strings.Builder
		if err := Text(&b, Document{Title: title, Blocks: blocks}); err != nil {
			t.Fatal(err)
		}
	})
}
