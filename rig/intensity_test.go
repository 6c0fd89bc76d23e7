package rig_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/si"
	"lampblack/wire/lm63"
)

const measuredType = "name: Measured\nintensity: lamp.ies\nemitters: {red: {peak: 625 nm, width: 18 nm, output: 2 W}}\nmodes: {one: {1: {drives: red}}}\n"

// lamp63 is a table of cosⁿ about its axis, each half plane by the number that it has there.
func lamp63(n float64, horizontal []float64, around ...float64) []byte {
	f := &lm63.File{Edition: 1995, Keywords: []lm63.Keyword{{Name: "TEST"}, {Name: "MANUFAC"}}, Lamps: 1, Lumens: -1, Multiplier: 1, Type: lm63.C, Ballast: 1, Third: 1, Horizontal: horizontal}
	for v := range 91 {
		f.Vertical = append(f.Vertical, float64(v))
	}
	for _, a := range around {
		var col []float64
		for v := range 91 {
			col = append(col, a*math.Pow(math.Cos(float64(v)*math.Pi/180), n))
		}
		f.Table = append(f.Table, col)
	}
	b, err := f.Append(nil)
	if err != nil {
		panic(err)
	}
	return b
}

// A table of cos^n is the beam of its angle: half of the peak at arccos 2^(-1/n), a peak of (n+1)/2π per unit of
// flux.
func TestIntensityTable(t *testing.T) {
	ty, faults := rig.ReadType("m", "m.yaml", []byte(measuredType))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	faults = ty.ReadIntensity("lamp.ies", lamp63(40, []float64{0}, 1000))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	half := 2 * math.Acos(math.Pow(2, -1./40))
	if got := float64(ty.Beam.Half); math.Abs(got/half-1) > .002 {
		t.Errorf("beam angle %.4f, want %.4f", got, half)
	}
	e := &ty.Emitters[0].Value
	if got, want := ty.Peak(e), 41/(2*math.Pi); math.Abs(got/want-1) > .002 {
		t.Errorf("%.4f per unit of flux on the axis, want %.4f", got, want)
	}
	// Twice as bright along the row as across: by the cosine of twice the turn between.
	faults = ty.ReadIntensity("lamp.ies", lamp63(1, []float64{0, 90}, 200, 100))
	d, err := ty.Beam.Distribution()
	if err != nil || faults.Err() != nil {
		t.Fatal(err, faults)
	}
	off := 0.5
	for turn, want := range map[float64]float64{0: 200, 90: 100, 180: 200, 270: 100, 45: 150, 135: 150, -90: 100, 225: 150} {
		got := d.Toward(0.5, si.Angle(turn*math.Pi/180)) / d.Toward(0.5, 0) * 200
		if math.Abs(got-want) > .5 {
			t.Errorf("turned %g°: %.2f, want %g", turn, got, want)
		}
	}
	if got, want := d.Intensity(si.Angle(off)), math.Cos(off)/math.Pi; math.Abs(got/want-1) > .002 {
		t.Errorf("all around %.4f, want %.4f", got, want)
	}
}

// The mean of all turns is what Intensity is, and a narrow wing stays where it is.
func TestIntensityAround(t *testing.T) {
	ty, _ := rig.ReadType("m", "m.yaml", []byte(measuredType))
	faults := ty.ReadIntensity("lamp.ies", lamp63(1, []float64{0, 5, 10, 15, 90}, 100, 100, 300, 100, 100))
	d, err := ty.Beam.Distribution()
	if err != nil || faults.Err() != nil {
		t.Fatal(err, faults)
	}
	sum := 0.0
	for k := range 720 {
		sum += d.Toward(.5, si.Angle(float64(k)*math.Pi/360)) / 720
	}
	if want := d.Intensity(.5); math.Abs(sum/want-1) > .001 {
		t.Errorf("the mean of all turns is %.4f, all around %.4f", sum, want)
	}
	turn := func(deg float64) float64 { return d.Toward(.5, si.Angle(deg*math.Pi/180)) }
	if got := turn(10) / turn(40); math.Abs(got-3) > .01 {
		t.Errorf("the wing at 10° has %.3f of the rest, want 3", got)
	}
}

func TestIntensityFaults(t *testing.T) {
	for _, c := range []struct{ old, new, says string }{
		{"intensity: lamp.ies", "intensity: ../lamp.ies", "is no name of an intensity table"},
		{"intensity: lamp.ies", "intensity: lamp.txt", "is no name of an intensity table"},
		{"intensity: lamp.ies", "intensity: lamp.ies\nbeam: {half: 20°}", "not both"},
		{"intensity: lamp.ies\n", "", "the key beam is missing"},
	} {
		_, faults := rig.ReadType("m", "m.yaml", []byte(strings.Replace(measuredType, c.old, c.new, 1)))
		if err := faults.Err(); err == nil || !strings.Contains(fmt.Sprint(faults), c.says) {
			t.Errorf("%q: %v, want %q", c.new, faults, c.says)
		}
	}
	for _, c := range []struct {
		data []byte
		says string
	}{{nil, "TILT"}, {lamp63(1, []float64{0}, 0), "dark"}} {
		ty, _ := rig.ReadType("m", "m.yaml", []byte(measuredType))
		faults := ty.ReadIntensity("lamp.ies", c.data)
		if !strings.Contains(fmt.Sprint(faults), c.says) || ty.Beam.Half == 0 {
			t.Errorf("%v, want %q", faults, c.says)
		}
	}
}
