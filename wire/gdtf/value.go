package gdtf

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// scalar is the value of an attribute. What is not told is not written.
type scalar interface {
	read(text string) error
	text() (text string, told bool)
}

// Figure is a number that a file may leave out.
type Figure struct {
	Value float64
	Told  bool
}

// Is returns a number that is told.
func Is(v float64) Figure { return Figure{v, true} }

func (f *Figure) read(text string) error {
	v, err := number(text)
	if err == nil {
		*f = Is(v)
	}
	return err
}

func (f *Figure) text() (string, bool) { return decimal(f.Value), f.Told }

// number reads a float; some programs write a comma for the point.
func number(text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(text), ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e15 {
		return 0, fmt.Errorf("got %.40q, want a number", text)
	}
	return v + 0, nil // -0 becomes 0, so that what is read is written the same
}

// decimal has no exponents: the schema takes none in vectors.
func decimal(v float64) string { return strconv.FormatFloat(v+0, 'f', -1, 64) }

// Whole is a whole number that a file may leave out.
type Whole struct {
	Value int
	Told  bool
}

func (w *Whole) read(text string) error {
	v, err := strconv.ParseInt(strings.TrimSpace(text), 0, 32)
	if err != nil {
		return fmt.Errorf("got %.40q, want a whole number", text)
	}
	*w = Whole{int(v), true}
	return nil
}

func (w *Whole) text() (string, bool) { return strconv.Itoa(w.Value), w.Told }

// mostBytes is how many slots one channel may have: 32 bits are the most that any lamp is known to use.
const mostBytes = 4

// Value is a slot value with the number of octets that it was written for: 255/1 is the top of one
// slot. In a channel of more slots its octets are repeated, or with Shift zeros follow (Table 1 of
// the standard). It is told when Bytes is not 0.
type Value struct {
	N     uint64
	Bytes int
	Shift bool
}

// Octet is a value of one slot that shifts: 128 becomes 128·256 in a channel of two.
func Octet(v int) Value { return Value{uint64(v), 1, true} }

func (v *Value) read(text string) error {
	text = strings.TrimSpace(text)
	if strings.EqualFold(text, "None") || text == "" {
		*v = Value{}
		return nil
	}
	n, bytes, split := strings.Cut(text, "/")
	if !split {
		bytes = "1" // how some write it, against the standard
	}
	bytes, shift := strings.CutSuffix(bytes, "s")
	out := Value{Shift: shift}
	var err, err2 error
	out.N, err = strconv.ParseUint(strings.TrimSpace(n), 10, 64)
	out.Bytes, err2 = strconv.Atoi(strings.TrimSpace(bytes))
	if err != nil || err2 != nil || out.Bytes < 1 || out.Bytes > mostBytes || out.N > top(out.Bytes) {
		return fmt.Errorf("got %.40q, want a slot value as 255/1", text)
	}
	*v = out
	return nil
}

func (v *Value) text() (string, bool) {
	s := ""
	if v.Shift {
		s = "s"
	}
	return fmt.Sprintf("%d/%d%s", v.N, v.Bytes, s), v.Bytes > 0
}

// top is the greatest value of a number of octets.
func top(bytes int) uint64 { return 1<<(8*bytes) - 1 }

// At returns the value for a channel of a number of octets: 255/1 in two octets is 65535, 255/1s
// is 65280. For fewer octets the upper ones stay. For numbers that are no multiples the standard says
// nothing: octets are repeated from the first.
func (v Value) At(bytes int) uint64 {
	out := uint64(0)
	for i := range bytes {
		octet := uint64(0)
		switch {
		case v.Bytes > 0 && (i < v.Bytes || !v.Shift):
			octet = v.N >> (8 * (v.Bytes - 1 - i%v.Bytes)) & 255
		}
		out = out<<8 | octet
	}
	return out
}

// Offsets are the slots of a channel, counted from 1, the most significant first; none for one
// that is virtual.
type Offsets []int

func (o *Offsets) read(text string) error {
	*o = nil
	text = strings.TrimSpace(text)
	if text == "" || strings.EqualFold(text, "None") {
		return nil
	}
	for part := range strings.SplitSeq(text, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(part))
		if err != nil || n < 1 || n > 512 || len(*o) == mostBytes || slices.Contains(*o, n) {
			*o = nil
			return fmt.Errorf("got %.40q, want up to %d slots from 1 to 512, each once", text, mostBytes)
		}
		*o = append(*o, n)
	}
	return nil
}

func (o *Offsets) text() (string, bool) {
	var parts []string
	for _, n := range *o {
		parts = append(parts, strconv.Itoa(n))
	}
	if parts == nil {
		return "None", true
	}
	return strings.Join(parts, ","), true
}

// Break is one of a lamp's data inputs, from 1; Overwrite leaves it to the reference that repeats the
// part.
type Break struct {
	N         int // 0 when it is not told, which stands for 1
	Overwrite bool
}

func (b *Break) read(text string) error {
	*b = Break{}
	if strings.EqualFold(strings.TrimSpace(text), "Overwrite") {
		b.Overwrite = true
		return nil
	}
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 0 || n > 255 {
		return fmt.Errorf("got %.40q, want a number of a data input, or Overwrite", text)
	}
	b.N = n
	return nil
}

func (b *Break) text() (string, bool) {
	if b.Overwrite {
		return "Overwrite", true
	}
	return strconv.Itoa(b.N), b.N > 0
}

// Number is the data input, 1 where none is told.
func (b Break) Number() int { return max(b.N, 1) }

// CIE is a colour, x, y and Y of CIE 1931; Y counts from 0 to 100.
type CIE struct {
	X, Y, Lum float64
	Told      bool
}

func (c *CIE) read(text string) error {
	v, err := numbers(text, 3)
	if err != nil || strings.EqualFold(strings.TrimSpace(text), "None") {
		*c = CIE{}
		return err
	}
	*c = CIE{v[0], v[1], v[2], true}
	return nil
}

func (c *CIE) text() (string, bool) {
	return decimal(c.X) + "," + decimal(c.Y) + "," + decimal(c.Lum), c.Told
}

// numbers reads so many numbers between commas; none at all for None.
func numbers(text string, n int) ([]float64, error) {
	text = strings.TrimSpace(text)
	if text == "" || strings.EqualFold(text, "None") {
		return make([]float64, n), nil
	}
	parts := strings.Split(text, ",")
	if len(parts) != n {
		return nil, fmt.Errorf("got %.60q, want %d numbers with commas between", text, n)
	}
	out := make([]float64, n)
	for i, p := range parts {
		v, err := number(p)
		if err != nil {
			return nil, err
		}
		out[i] = v
	}
	return out, nil
}
