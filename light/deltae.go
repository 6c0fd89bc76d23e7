package light

import "math"

// DeltaE2000 is the colour difference CIEDE2000 with unit weights
// (CIE 142:2001; equations numbered as in Sharma, Wu and Dalal, Color Res.
// Appl. 30, 21, 2005).
func DeltaE2000(a, b Lab) float64 {
	l, c, h, rotation := deltaE2000Parts(a, b)
	return math.Sqrt(max(0, l*l+c*c+h*h+rotation*c*h))
}

// deltaE2000Parts returns the weighted differences of lightness, chroma and
// hue, and the rotation term RT that couples the last two.
func deltaE2000Parts(a, b Lab) (l, c, h, rotation float64) {
	g := .5 * (1 - seventh((a.Chroma()+b.Chroma())/2)) // (4)
	c1, h1 := polar((1+g)*a.A, a.B)
	c2, h2 := polar((1+g)*b.A, b.B)
	dl, dc := b.L-a.L, c2-c1
	dh := 2 * math.Sqrt(c1*c2) * math.Sin(radians(hueStep(c1*c2, h1, h2))/2) // (11)
	meanL, meanC := (a.L+b.L)/2, (c1+c2)/2
	meanH := hueMean(c1*c2, h1, h2)
	t := 1 - .17*math.Cos(radians(meanH-30)) + .24*math.Cos(radians(2*meanH)) +
		.32*math.Cos(radians(3*meanH+6)) - .20*math.Cos(radians(4*meanH-63)) // (15)
	x := (meanL - 50) * (meanL - 50)
	sl := 1 + .015*x/math.Sqrt(20+x)
	turn := 30 * math.Exp(-((meanH-275)/25)*((meanH-275)/25)) // (16)
	rotation = -math.Sin(radians(2*turn)) * 2 * seventh(meanC)
	return dl / sl, dc / (1 + .045*meanC), dh / (1 + .015*meanC*t), rotation
}

// seventh is sqrt(c⁷/(c⁷+25⁷)), written so that it cannot overflow.
func seventh(c float64) float64 {
	if c <= 0 {
		return 0
	}
	return 1 / math.Sqrt(1+math.Pow(25/c, 7))
}

// polar turns a and b into chroma and hue, the latter in degrees from 0 to 360. Grey has no
// hue; the formula asks for 0 there.
func polar(a, b float64) (chroma, hue float64) {
	chroma = math.Hypot(a, b)
	if chroma == 0 {
		return 0, 0
	}
	hue = math.Atan2(b, a) * 180 / math.Pi
	if hue < 0 {
		hue += 360
	}
	return chroma, hue
}

// hueStep is Δh' of (10), in degrees from -180 to 180.
func hueStep(product, h1, h2 float64) float64 {
	d := h2 - h1
	switch {
	case product == 0:
		return 0
	case d > 180:
		return d - 360
	case d < -180:
		return d + 360
	}
	return d
}

// hueMean is h̄' of (14), in degrees.
func hueMean(product, h1, h2 float64) float64 {
	sum := h1 + h2
	switch {
	case product == 0:
		return sum
	case math.Abs(h1-h2) <= 180:
		return sum / 2
	case sum < 360:
		return (sum + 360) / 2
	}
	return (sum - 360) / 2
}

func radians(degrees float64) float64 { return degrees * math.Pi / 180 }
