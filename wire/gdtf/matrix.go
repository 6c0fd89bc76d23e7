package gdtf

import (
	"fmt"
	"math"
	"regexp"
	"strings"
)

// Matrix places a part within the one that it belongs to: three axes and, in the fourth column, a place
// in metres; x points right, y away and z up, light leaves against z.
type Matrix struct {
	Rows [4][4]float64
	Told bool
}

// At is a part that is moved and not turned.
func At(x, y, z float64) Matrix {
	return Matrix{[4][4]float64{{1, 0, 0, x}, {0, 1, 0, y}, {0, 0, 1, z}, {0, 0, 0, 1}}, true}
}

// Place is where the part is, in metres.
func (m Matrix) Place() [3]float64 {
	return [3]float64{m.Rows[0][3], m.Rows[1][3], m.Rows[2][3]}
}

// In returns the matrix as seen from outside the part p that it is in.
func (m Matrix) In(p Matrix) Matrix {
	switch {
	case !m.Told:
		return p
	case !p.Told:
		return m
	}
	out := Matrix{Told: true}
	for i := range 4 {
		for j := range 4 {
			for k := range 4 {
				out.Rows[i][j] += float64(p.Rows[i][k] * m.Rows[k][j])
			}
		}
	}
	return out
}

var betweenRows = regexp.MustCompile(`\}\s*\{`)

func (m *Matrix) read(text string) error {
	*m = Matrix{}
	text = strings.TrimSpace(text)
	if text == "" || strings.EqualFold(text, "None") {
		return nil
	}
	rows := betweenRows.Split(strings.TrimSuffix(strings.TrimPrefix(text, "{"), "}"), -1)
	if len(rows) != 4 {
		return fmt.Errorf("got %d rows in braces, want 4", len(rows))
	}
	var out Matrix
	for i, row := range rows {
		v, err := numbers(row, 4)
		if err != nil {
			return err
		}
		for _, x := range v {
			if math.Abs(x) > 1e6 {
				return fmt.Errorf("got %v, which is no place", x)
			}
		}
		copy(out.Rows[i][:], v)
	}
	out.Told = true
	*m = out
	return nil
}

func (m *Matrix) text() (string, bool) {
	var b strings.Builder
	for _, row := range m.Rows {
		for i, v := range row {
			b.WriteByte("{,,,"[i])
			b.WriteString(decimal(v))
		}
		b.WriteByte('}')
	}
	return b.String(), m.Told
}
