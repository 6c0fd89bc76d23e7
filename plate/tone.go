package plate

import (
	"fmt"
	"math"

	"lampblack/light"
	"lampblack/room"
	"lampblack/si"
)

// As says for whom a picture is.
type As string

// Whom a picture may be for.
const (
	AsEye    As = "eye"    // as eyes see it that have had time to get used to it
	AsCamera As = "camera" // straight, exposed for its bright parts
	Lifted   As = "lifted" // what is dark made lighter, to see by; it never looks so
)

// Choices lists them, the usual one first.
func (As) Choices() []string { return []string{string(AsEye), string(AsCamera), string(Lifted)} }

const (
	knee = .7
	// screen is the luminance of white on paper in a room or on a screen, and what its reader is
	// adapted to (common practice, no source), cd/m2.
	screen, reader = 100., 50.
	// minutesOut is what an eye is adapted to that was in light some minutes ago, as in light.LeastSeen, cd/m2.
	minutesOut = .01
	// across is the width of the thing whose threshold is kept, and who looks is of this age: a
	// finger at five metres (a choice).
	detail, age = 10. / 60 * math.Pi / 180, 40.
	// liftedOver is how many times darker than white is still shown by Lifted.
	liftedOver = 1e4
	// leastWhite is what counts as white where all is dark, cd/m2.
	leastWhite = 1e-3
	// most is what share of the picture may be brighter than white, as a lens in view is.
	mostOver = .005
)

// Tone turns light into screen colours, for one picture or for several under one white.
type Tone struct {
	As      As
	White   float64 // of the strongest of a screen's drives, cd/m2 of a neutral
	Adapted float64 // by CIE 191: 1 where cones alone see, 0 where rods alone do; AsEye only
	Field   float64 // what the eye is adapted to, cd/m2; AsEye only
}

// statistics are of the pixels of pictures.
type statistics struct {
	violet, scotopic, pixels float64
	strong                   [classes]float64 // pixels by strongest drive
}

func (s *statistics) add(v *room.Shine, pixels float64) {
	s.pixels += pixels
	s.violet += pixels * float64(v.Violet)
	s.scotopic += pixels * float64(v.Scotopic)
	if most := strongest(v); most > 0 {
		s.strong[classOf(most)] += pixels
	}
}

// Classes of light: 64 to each doubling, 1.1 % wide, from 2^-22 to 2^20 cd/m2.
const (
	classBits  = 17 // of a float32 that a class leaves out
	firstClass = (127 - 22) << (23 - classBits)
	classes    = 42 << (23 - classBits)
)

// classOf is the class of a light above 0. A float32 above 0 grows as its bits do (IEEE 754).
func classOf(v float64) int {
	return min(max(int(math.Float32bits(float32(v))>>classBits)-firstClass, 0), classes-1)
}

// topOf is the upper end of a class.
func topOf(class int) float64 {
	return float64(math.Float32frombits(uint32(class+1+firstClass) << classBits))
}

func strongest(v *room.Shine) float64 {
	return max(3.2404542*float64(v.X)-1.5371385*float64(v.Y)-.4985314*float64(v.Z),
		-.9692660*float64(v.X)+1.8760108*float64(v.Y)+.0415560*float64(v.Z),
		.0556434*float64(v.X)-.2040259*float64(v.Y)+1.0572252*float64(v.Z), float64(v.Y))
}

// bright is the strongest drive that one pixel in two hundred exceeds.
func (s *statistics) bright() float64 {
	sum := 0.0
	for i := len(s.strong) - 1; i >= 0; i-- {
		if sum += s.strong[i]; sum > mostOver*s.pixels {
			return topOf(i)
		}
	}
	// Nothing fills so much of the picture: the brightest that there is.
	for i := len(s.strong) - 1; i >= 0; i-- {
		if s.strong[i] > 0 {
			return topOf(i)
		}
	}
	return 0
}

// tone finds the white. For an eye it is that which makes what is just seen in the room just seen
// on the screen too (the contrast threshold of light.Threshold at either adaptation).
func (s *statistics) tone(as As) Tone {
	if as == AsEye {
		mean := func(v float64) si.Luminance { return si.Luminance(v / max(s.pixels, 1)) }
		field, m := light.Mesopic(mean(s.violet), mean(s.scotopic))
		out := Tone{As: as, Adapted: m, Field: float64(field)}
		if field < minutesOut {
			out.Field = minutesOut
		}
		out.White = screen * float64(light.Threshold(si.Luminance(out.Field), detail, age)/light.Threshold(reader, detail, age))
		return out
	}
	return Tone{As: as, White: max(s.bright(), leastWhite)}
}

// says is the tone in words.
func (t *Tone) says() string {
	white := si.Say(t.White, "cd/m²")
	switch t.As {
	case AsEye:
		return fmt.Sprintf("As an eye sees it that is used to it (%s): white is %s, and in the dark colours fade (CIE 191:2010).", si.Say(t.Field, "cd/m²"), white)
	case Lifted:
		return fmt.Sprintf("Lifted to see by: white is %s, and all down to a ten-thousandth of it is shown. It never looks like this.", white)
	}
	return fmt.Sprintf("As a camera takes it that is set for the bright parts: white is %s, straight up to %d %% of it, then softened.", white, int(knee*100))
}

// codes are the screen codes of linear drives, for speed: at even steps of the square root.
var codes = func() (out [4097]float32) {
	for i := range out {
		v := float64(i) / 4096
		v *= v
		if v <= .0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - .055
		}
		out[i] = float32(255 * v)
	}
	return out
}()

func code(v float64) float32 {
	if !(v > 0) {
		return 0
	}
	x := math.Sqrt(min(v, 1)) * 4096
	i := min(int(x), 4095)
	return codes[i] + float32(x-float64(i))*(codes[i+1]-codes[i])
}

// shown is a colour of a screen, 0 to 255 each.
type shown [3]float32

// of is what a screen shows of some light.
func (t *Tone) of(v *room.Shine) shown {
	c := v.Colour()
	if c.Y <= 0 && v.Scotopic <= 0 || !(t.White > 0) {
		return shown{}
	}
	switch t.As {
	case AsEye:
		c = t.adapted(v)
	case Lifted:
		c = c.Times(lift(c.Y/t.White) * t.White / max(c.Y, 1e-30))
	}
	r, g, b := light.ToneMap{White: t.White, Knee: knee}.Drives(c)
	return shown{code(r), code(g), code(b)}
}

// adapted is what an eye makes of a colour: cones take a share of it, rods a grey of their own.
func (t *Tone) adapted(v *room.Shine) light.XYZ {
	c := v.Colour()
	// What is bright in itself is looked at with cones, however dark it is around (a choice: CIE 191
	// knows one adaptation for a whole field).
	m := t.Adapted
	if float64(v.Violet) > t.Field {
		m = max(m, light.AdaptationAt(float64(v.Violet)))
	}
	y := float64(light.SeenAt(si.Luminance(v.Violet), si.Luminance(v.Scotopic), m))
	if y <= 0 || m >= 1 {
		return c
	}
	// Violet that leaks out of black light looks brighter than its Y: the cones' part is scaled to that.
	cones := m * float64(v.Violet) / (m + (1-m)*683./1699)
	if c.Y > 0 {
		c = c.Times(cones / c.Y)
	}
	return light.WhiteD65.XYZ(y-cones).Plus(c, 1)
}

// lift is the lightness of a share of white by its logarithm.
func lift(y float64) float64 {
	if y <= 0 {
		return 0
	}
	// Linear codes rise by about a power of 2.2.
	return math.Pow(math.Log1p(y*liftedOver)/math.Log1p(liftedOver), 2.2)
}
