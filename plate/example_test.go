package plate_test

import (
	"fmt"
	"strings"

	"lampblack/light"
	"lampblack/plate"
)

func ExampleSpectra() {
	uv, err := light.LED(385, 12)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := (&plate.Spectra{Title: "One black light", Curves: []plate.Curve{{Name: "uv", Spectrum: uv}}}).Draw()
	if err != nil {
		fmt.Println(err)
		return
	}
	svg, err := d.SVG() // for a page; d.File("uv.png") for a file
	fmt.Println(d.Width, d.Height, strings.Contains(string(svg), "uv, peak 385 nm"), err)
	// Output: 960 460 true <nil>
}
