package retake

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"lampblack/soundfile"
)

// alignTo maps a track to a take, both mono at testRate.
func alignTo(t *testing.T, old, new []float32) Map {
	t.Helper()
	m, err := Align(printOf(t, old, testRate, 1), open(t, encode(t, new, testRate, 1, "")))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func (m Map) mustBe(t *testing.T, old, new, least float64) {
	t.Helper()
	got, c, ok := m.At(time.Duration(old * 1e9))
	if !ok || math.Abs(got.Seconds()-new) > 0.001 || c < least {
		t.Errorf("%.3f s is at %v, confidence %.2f, %v: want %.3f s, %.2f\n%v", old, got, c, ok, new, least, m)
	}
}

// TestUnchanged: a track is itself, to the sample, from beginning to end.
func TestUnchanged(t *testing.T) {
	x := show(60, 3)
	m := alignTo(t, x, x)
	if len(m.Spans) != 1 || len(m.Cut)+len(m.Added) > 0 {
		t.Fatalf("want one span:\n%v", m)
	}
	for _, at := range []float64{0.02, 1, 30, 59.9} {
		m.mustBe(t, at, at, 0.5)
	}
}

// TestStrangers: of another track nothing is placed.
func TestStrangers(t *testing.T) {
	m := alignTo(t, show(60, 4), show(60, 5))
	for s := 0.0; s < 60; s += 0.1 {
		if at, c, ok := m.At(time.Duration(s * 1e9)); ok && c >= Doubtful {
			t.Errorf("%.1f s of a strange track is placed at %v, confidence %.2f\n%v", s, at, c, m)
			break
		}
	}
}

// TestNothing: silence, a single sample and no sample at all are no trouble.
func TestNothing(t *testing.T) {
	x := show(20, 6)
	silence := make([]float32, 20*testRate)
	for _, c := range [][2][]float32{{x, silence}, {silence, x}, {silence, silence}, {x, nil}, {nil, x}, {nil, nil}, {x, {0.5}}, {{0.5}, x}, {x, x[:testRate/3]}} {
		m := alignTo(t, c[0], c[1])
		if _, confidence, ok := m.At(10 * time.Second); ok && confidence >= Doubtful && len(c[1]) != len(x) {
			t.Errorf("%d and %d samples: 10 s is found\n%v", len(c[0]), len(c[1]), m)
		}
	}
}

// TestLoops: where the old track repeats itself exactly, the context tells which
// repeat is meant; where an edit took the context away, the confidence says so.
func TestLoops(t *testing.T) {
	sec := func(x []float32, from, to float64) []float32 { return x[int(from*testRate):int(to*testRate)] }
	a, b, c := show(12, 21), show(15, 22), show(15, 23)
	old := append(append(append(append([]float32(nil), b...), a...), c...), a...)
	old = append(old, sec(show(30, 24), 0, 20)...) // b 0-15, a 15-27, c 27-42, a 42-54, other 54-74
	m := alignTo(t, old, old)
	m.mustBe(t, 20, 20, 0.5)
	m.mustBe(t, 48, 48, 0.5)

	// c is cut together with one of the two a: nobody can hear which.
	m = alignTo(t, old, append(append([]float32(nil), old[:27*testRate]...), old[54*testRate:]...))
	m.mustBe(t, 10, 10, 0.5)
	m.mustBe(t, 60, 33, 0.5)
	for _, at := range []time.Duration{20 * time.Second, 47 * time.Second} {
		if new, confidence, ok := m.At(at); ok && confidence >= Doubtful {
			t.Errorf("%v is placed at %v, confidence %.2f, though the same sound is elsewhere\n%v", at, new, confidence, m)
		}
	}
}

// TestReplaced: a piece replaced by another of its length is no part of the line
// that goes on behind it.
func TestReplaced(t *testing.T) {
	old := show(60, 8)
	new := append([]float32(nil), old...)
	copy(new[25*testRate:29*testRate], show(10, 9)[:4*testRate])
	m := alignTo(t, old, new)
	m.mustBe(t, 20, 20, 0.5)
	m.mustBe(t, 35, 35, 0.5)
	for s := 25.2; s < 28.8; s += 0.1 {
		if at, c, ok := m.At(time.Duration(s * 1e9)); ok && c >= Doubtful {
			t.Errorf("%.1f s was replaced and is placed at %v, confidence %.2f\n%v", s, at, c, m)
			break
		}
	}
}

// TestSteadyJoint: a steady chord agrees with itself a little later by four signs
// of five; the joint in it must still be found.
func TestSteadyJoint(t *testing.T) {
	const seconds = 80
	old := show(seconds, 6)
	e := newEdit(t, old, "repeat", "stereo", 6306)
	m, err := Align(printOf(t, old, testRate, 1), open(t, e.file))
	if err != nil {
		t.Fatal(err)
	}
	for at := 60.0; at < seconds; at += 0.01 {
		got, confidence, ok := m.At(time.Duration(at * 1e9))
		off := math.Inf(1)
		for _, place := range e.place(at) {
			off = math.Min(off, math.Abs(place-got.Seconds()))
		}
		if ok && confidence >= Doubtful && off > 0.001 && !e.nearCut(at, 0.015) {
			t.Fatalf("%.2f s is placed at %v, confidence %.2f\n%v", at, got, confidence, m)
		}
	}
}

// TestStretched: with pitch and speed changed one without the other, by another
// program, places are found by likeness. The promise is only to be near or to
// say so.
func TestStretched(t *testing.T) {
	if _, err := exec.LookPath("sox"); err != nil {
		t.Skip("outside check left out: needs sox (Debian package sox)")
	}
	old := show(60, 12)
	p := printOf(t, old, testRate, 1)
	in := filepath.Join(t.TempDir(), "old.wav")
	if err := os.WriteFile(in, encode(t, old, testRate, 1, ""), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		how   []string
		speed float64 // old seconds in a new one
	}{
		{[]string{"tempo", "1.02"}, 1.02}, {[]string{"tempo", "0.975"}, 0.975},
		{[]string{"pitch", "30"}, 1}, {[]string{"pitch", "-25"}, 1},
	} {
		out := in + strings.Join(c.how, "") + ".wav"
		if msg, err := exec.Command("sox", append([]string{in, out}, c.how...)...).CombinedOutput(); err != nil {
			t.Fatalf("sox: %v: %s", err, msg)
		}
		s, err := soundfile.OpenFile(t.Context(), out)
		if err != nil {
			t.Fatal(err)
		}
		m, err := Align(p, s)
		if err := errors.Join(err, s.Close()); err != nil {
			t.Fatal(err)
		}
		placed, wrong, worst := 0, 0, 0.0
		for at := 1.0; at < 59; at += 0.25 {
			new, confidence, ok := m.At(time.Duration(at * 1e9))
			if !ok {
				continue
			}
			placed++
			off := math.Abs(new.Seconds() - at/c.speed)
			worst = max(worst, off)
			if off > 0.05 && confidence >= Doubtful {
				wrong++
			}
		}
		t.Logf("%v: %d of 232 placed, worst %.0f ms, %d wrong without a flag", c.how, placed, worst*1000, wrong)
		if wrong > 0 {
			t.Errorf("%v: %d places wrong without a flag\n%v", c.how, wrong, m)
		}
	}
}

// TestFile: a print comes back from its file, and a damaged file is refused.
func TestFile(t *testing.T) {
	p := printOf(t, show(10, 2), testRate, 1)
	b, err := p.MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d bytes a second", len(b)/10)
	back, err := ReadPrint(bytes.NewReader(b))
	if err != nil || !reflect.DeepEqual(p, back) {
		t.Fatalf("it does not come back: %v", err)
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for range 50 {
		d := bytes.Clone(b)
		d[rng.IntN(len(d))] ^= 1 << rng.IntN(8)
		if _, err := ReadPrint(bytes.NewReader(d)); err == nil {
			t.Fatal("a damaged file is read")
		}
		if _, err := ReadPrint(bytes.NewReader(b[:rng.IntN(len(b))])); err == nil {
			t.Fatal("a cut file is read")
		}
	}
	again, _ := printOf(t, show(10, 2), testRate, 1).MarshalBinary()
	if !bytes.Equal(b, again) {
		t.Error("the same track gives other bytes")
	}
}

func FuzzReadPrint(f *testing.F) {
	b, _ := printOf(f, show(1, 2), testRate, 1).MarshalBinary()
	f.Add(b)
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := ReadPrint(bytes.NewReader(b))
		if err != nil {
			return
		}
		if again, _ := p.MarshalBinary(); !bytes.Equal(again, b) {
			t.Error("what was read is written otherwise")
		}
	})
}

// TestWords: text and picture name what was cut and what is new.
func TestWords(t *testing.T) {
	old := show(40, 31)
	new := append(append(append([]float32(nil), old[:12*testRate]...), show(9, 99)[:6*testRate]...), old[20*testRate:]...)
	m := alignTo(t, old, new)
	words := m.String()
	for _, want := range []string{"0:00.000 to ", "is new", "of the old track is gone", "0:40.000"} {
		if !strings.Contains(words, want) {
			t.Errorf("no %q in\n%s", want, words)
		}
	}
	near := func(what string, got, want Interval) {
		if (got.From-want.From).Abs() > 10*time.Millisecond || (got.To-want.To).Abs() > 10*time.Millisecond {
			t.Errorf("%s %v: want %v\n%s", what, got, want, words)
		}
	}
	if len(m.Cut) != 1 || len(m.Added) != 1 {
		t.Fatal(words)
	}
	near("cut", m.Cut[0], Interval{12 * time.Second, 20 * time.Second})
	near("added", m.Added[0], Interval{12 * time.Second, 18 * time.Second})
}

// The picture of 100 s that became 80 s, 880 pixels being 100 s: what went from
// 20 s to 10 s runs from 236 above to 148 below, and is named.
func TestPicture(t *testing.T) {
	at := func(from, to int) Interval {
		return Interval{time.Duration(from) * time.Second, time.Duration(to) * time.Second}
	}
	m := Map{OldLength: 100 * time.Second, NewLength: 80 * time.Second,
		Spans: []Span{{Old: at(20, 90), New: at(10, 80), Speed: 1, Exact: true, Confidence: 1}}}
	svg, err := m.Draw().SVG()
	if err != nil {
		t.Fatal(err)
	}
	for what, want := range map[string]string{
		"band":                 `d="M236 66L852 66L764 260L148 260Z" fill="#8cc08c"`,
		"name of it":           "<title>0:10.000 to 1:20.000 was 0:20.000 to 1:30.000</title>",
		"old bar":              `d="M60 40L940 40L940 66L60 66Z" fill="none" stroke="#333333"`,
		"new bar":              `d="M60 260L764 260L764 286L60 286Z" fill="none" stroke="#333333"`,
		"words":                "hatched above: gone; hatched below: new",
		"edge of the hatching": `<path d="M60 260L764 260L764 286L60 286Z"/></clipPath>`,
	} {
		if !bytes.Contains(svg, []byte(want)) {
			t.Errorf("no %s %s in\n%s", what, want, svg)
		}
	}
}
