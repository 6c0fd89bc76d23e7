package light_test

import (
	"fmt"
	"log"

	"lampblack/light"
	"lampblack/si"
)

// What a bar of three LEDs and a white needs for a pale blue, and how bright it
// then is.
func ExampleMixer_Mix() {
	var full []light.XYZ
	for _, e := range []struct {
		peak, width, watts float64
	}{{625, 18, 2}, {520, 33, 1.6}, {460, 20, 2.2}} {
		s, err := light.LED(si.Wavelength(e.peak), si.Wavelength(e.width))
		if err != nil {
			log.Fatal(err)
		}
		full = append(full, s.XYZ().Times(e.watts))
	}
	bar, err := light.NewMixer(full, []float64{5, 6, 5})
	if err != nil {
		log.Fatal(err)
	}
	colour, err := light.ParseColour("x 0.24 y 0.22")
	if err != nil {
		log.Fatal(err)
	}
	drives := make([]float64, 3)
	got := bar.Mix(drives, colour.XY.XYZ(100*colour.Level), light.Brightest)
	fmt.Printf("%.2f, %.0f lm for %.1f W, off by %.1f\n", drives, got.Colour.Y, float64(got.Power), got.Miss)
	// Output:
	// [0.55 0.89 1.00], 993 lm for 13.1 W, off by 0.0
}

// How bright a painted object glows under black light of 1 W/m², and how much
// brighter than the spill on the black cloth behind it.
func ExamplePaint_Glow() {
	uv, err := light.LED(395, 13)
	if err != nil {
		log.Fatal(err)
	}
	paint, err := light.PaintNamed("fluorescent yellow-green")
	if err != nil {
		log.Fatal(err)
	}
	cloth, err := light.PaintNamed("black cloth")
	if err != nil {
		log.Fatal(err)
	}
	glow, spill := paint.Glow(&uv), cloth.Reflected(&uv)
	least := light.LeastSeen(light.Luminance(&spill), .02) // 20 cm at 10 m
	fmt.Printf("%.0f cd/m² over %.3f; seen for what it is from %.2f to %.2f cd/m² on\n", float64(light.Luminance(&glow)), float64(light.Luminance(&spill)), float64(least.Best), float64(least.High))
	// Output:
	// 40 cd/m² over 0.002; seen for what it is from 0.05 to 0.58 cd/m² on
}
