package light

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"lampblack/si"
)

// spec2cie of Debian's argyll integrates emission spectra with its own copy of
// the CIE 1931 observer. Its XYZ of forty generated spectra agree to 0.04 %
// of their largest component.
func TestXYZAgainstSpec2cie(t *testing.T) {
	program, err := exec.LookPath("spec2cie")
	if err != nil {
		t.Skip("outside check left out: needs spec2cie (Debian package argyll)")
	}
	spectra := generatedSpectra(t)
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.ti3"), filepath.Join(dir, "out.ti3")
	if err := os.WriteFile(in, measurementFile(spectra), 0o644); err != nil {
		t.Fatal(err)
	}
	if text, err := exec.Command(program, "-n", "-o", "1931_2", in, out).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	_, rows, _ := strings.Cut(string(text), "BEGIN_DATA\n")
	for i := range spectra {
		var row string
		row, rows, _ = strings.Cut(rows, "\n")
		var id int
		var r, g, b float64
		var want XYZ
		if _, err := fmt.Sscan(row, &id, &r, &g, &b, &want.X, &want.Y, &want.Z); err != nil {
			t.Fatalf("row %q: %v", row, err)
		}
		got := spectra[i].XYZ()
		tolerance := 4e-4 * max(want.X, want.Y, want.Z)
		near(t, fmt.Sprintf("spectrum %d X", i), got.X, want.X, tolerance)
		near(t, fmt.Sprintf("spectrum %d Y", i), got.Y, want.Y, tolerance)
		near(t, fmt.Sprintf("spectrum %d Z", i), got.Z, want.Z, tolerance)
	}
}

// generatedSpectra draws sums of LEDs and whites, zero below 380 nm, where the
// other program's observer begins.
func generatedSpectra(t *testing.T) []Spectrum {
	r := rand.New(rand.NewPCG(4, 6))
	var all []Spectrum
	for range 40 {
		var s Spectrum
		for range 1 + r.IntN(3) {
			e := led(t, si.Wavelength(400+300*r.Float64()), si.Wavelength(8+40*r.Float64()))
			s.Add(&e, r.Float64())
		}
		if r.IntN(2) == 0 {
			w, err := Phosphor(2700 + 5000*r.Float64())
			if err != nil {
				t.Fatal(err)
			}
			s.Add(&w, r.Float64())
		}
		clear(s[:380-First])
		all = append(all, s)
	}
	return all
}

// measurementFile writes emission spectra in mW/m²/nm in the text format that
// the program reads.
func measurementFile(spectra []Spectrum) []byte {
	var b bytes.Buffer
	b.WriteString("CTI3\n\nDEVICE_CLASS \"DISPLAY\"\nCOLOR_REP \"RGB_XYZ\"\nSPECTRAL_BANDS \"401\"\nSPECTRAL_START_NM \"380.0\"\nSPECTRAL_END_NM \"780.0\"\n")
	b.WriteString("NUMBER_OF_FIELDS 408\nBEGIN_DATA_FORMAT\nSAMPLE_ID RGB_R RGB_G RGB_B XYZ_X XYZ_Y XYZ_Z")
	for nm := 380; nm <= 780; nm++ {
		fmt.Fprintf(&b, " SPEC_%d", nm)
	}
	fmt.Fprintf(&b, "\nEND_DATA_FORMAT\nNUMBER_OF_SETS %d\nBEGIN_DATA\n", len(spectra))
	for i, s := range spectra {
		fmt.Fprintf(&b, "%d %d 0 0 1 1 1", i+1, i)
		for nm := 380; nm <= 780; nm++ {
			fmt.Fprintf(&b, " %.9g", 1000*s[nm-First])
		}
		b.WriteByte('\n')
	}
	b.WriteString("END_DATA\n")
	return b.Bytes()
}

// colourScript answers each line "X Y Z X Y Z" with the CIELAB of both under
// D65 and their CIEDE2000. The library was written for an older numpy.
const colourScript = `
import sys, numpy
numpy.asscalar = lambda a: a.item()
from colormath.color_objects import XYZColor, LabColor
from colormath.color_conversions import convert_color
from colormath.color_diff import delta_e_cie2000
for line in sys.stdin:
    v = [float(x) for x in line.split()]
    a, b = (convert_color(XYZColor(*v[i:i+3], observer='2', illuminant='d65'), LabColor) for i in (0, 3))
    print(a.lab_l, a.lab_a, a.lab_b, b.lab_l, b.lab_a, b.lab_b, delta_e_cie2000(a, b))
`

// python3-colormath of Debian gives the same CIELAB and CIEDE2000 for 500
// generated pairs of colours, under its white (0.95047, 1, 1.08883).
func TestColourAgainstColormath(t *testing.T) {
	const python = "/usr/bin/python3" // Debian's own, which Debian's library is for
	if exec.Command(python, "-c", "import colormath, numpy").Run() != nil {
		t.Skip("outside check left out: needs colormath (Debian package python3-colormath)")
	}
	r := rand.New(rand.NewPCG(4, 7))
	var in bytes.Buffer
	var pairs [][2]XYZ
	for range 500 {
		a := RGB{uint8(r.IntN(256)), uint8(r.IntN(256)), uint8(r.IntN(256))}.XYZ()
		b := RGB{uint8(r.IntN(256)), uint8(r.IntN(256)), uint8(r.IntN(256))}.XYZ()
		pairs = append(pairs, [2]XYZ{a, b})
		fmt.Fprintln(&in, a.X, a.Y, a.Z, b.X, b.Y, b.Z)
	}
	command := exec.Command(python, "-c", colourScript)
	command.Stdin = &in
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != len(pairs) {
		t.Fatalf("%d answers, want %d", len(lines), len(pairs))
	}
	white := XYZ{.95047, 1, 1.08883}
	for i, line := range lines {
		var a, b Lab
		var d float64
		if _, err := fmt.Sscan(line, &a.L, &a.A, &a.B, &b.L, &b.A, &b.B, &d); err != nil {
			t.Fatal(err)
		}
		got, other := pairs[i][0].Lab(white), pairs[i][1].Lab(white)
		near(t, "L*", got.L, a.L, 2e-3)
		near(t, "a*", got.A, a.A, 2e-3)
		near(t, "b*", got.B, a.B, 2e-3)
		near(t, "CIEDE2000", DeltaE2000(got, other), d, 2e-3)
	}
}
