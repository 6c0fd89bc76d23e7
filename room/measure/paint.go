package measure

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"lampblack/light"
	"lampblack/si"
	"lampblack/source"
)

// Sample is what was measured of a paint: with a phone, or with a small spectrometer.
//
// A phone takes two pictures. In daylight, of the paint beside white paper; and in the dark
// under black light, with the white balance still locked to the daylight, of the paint beside
// copying paper, which glows. Colours are those of the pictures, away from edges and gloss.
type Sample struct {
	Name         string
	Paint, White light.RGB     // in daylight
	Glow, Paper  light.RGB     // under black light; Paper black where there was none
	Peak         si.Wavelength // of the black light
	Table        []Row         // of a spectrometer; takes the place of the colours that it has
}

// Row is one row of a spectrometer's table: what the paint gives back of daylight, glow
// included, against a white standard; and its glow, in any unit.
type Row struct {
	At            si.Wavelength
	Daylight, Own float64
}

// How far colours from a phone are off, standard: common practice, no source. What is white
// paper's share of daylight: from memory.
const (
	phoneDay    = .02  // in u'v', in daylight
	phoneGlow   = .04  // in u'v', of saturated glow
	phoneTone   = .15  // of ln Y
	tableOff    = .006 // in u'v', of a small spectrometer
	paperBack   = .87
	mostFar     = 2 // standard deviations that a paint may be off from all that are known
	paperFactor = 3 // within which the glow of copying paper is known, as 95 %
)

// Likeness is what was found of a paint.
type Likeness struct {
	Name  string
	Like  string
	Far   float64 // standard deviations that its colours are off from that paint's
	Day   light.XYZ
	Own   light.XY // of the glow
	Glow  *si.Estimate[si.Ratio]
	Table []Row
}

// ErrUnlike is that no known paint is like a sample.
var ErrUnlike = errors.New("no fluorescent paint that is known looks like this in both lights")

// Match finds the generic paint whose colours in daylight and under black light are nearest,
// and how many times as strong the glow is. Its interval joins what is known of the paint
// beforehand with what the picture says, whose scale is copying paper (both are normal in the
// logarithm).
func (s *Sample) Match() (*Likeness, error) {
	day, own, err := s.colours()
	if err != nil {
		return nil, err
	}
	black, err := light.LED(s.Peak, 13)
	if err != nil {
		return nil, err
	}
	daylight, err := light.Illuminant("D65")
	if err != nil {
		return nil, err
	}
	best := &Likeness{Far: math.Inf(1)}
	var paint *light.Paint
	all := light.Paints()
	for i := range all {
		p := &all[i]
		if !p.Fluoresces() {
			continue
		}
		whole, glow := p.Whole(&daylight), p.Glow(&black)
		c, g := whole.XYZ().Times(1/float64(daylight.LuminousFlux())), glow.XYZ()
		if s.Table == nil { // a picture has no purer colours than its three
			c, g = pictured(c, 1.5), pictured(g, 3*g.Y)
		}
		if far := s.far(day, c, own, g.XY()); far < best.Far {
			*best = Likeness{Name: s.Name, Like: p.Name, Far: far, Day: day, Own: own, Table: s.Table}
			paint = p
		}
	}
	if !(best.Far <= mostFar) {
		return best, ErrUnlike
	}
	best.Glow = s.strength(paint, &black)
	return best, nil
}

// pictured is a colour as a picture can have it.
func pictured(c light.XYZ, white float64) light.XYZ {
	return c.Photographed(white).XYZ().Times(white)
}

// far is how many standard deviations two colours in each light are apart, root of the mean
// square.
func (s *Sample) far(day, known light.XYZ, own, glow light.XY) float64 {
	offDay, offGlow := phoneDay, phoneGlow
	if s.Table != nil {
		offDay, offGlow = tableOff+.02, tableOff+.04 // paints of one name differ by so much
	}
	a := day.UV().Distance(known.UV()) / math.Hypot(offDay, .02)
	b := own.UV().Distance(glow.UV()) / math.Hypot(offGlow, .03)
	c := math.Log(day.Y/known.Y) / math.Hypot(phoneTone, .3)
	return math.Sqrt((a*a + b*b + c*c) / 3)
}

// colours are the paint's in daylight, against white, and of its glow.
func (s *Sample) colours() (day light.XYZ, own light.XY, err error) {
	if s.Table != nil {
		return s.tabled()
	}
	if s.White == (light.RGB{}) || s.Glow == (light.RGB{}) {
		return day, own, errors.New("the colours of the white paper and of the glow must be more than black")
	}
	pr, pg, pb := s.Paint.Linear()
	wr, wg, wb := s.White.Linear()
	if wr == 0 || wg == 0 || wb == 0 {
		return day, own, errors.New("the white paper has a colour: its picture is too dark in red, green or blue")
	}
	day = linear(paperBack*pr/wr, paperBack*pg/wg, paperBack*pb/wb)
	own = s.Glow.XYZ().XY()
	if !(day.Y > 0) {
		return day, own, errors.New("the paint is black in daylight")
	}
	return day, own, nil
}

// linear is a colour of linear sRGB.
func linear(r, g, b float64) light.XYZ {
	unit := func(c light.RGB, by float64) light.XYZ { return c.XYZ().Times(by) }
	return unit(light.RGB{R: 255}, r).Plus(unit(light.RGB{G: 255}, g), 1).Plus(unit(light.RGB{B: 255}, b), 1)
}

// tabled is colours by a spectrometer's table.
func (s *Sample) tabled() (day light.XYZ, own light.XY, err error) {
	back, glow, err := s.spectra()
	if err != nil {
		return day, own, err
	}
	d65, err := light.Illuminant("D65")
	if err != nil {
		return day, own, err
	}
	white := float64(d65.LuminousFlux())
	d65.Multiply(&back)
	return d65.XYZ().Times(1 / white), glow.XYZ().XY(), nil
}

func (s *Sample) spectra() (back, glow light.Spectrum, err error) {
	var a, b []light.Point
	for _, r := range s.Table {
		a, b = append(a, light.Point{At: r.At, Value: r.Daylight}), append(b, light.Point{At: r.At, Value: r.Own})
	}
	if back, err = light.Table(a); err != nil {
		return back, glow, err
	}
	if glow, err = light.Table(b); err != nil {
		return back, glow, err
	}
	if glow.LuminousFlux() <= 0 || back.LuminousFlux() <= 0 {
		return back, glow, errors.New("the table has no visible light in one of its columns")
	}
	return back, glow, nil
}

// strength is how many times as strong as a known paint's the glow is; nil where there was no
// paper in the picture, or it was as good as black.
func (s *Sample) strength(p *light.Paint, black *light.Spectrum) *si.Estimate[si.Ratio] {
	paper, err := light.PaintNamed("optical white paper")
	if err != nil || s.Paper == (light.RGB{}) || s.Glow == (light.RGB{}) {
		return nil
	}
	// A camera sees what an eye does of both, the violet that they throw back with it.
	of := func(p *light.Paint) float64 {
		whole := p.Whole(black)
		return float64(whole.LuminousFlux())
	}
	found := math.Log(s.Glow.XYZ().Y / s.Paper.XYZ().Y / (of(p) / of(&paper)))
	before, picture := math.Log(p.Factor)/1.96, math.Hypot(math.Log(paperFactor)/1.96, phoneTone)
	weight := before * before / (before*before + picture*picture)
	mean, half := weight*found, 1.96*before*math.Sqrt(1-weight)
	return &si.Estimate[si.Ratio]{Best: si.Ratio(math.Exp(mean)), Low: si.Ratio(math.Exp(mean - half)), High: si.Ratio(math.Exp(mean + half))}
}

// Text is the paint for room.yaml. Where a table was measured, the glow has its shape above
// 410 nm, and the reflectance is the table's up to where the glow begins: beyond, what the
// table has cannot be told from glow, and is left as that of the paint it is like.
func (l *Likeness) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "paints:\n  %s:\n    like: %s\n", quoted(l.Name), l.Like)
	if g := l.Glow; g != nil {
		fmt.Fprintf(&b, "    glow: %.2f (%.2f to %.2f)\n", float64(g.Best), float64(g.Low), float64(g.High))
	}
	rows := l.shape()
	if len(rows) < 2 {
		return b.String()
	}
	b.WriteString("    reflectance:\n")
	for _, r := range l.reflects(rows) {
		fmt.Fprintf(&b, "      - {at: %g nm, share: %.1f %%}\n", float64(r.At), 100*r.Daylight)
	}
	b.WriteString("    emission:\n")
	for _, r := range rows {
		fmt.Fprintf(&b, "      - {at: %g nm, power: %.4g}\n", float64(r.At), r.Own)
	}
	return b.String()
}

// reflects is the reflectance every 10 nm.
func (l *Likeness) reflects(glow []Row) []Row {
	const begins, most = .05, .98 // of the glow's peak; of what a matt thing reflects
	peak, onset := 0.0, si.Wavelength(light.Last)
	for _, r := range glow {
		peak = max(peak, r.Own)
	}
	for _, r := range slices.Backward(glow) {
		if r.Own > begins*peak {
			onset = r.At
		}
	}
	p, err := light.PaintNamed(l.Like)
	if err != nil {
		panic("measure: " + err.Error())
	}
	back, _, _ := (&Sample{Table: l.Table}).spectra() // Match has read it
	var out []Row
	for nm := si.Wavelength(light.First); nm <= light.Last; nm += 10 {
		share := p.Reflectance.At(nm)
		if nm >= l.Table[0].At && nm < onset {
			share = back.At(nm)
		}
		out = append(out, Row{At: nm, Daylight: min(share, most)})
	}
	return out
}

// shape is the part of a table that is glow alone.
func (l *Likeness) shape() []Row {
	const above = 410 // nm; below, black lights themselves shine
	var out []Row
	for _, r := range l.Table {
		if r.At > above {
			out = append(out, r)
		}
	}
	return out
}

// Rows of a table that are read; small spectrometers have some hundreds.
const mostRows = 5000

// ReadTable reads a spectrometer's table: a heading nm, daylight, glow, in any order, and rows
// of numbers; daylight as a share, 1 being white. Lines that begin with # are passed over.
func ReadTable(file string, r io.Reader) ([]Row, source.Faults) {
	var faults source.Faults
	c := csv.NewReader(r)
	c.Comment, c.TrimLeadingSpace, c.FieldsPerRecord = '#', true, -1
	var at map[string]int
	var out []Row
	for {
		record, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		line, _ := c.FieldPos(0)
		pos := source.Pos{File: file, Line: line, Column: 1}
		if err != nil {
			faults.Add(source.Pos{File: file, Line: 1, Column: 1}, "a heading and rows, with commas", "the table cannot be read: %v", err)
			break
		}
		if at == nil {
			if at = heading(record); at == nil {
				faults.Add(pos, "nm, daylight, glow", "the heading has no columns nm, daylight and glow: %s", strings.Join(record, ", "))
				break
			}
			continue
		}
		row, err := rowOf(record, at)
		switch {
		case err != nil:
			faults.Add(pos, "numbers, zero or more, by rising wavelengths", "%v", err)
		case len(out) > 0 && row.At <= out[len(out)-1].At:
			faults.Add(pos, "", "%v does not come after %v", row.At, out[len(out)-1].At)
		case len(out) == mostRows:
			faults.Add(pos, "", "the table has more than %d rows", mostRows)
			return out, faults
		default:
			out = append(out, row)
		}
	}
	if len(faults) == 0 && len(out) < 2 {
		faults.Add(source.Pos{File: file, Line: 1, Column: 1}, "", "the table has %d rows, and needs at least two", len(out))
	}
	return out, faults
}

// heading finds the columns.
func heading(record []string) map[string]int {
	at := map[string]int{}
	for i, h := range record {
		at[strings.ToLower(strings.TrimSpace(h))] = i
	}
	for _, want := range []string{"nm", "daylight", "glow"} {
		if _, ok := at[want]; !ok {
			return nil
		}
	}
	return at
}

func rowOf(record []string, at map[string]int) (Row, error) {
	var v [3]float64
	for i, name := range []string{"nm", "daylight", "glow"} {
		if at[name] >= len(record) {
			return Row{}, fmt.Errorf("the row has no %s", name)
		}
		text := strings.TrimSpace(record[at[name]])
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || !(x >= 0 && x <= 1e9) {
			return Row{}, fmt.Errorf("%q is no %s", text, name)
		}
		v[i] = x
	}
	return Row{si.Wavelength(v[0]), v[1], v[2]}, nil
}
