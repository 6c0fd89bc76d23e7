package si

import (
	"encoding"
	"fmt"
	"math"
	"strings"
)

// Estimate is a value with the interval that it is believed to lie in.
// It is written "4.2 W", "4.2 W ± 40 %", "4.2 W +- 0.5 W", "3 W to 5 W"
// (whose best value is the middle), or with all three, "4.2 W (3 W to 6 W)".
type Estimate[T ~float64] struct {
	Best, Low, High T
}

// Exactly returns an estimate without width.
func Exactly[T ~float64](v T) Estimate[T] { return Estimate[T]{v, v, v} }

// Relative returns Low and High as factors of Best (1, 1 when Best is zero).
func (e Estimate[T]) Relative() (low, high float64) {
	if e.Best == 0 {
		return 1, 1
	}
	return float64(e.Low / e.Best), float64(e.High / e.Best)
}

// UnmarshalText reads one of the forms that the type's comment lists.
func (e *Estimate[T]) UnmarshalText(b []byte) error {
	text := strings.ReplaceAll(string(b), "+-", "±")
	if best, interval, ok := strings.Cut(text, "("); ok {
		return e.around(best, interval)
	}
	if low, high, ok := strings.Cut(text, " to "); ok {
		return e.between(low, high)
	}
	best, spread, ok := strings.Cut(text, "±")
	v, err := parseAs[T](best)
	if err != nil {
		return err
	}
	*e = Exactly(v)
	if !ok {
		return nil
	}
	d, err := e.spread(v, spread)
	if err != nil {
		return err
	}
	if d < 0 {
		return fmt.Errorf("the spread %q is negative", strings.TrimSpace(spread))
	}
	e.Low, e.High = v-d, v+d
	return nil
}

// spread reads "40 %" of v, or an amount.
func (*Estimate[T]) spread(v T, text string) (T, error) {
	if !strings.Contains(text, "%") {
		return parseAs[T](text)
	}
	var share Ratio
	err := share.UnmarshalText([]byte(text))
	return v * T(share), err
}

// between reads the two ends of an interval; the best value is its middle.
func (e *Estimate[T]) between(low, high string) error {
	l, err := parseAs[T](low)
	if err != nil {
		return err
	}
	h, err := parseAs[T](high)
	if err != nil {
		return err
	}
	if h < l {
		return fmt.Errorf("the interval %q to %q runs backwards", strings.TrimSpace(low), strings.TrimSpace(high))
	}
	*e = Estimate[T]{(l + h) / 2, l, h}
	return nil
}

// around reads the form of String that names all three values; the bracket before
// interval is cut off.
func (e *Estimate[T]) around(best, interval string) error {
	inner, closed := strings.CutSuffix(strings.TrimSpace(interval), ")")
	low, high, two := strings.Cut(inner, " to ")
	if !closed || !two {
		return fmt.Errorf("behind %q, %q should be an interval in brackets, as (3 to 5) with units", strings.TrimSpace(best), interval)
	}
	v, err := parseAs[T](best)
	if err != nil {
		return err
	}
	if err := e.between(low, high); err != nil {
		return err
	}
	if v < e.Low || v > e.High {
		return fmt.Errorf("%q lies outside %q to %q", strings.TrimSpace(best), strings.TrimSpace(low), strings.TrimSpace(high))
	}
	e.Best = v
	return nil
}

// parseAs reads a T, whose pointer reads itself from a text.
func parseAs[T ~float64](s string) (T, error) {
	var v T
	err := any(&v).(encoding.TextUnmarshaler).UnmarshalText([]byte(s))
	return v, err
}

// String prints a form that UnmarshalText reads back. A spread to both sides is
// printed as an interval; rounding may leave its middle beside Best, and then, as
// where Best does lie elsewhere, all three are printed.
func (e Estimate[T]) String() string {
	switch {
	case e.Low == e.High:
		return fmt.Sprint(e.Best)
	case e.even():
		return fmt.Sprintf("%v to %v", e.Low, e.High)
	}
	return fmt.Sprintf("%v (%v to %v)", e.Best, e.Low, e.High)
}

// even tells whether the best value is the middle, but for rounding.
func (e Estimate[T]) even() bool {
	low, best, high := float64(e.Low), float64(e.Best), float64(e.High)
	return math.Abs(low+high-2*best) <= 1e-9*(math.Abs(low)+math.Abs(high))
}

// MarshalText writes what String writes.
func (e Estimate[T]) MarshalText() ([]byte, error) { return []byte(e.String()), nil }

// Units lists the unit symbols that the value may be written with.
func (e Estimate[T]) Units() string {
	if u, ok := any(e.Best).(interface{ Units() string }); ok {
		return u.Units() + ", with ± and a spread if it is uncertain"
	}
	return ""
}
