package light

// Pigments that do not glow, which give blue and green paints their body. Absorption for a
// maximum of 1, at nm; of published curves of the kind, from memory, rounded.

// phthaloBlue is copper phthalocyanine (C.I. Pigment Blue 15).
func phthaloBlue() colourant {
	return tint([]float64{300, 350, 380, 410, 440, 480, 500, 520, 550, 580, 610, 640, 670, 700, 740, 780},
		[]float64{.8, .85, .5, .14, .05, .035, .05, .12, .38, .72, 1, .9, .95, .7, .25, .1})
}

// phthaloGreen is the same with chlorine (C.I. Pigment Green 7).
func phthaloGreen() colourant {
	return tint([]float64{300, 350, 380, 410, 440, 460, 480, 500, 520, 540, 560, 590, 620, 650, 680, 710, 740, 780},
		[]float64{.8, .75, .7, .45, .4, .25, .1, .045, .04, .08, .2, .6, .9, 1, .9, .7, .4, .15})
}

func tint(nms, values []float64) colourant {
	var s Spectrum
	for i := range s {
		s[i] = interpolate(nms, values, float64(First+i))
	}
	return colourant{absorption: s}
}
