package measure

import (
	"math"
	"sync"

	"lampblack/si"
)

// Match finds by eye how much more one lamp gives than another: both shine side by side
// on one sheet, from the same distance, one emitter of each alone. [Match.Next] says at
// which levels, the person says which is the brighter or that they look alike
// ([Match.Answer]), and so on until it is Done; Result then is the right lamp's output
// over the left one's, with its interval.
//
// The procedure is a Bayesian staircase: QUEST (Watson and Pelli, Perception &
// Psychophysics 33, 1983, 113-120) asks where the answer is believed to lie; this one
// asks where the answer is expected to leave the least variance, as King-Smith and others
// do (Vision Research 34, 1994, 885-912), which also learns how fine the person's eye is
// (both from memory). What is believed is a table over
//
//	x    ln(output right / output left), normal before the first answer
//	s    the person's threshold: the spread of what is seen, in ln of luminance
//	c    how unlike two must be, in s, to be told apart
//
// and an answer to a difference d = x + ln(level right / level left) has the
// probabilities of a normal of spread s that is cut at ±c·s, with a slip of the tongue in
// fifty. One goroutine uses it.
type Match struct {
	o       MatchOptions
	belief  []float64 // by eye, then x
	lnLeft  float64   // of what is shown
	lnRight float64
	nudges  int
}

// MatchOptions steer a match. The zero value is one of two lamps of a kind.
type MatchOptions struct {
	// Spread is how far apart the outputs may be, the standard deviation of the logarithm
	// of their ratio; 0.5 when it is 0.
	Spread float64
	// Steps is how many steps a level has from dark to full; 255 when it is 0.
	Steps int
	// Highest is the highest level that is shown, as less of ultraviolet is better; 1 when
	// it is 0.
	Highest float64
	// Most is how many answers are asked for at most; 15 when it is 0.
	Most int
	// Within ends it before that, when the interval's half is no more than this share;
	// 0.025 when it is 0.
	Within float64
}

// Nudge is what both lamps are to show.
type Nudge struct{ Left, Right si.Ratio }

// Seen is what a person says of two lamps.
type Seen int

// What may be said. Alike is also said where nobody can tell.
const (
	LeftBrighter Seen = iota
	RightBrighter
	Alike
)

// The table of what is believed.
const (
	widest  = 1.8  // ln: a factor of six, beyond which two lamps are no pair
	fineX   = .01  // step of x
	countX  = 361  // 2·widest/fineX + 1
	slipped = .02  // share of answers that are slips
	headway = .5   // the highest that the left lamp shows, of Highest: there must be room above
	reach   = .85  // and the right one, where the two are alike
	offset  = .008 // ln: what two sides of a sheet and a person's liking of one differ by (common practice, no source)
)

// eyes are the thresholds and criteria that a person may have. Side by side, with time to
// look, some 1 % to 2 % of luminance are just told apart (Weber's fraction, from memory);
// lamps of unlike colour are far harder.
var eyes = func() (out []eye) {
	for _, s := range []float64{.01, .02, .035, .06, .1, .17} {
		for _, c := range []float64{.3, 1, 1.8} {
			out = append(out, eye{s, c})
		}
	}
	return out
}()

// eye is one that a person may have.
type eye struct{ spread, criterion float64 }

// The probabilities of answers are asked for a million times a match, and are looked up:
// by eye, at differences of tableStep from -tableEnd on.
const (
	tableStep = .001
	tableEnd  = 2*widest + 1
)

var table = sync.OnceValue(func() [][][3]float64 {
	out := make([][][3]float64, len(eyes))
	for e := range eyes {
		for i := range int(2*tableEnd/tableStep) + 1 {
			out[e] = append(out[e], eyes[e].answers(float64(i)*tableStep-tableEnd))
		}
	}
	return out
})

// chances are the probabilities of the answers of an eye to a difference d.
func chances(table [][3]float64, d float64) *[3]float64 {
	return &table[min(max(int((d+tableEnd)/tableStep+.5), 0), len(table)-1)]
}

// answers works out the probabilities of the answers to a difference d.
func (e eye) answers(d float64) (p [3]float64) {
	left := phi(-e.criterion - d/e.spread)
	right := phi(d/e.spread - e.criterion)
	for i, v := range [3]float64{left, right, 1 - left - right} {
		p[i] = (1-slipped)*max(v, 0) + slipped/3
	}
	return p
}

// phi is the normal distribution function.
func phi(z float64) float64 { return .5 * math.Erfc(-z/math.Sqrt2) }

// x is what place i of the table stands for.
func x(i int) float64 { return float64(i)*fineX - widest }

// NewMatch begins a match.
func NewMatch(o MatchOptions) *Match {
	if o.Spread <= 0 {
		o.Spread = .5
	}
	if o.Steps <= 0 {
		o.Steps = 255
	}
	if o.Highest <= 0 || o.Highest > 1 {
		o.Highest = 1
	}
	if o.Most <= 0 {
		o.Most = 15
	}
	if o.Within <= 0 {
		o.Within = .025
	}
	m := &Match{o: o, belief: make([]float64, len(eyes)*countX)}
	for k := range m.belief {
		z := x(k%countX) / o.Spread
		m.belief[k] = math.Exp(-z * z / 2)
	}
	m.normalise()
	m.choose()
	return m
}

func (m *Match) normalise() {
	sum := 0.0
	for _, v := range m.belief {
		sum += v
	}
	for k := range m.belief {
		m.belief[k] /= sum
	}
}

// moments are the mean and the standard deviation of x, as believed.
func (m *Match) moments() (mean, deviation float64) {
	var square float64
	for k, v := range m.belief {
		at := x(k % countX)
		mean += v * at
		square += v * at * at
	}
	return mean, math.Sqrt(max(square-mean*mean, 0))
}

// level is the nearest step to a level given by its logarithm, as a logarithm; the first
// step at least.
func (m *Match) level(ln float64) float64 {
	n := float64(m.o.Steps)
	return math.Log(min(max(math.Round(math.Exp(ln)*n), 1), max(math.Floor(m.o.Highest*n), 1)) / n)
}

// choose sets the next levels: the left lamp as high as leaves the right one room, the
// right one where the answer leaves least to be doubted.
func (m *Match) choose() {
	mean, deviation := m.moments()
	m.lnLeft = m.level(math.Log(m.o.Highest) + min(math.Log(headway), math.Log(reach)+mean))
	best := math.Inf(1)
	const each = 9 // candidates to either side, out to two deviations and a wide criterion
	for i := -each; i <= each; i++ {
		ln := m.level(m.lnLeft - mean + float64(i)/each*(2*deviation+.02))
		if v := m.expected(ln - m.lnLeft); v < best-1e-15 {
			best, m.lnRight = v, ln
		}
	}
}

// expected is the variance of x that the answer to a difference of levels is expected to
// leave. What is hardly believed is left out: it weighs nothing and is most of the table.
func (m *Match) expected(levels float64) float64 {
	var weight, first, second [3]float64
	for e, t := range table() {
		for i, b := range m.belief[e*countX : (e+1)*countX] {
			if b < 1e-7 {
				continue
			}
			at := x(i)
			for a, p := range chances(t, at+levels) {
				weight[a] += b * p
				first[a] += b * p * at
				second[a] += b * p * at * at
			}
		}
	}
	sum := 0.0
	for a, w := range weight {
		if w > 0 {
			sum += second[a] - first[a]*first[a]/w
		}
	}
	return sum
}

// Next is what both lamps are to show now.
func (m *Match) Next() Nudge {
	return Nudge{Left: si.Ratio(math.Exp(m.lnLeft)), Right: si.Ratio(math.Exp(m.lnRight))}
}

// Answer takes what was seen of Next.
func (m *Match) Answer(s Seen) {
	levels := m.lnRight - m.lnLeft
	for e, t := range table() {
		of := m.belief[e*countX : (e+1)*countX]
		for i := range of {
			if of[i] > 0 {
				of[i] *= chances(t, x(i)+levels)[s]
			}
		}
	}
	m.normalise()
	m.nudges++
	m.choose()
}

// Answers counts what was answered.
func (m *Match) Answers() int { return m.nudges }

// Done tells whether there is nothing more to ask.
func (m *Match) Done() bool {
	_, deviation := m.moments()
	return m.nudges >= m.o.Most || m.nudges > 0 && widen*deviation <= m.o.Within
}

// Result is the right lamp's output over the left one's, with its 95 % interval.
func (m *Match) Result() si.Estimate[si.Ratio] {
	mean, deviation := m.moments()
	half := widen * math.Hypot(deviation, offset)
	return si.Estimate[si.Ratio]{Best: si.Ratio(math.Exp(mean)), Low: si.Ratio(math.Exp(mean - half)), High: si.Ratio(math.Exp(mean + half))}
}
