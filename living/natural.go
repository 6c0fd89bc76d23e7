package living

import "time"

// Natural is light that moves as some natural light does.
type Natural string

// The natural lights.
const (
	Candle   Natural = "candle"
	Hearth   Natural = "hearth"
	Water    Natural = "water"
	Leaves   Natural = "leaves"
	StormSky Natural = "storm sky"
)

// Choices lists the words that a file may have.
func (Natural) Choices() []string {
	return []string{string(Candle), string(Hearth), string(Water), string(Leaves), string(StormSky)}
}

// nature is how one natural light is made: noise of several lobes, so weighed that they add
// up to the spectrum below, of a standard deviation of 1; then
//
//	level = (1 + soft(middle + depth·noise)) / 2,
//
// which keeps it from 0 to 1 without a corner and leans it to the bright or to the dark side.
type nature struct {
	slow          lobe // stirs the others: their share is 1 + stir·soft(slow)
	stir          float64
	fast          []lobe
	middle, depth float64
	sheets        bool
	own           uint64 // parts natures of one seed
}

// Where the spectra come from. All figures of the papers are from memory; depths, means and
// what is marked as a choice are ours.
//
//   - Flames puff at f = 1.5/√D Hz, D the width of the base in metres (Cetegen and Ahmed,
//     Experiments on the periodic instability of buoyant plumes and pool fires, Combustion
//     and Flame 93, 1993). A candle of 20 mm: 10.6 Hz. A hearth of 1 m: 1.5 Hz.
//   - The rest of a flame's movement is that of the air it stands in: flat below a knee, falling
//     with f^-5/3 above (Kolmogorov 1941; in the plumes of fires, Cox and Chitty, Some
//     stochastic properties of fire plumes, 1982). The knees, 0.25 and 0.2 Hz, are choices.
//   - Water: the slope of waves under wind has the spectrum of their height (Pierson and
//     Moskowitz 1964: f^-5·exp(-5/4·(p/f)^4)) times f^4, and what it reflects or gathers on a
//     wall that of the slope (Dera and Gordon 1968 found the strongest of it at some 1 Hz);
//     waves shorter than the patch that is looked at average out. Both lengths become rates by
//     f = √(g/(2π·length)), waves in deep water: waves of 4 m, 0.62 Hz; a patch of 1.5 m,
//     1.02 Hz. The form of the fall there, 1/(1+(f/1.02)^4), is a choice.
//   - Leaves: gusts have the knee and the fall of wind, f^-5/3 (Kaimal and others 1972; Davenport
//     1961 has the knee at some 0.01 to 0.03 Hz in the open); boughs sway on top of it at 0.6 Hz
//     (branches of trees sway at 0.5 to 3 Hz).
//   - Storm sky: light under broken cloud falls with f^-5/3 (Tabar and others, Kolmogorov
//     spectrum of renewable wind and solar power fluctuations, 2014) above a knee at
//     cloud speed by cloud size, here 20 m/s by 600 m: 0.03 Hz. On top of it sheet
//     lightning far behind the clouds, as a slow brightening (sheet.go). Strokes are never made:
//     they return three or four times some 60 ms apart, which is a flash to be counted.
//
// The light of a hearth and of leaves falls faster from 2 Hz on, by 1/(1+(f/2)²): a unit stands
// for the whole fire and for a whole bough, over which small flames and single leaves average
// out. That too is a choice, and with the depths it keeps them from flashing: in 72 hours of each,
// at full depth on a surface of 200 cd/m2, no second held more than three flashes (WCAG 2.2;
// TestNaturalLightDoesNotFlash counts again).
//
// Lobes and weights were fitted to these, to within some 3 dB.
var (
	candle = nature{own: step, slow: lobe{.7, 1.5606, 0}, stir: .4, middle: 1.15, depth: .27,
		fast: []lobe{{1, 1.0262, 9}, {2, .7435, 9}, {4, .5951, 9}, {7, .3894, 9}, {12.6, .72, 9}}}
	hearth = nature{own: step + 1<<32, slow: lobe{.5, 1.5683, 0}, stir: .3, middle: .1, depth: .33,
		fast: []lobe{{.75, 1.016, 9}, {1.25, .612, 9}, {1.85, 1.0342, 9}, {3.6, .3, 9}, {8, .1353, 9}}}
	water = nature{own: step + 2<<32, middle: -.45, depth: .36,
		fast: []lobe{{1.1, 1.7317, 9}, {1.7, 1.3982, 9}, {3, .5, 9}}}
	leaves = nature{own: step + 3<<32, slow: lobe{.08, 1.4254, 0}, stir: .6, middle: -.1, depth: .65,
		fast: []lobe{{.14, 1.1, 9}, {.35, .6002, 9}, {.82, 1.2452, 9}, {1.7, .3613, 9}, {3.6, .1619, 9}}}
	stormSky = nature{own: step + 4<<32, slow: lobe{.08, 1.5911, 0}, middle: -.9, depth: .5, sheets: true,
		fast: []lobe{{.14, 1.1385, 9}, {.32, .7691, 9}, {.8, .72, 9}, {2.1, .56, 9}}}
)

// Level returns the light at an instant as a share of its greatest, 0 to 1. Each seed is a
// light of its own. A word that is none of Choices stands still at 1.
func (n Natural) Level(seed uint64, t time.Duration) float32 {
	switch n {
	case Candle:
		return candle.level(seed, t)
	case Hearth:
		return hearth.level(seed, t)
	case Water:
		return water.level(seed, t)
	case Leaves:
		return leaves.level(seed, t)
	case StormSky:
		return stormSky.level(seed, t)
	}
	return 1
}

func (n *nature) level(seed uint64, t time.Duration) float32 {
	s := t.Seconds()
	z := mixed(seed + n.own)
	x, share := 0.0, 1.0
	if n.slow.size > 0 {
		x = n.slow.at(z, s)
		share += float64(n.stir * soft(x))
	}
	fast := 0.0
	for i := range n.fast {
		z += lane
		fast += n.fast[i].at(z, s)
	}
	x += float64(share * fast)
	x = n.middle + float64(n.depth*x)
	if n.sheets {
		x += sheet(z+lane, s)
	}
	return float32((1 + soft(x)) / 2)
}
