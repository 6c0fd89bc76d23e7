package show

import (
	"lampblack/room"
	"lampblack/score"
)

// Wish is a kind of goal that a look may have.
type Wish string

// The wishes.
const (
	Illuminance Wish = "lux"                  // on a surface or an object
	GlowOf      Wish = "glow"                 // of an object
	GlowOver    Wish = "glow over background" // of an object, times its background
	GlowEven    Wish = "evenness of glow"     // of an object: its least part over its mean
	Darkest     Wish = "dark"                 // a surface, in its brightest part, at most
	Unseen      Wish = "only"                 // another object beside those that are to be seen, at most
	AtEyes      Wish = "ultraviolet at eyes"  // of one eye, at most
)

// Unit is what a wish is counted in.
func (w Wish) Unit() string {
	switch w {
	case Illuminance, Darkest:
		return "lx"
	case GlowOf, Unseen:
		return "cd/m²"
	case GlowOver:
		return "times its background"
	case GlowEven:
		return "of its mean"
	}
	return "W/m²"
}

// AtMost tells whether less is as good.
func (w Wish) AtMost() bool { return w == Darkest || w == Unseen || w == AtEyes }

// Reached is one thing that a look asks for, and what comes of it.
type Reached struct {
	Wish          Wish
	On            string // a surface, an object, or who sees
	Wanted, Found float64
}

func (f *fitting) reach(w Wish, on string, wanted, found float64) {
	f.came = append(f.came, Reached{w, on, wanted, found})
}

// reachGlow notes what comes of a glow. One that asks for no luminance is to be seen for what it is.
func (f *fitting) reachGlow(g *score.Glow, glow *room.Glow, even float64) {
	if g.Luminance > 0 {
		f.reach(GlowOf, g.Object.Name, float64(g.Luminance), glow.Own.Y)
	} else {
		f.reach(GlowOf, g.Object.Name, float64(glow.Least.Best), float64(glow.SeenOwn))
	}
	if g.Over > 0 {
		f.reach(GlowOver, g.Object.Name, g.Over, glow.Over)
	}
	if g.Even > 0 {
		f.reach(GlowEven, g.Object.Name, float64(g.Even), even)
	}
}
