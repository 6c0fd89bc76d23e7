package drawing

import (
	"bytes"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var day = time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)

// asPDF writes drawings as a document.
func asPDF(t *testing.T, pages ...*Drawing) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := PDF(&b, "pages", day, pages); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// read has a program of poppler-utils read a document, and answers what it wrote.
func read(t *testing.T, data []byte, program string, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		t.Skipf("outside check left out: needs %s (Debian package poppler-utils)", program)
	}
	file := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	for i := range args {
		args[i] = strings.ReplaceAll(args[i], "FILE", file)
	}
	cmd := exec.Command(path, args...)
	var words bytes.Buffer
	cmd.Stderr = &words
	out, err := cmd.Output()
	if err != nil || words.Len() > 0 {
		t.Fatalf("%s: %v: %s", program, err, words.String())
	}
	return out
}

// The PDF looks like our own pixels to a program that is not ours: every kind of mark, words among
// them, turned and with an edge.
func TestPDFAgrees(t *testing.T) {
	d := sample()
	d.Label(20, 150, Left, Ink, "Hamburg m² ₂ → ÄÖÜß")
	d.Add(&Text{At: Point{190, 150}, Words: "turned", Anchor: Left, Fill: Ink, Turned: true, Bold: true}, &Text{At: Point{100, 100}, Words: "edge", Anchor: Centre, Fill: Ink, Halo: true})
	out := read(t, asPDF(t, d), "pdftoppm", "-r", "192", "-png", "FILE")
	theirs, err := png.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	ours := painted(t, d, 2)
	if ours.Bounds() != theirs.Bounds() {
		t.Fatalf("%v, theirs %v", ours.Bounds(), theirs.Bounds())
	}
	far, sum := 0, 0
	for y := range ours.Bounds().Dy() {
		for x := range ours.Bounds().Dx() {
			a, b := color.NRGBAModel.Convert(ours.At(x, y)).(color.NRGBA), color.NRGBAModel.Convert(theirs.At(x, y)).(color.NRGBA)
			most := max(apart(a.R, b.R), apart(a.G, b.G), apart(a.B, b.B))
			sum += most
			if most > 100 {
				far++
			}
		}
	}
	// The edge of letters is a box in a PDF; dashes, joins and stretched pictures differ by parts of a pixel.
	n := 400 * 320
	if mean := float64(sum) / float64(n); mean > 2.5 || far > n/120 {
		t.Errorf("the forms differ by %.2f of 255 on average, and by more than 100 in %d of %d pixels", mean, far, n)
	}
}

// Whatever the words, the document is one, says them, and is the same again; what the font lacks is a box.
func TestPDFWords(t *testing.T) {
	d := New(400, 400, "Ti\x00tle \xff 世界 (")
	for i, w := range []string{"plain words", `back\slash (and) brackets`, "Жук Ωmega café H₂O µW 40° → x", "世界 🙂", "\x00\x01\xff", "", strings.Repeat("long ", 400)} {
		d.Label(10, float64(20+20*i), Left, Ink, w)
	}
	data := asPDF(t, d, d)
	if !bytes.Equal(data, asPDF(t, d, d)) {
		t.Error("the same pages give other bytes")
	}
	text := string(read(t, data, "pdftotext", "-layout", "FILE", "-"))
	for _, want := range []string{"plain words", `back\slash (and) brackets`, "Жук Ωmega café H₂O µW 40° → x", "□□ □"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}

// Places that are nowhere are borne.
func TestPDFOfWhatCannotBeDrawn(t *testing.T) {
	d := New(20, 20, "")
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		d.Line(v, 0, 5, v, Ink, v)
		d.Lines([]Point{{v, v}, {1, 1}, {v, 3}}, true, Style{Fill: Ink, Stroke: Ink, Width: 2, Dash: []float64{v}})
		d.Label(v, v, Centre, Ink, "x")
		d.Add(&Group{Clip: []Point{{v, v}, {1, 1}, {v, 0}}})
	}
	read(t, asPDF(t, d), "pdftotext", "FILE", "-")
}

// A drawing on a larger one stands where it was put, as large as was said.
func TestMoved(t *testing.T) {
	small, page := New(10, 10, ""), New(60, 40, "")
	small.Box(2, 2, 4, 4, Hex(0xff0000), color.NRGBA{})
	page.Add(small.Moved(20, 10, 2))
	img := painted(t, page, 1)
	for at, want := range map[[2]int]color.NRGBA{{24, 14}: Hex(0xff0000), {31, 21}: Hex(0xff0000), {23, 14}: White, {32, 21}: White} {
		is(t, "the moved box", img, at[0], at[1], want)
	}
}

// Letters take the heights that the layout leaves for them.
func TestHeights(t *testing.T) {
	d := New(400, 200, "")
	d.Add(&Text{At: Point{10, 120}, Words: "ÄÅÉgjpqy|(ß", Size: 60, Anchor: Left, Fill: Ink})
	r := inked(painted(t, d, 1))
	if top, bottom := 120-float64(r.Min.Y), float64(r.Max.Y)-120; top > Above*60 || bottom > Below*60 || top < .85*Above*60 || bottom < .7*Below*60 {
		t.Errorf("letters of 60 stand from %.1f over to %.1f under their line; the layout leaves %.1f and %.1f", top, bottom, Above*60, Below*60)
	}
}
