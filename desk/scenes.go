package desk

import (
	"context"
	"slices"
	"time"
)

// pair is two scenes of the choice, the lower state first.
type pair struct{ a, b int }

func pairOf(a, b int) pair { return pair{min(a, b), max(a, b)} }

// alike is the CIEDE2000 difference below which the eye does not tell two
// colours apart (common practice, no source: about one is just noticeable).
const alike = 1.0

// flickers is the difference between light that flashes and light that stands:
// that of black and white half of the time.
const flickers = 50.

// perAsk is the weight of a recall by itself, in seconds on stage: a state
// that stands for a blink is still meant to be seen.
const perAsk = time.Second

// compare fills in the mean differences between states, 0 for those that the eye does
// not tell apart. apart is symmetrical.
func (d *demand) compare(e *eye) {
	n := len(d.states)
	d.apart = make([][]float64, n)
	for i := range n {
		d.apart[i] = make([]float64, n)
		for j := range i {
			a, b := &d.states[i], &d.states[j]
			if mean, most := e.unlike(a.sight, b.sight, a.flash, b.flash); most >= alike {
				d.apart[i][j], d.apart[j][i] = mean, mean
			}
		}
	}
}

// unlike is the difference of two sights with what flashes in them.
func (e *eye) unlike(a, b sight, flashA, flashB []float32) (mean, most float64) {
	mean, most = e.difference(a, b)
	if !slices.Equal(flashA, flashB) {
		return max(mean, flickers), max(most, flickers)
	}
	return mean, most
}

func (s *state) weight() float64 {
	return (s.stands + time.Duration(s.asked)*perAsk).Seconds()
}

// outcome is a choice of scenes and of what the scenes that are left do.
type outcome struct {
	choice
	extra []int // by item of extras
	items []extra
	harm  float64
}

// chooseScenes picks the scenes for the run among the states, at most as many
// as the messages reach, and gives those that are left to fades: for every
// number of states kept, the p-median solution and the best use of the rest. The
// choice is in indexes of run.
//
// No number of scenes can be left out of the search: with fewer looks kept there are
// more scenes for steps, and either may be worth more. AtLeast is the bound for the
// number that won, solved once more by itself.
func (p *Plan) chooseScenes(ctx context.Context, most int) error {
	var best *outcome
	run := p.need.inRun()
	cost := make([][]float64, len(run))
	for i, a := range run {
		for _, b := range run {
			cost[i] = append(cost[i], p.need.apart[a][b]*p.need.states[a].weight())
		}
	}
	for k := 1; k <= min(most, len(run)); k++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		m := &median{cost: cost, k: k}
		o := p.outcome(m.solve(), run, most)
		if best == nil || o.harm < best.harm-1e-9 {
			best = o
		}
		if o.total == 0 {
			break // more scenes can only stand idle
		}
	}
	best = p.exchange(&median{cost: cost}, best, run, most)
	p.Chosen, p.Standing = best.harm, best.total
	p.AtLeast = max(0, (&median{cost: cost, k: len(best.chosen)}).solve().bound)
	p.choice, p.run = best, run
	return nil
}

// inRun lists the states that the run asks for.
func (d *demand) inRun() []int {
	var out []int
	for i := range d.states {
		if d.states[i].asked > 0 {
			out = append(out, i)
		}
	}
	return out
}

// exchange swaps, adds and drops single scenes while that lowers states and fades
// together; the p-median alone does not see the fades. A choice whose standing looks
// alone cost more than the best so far is not looked at further. Each round lowers the
// harm, so it ends, in a local optimum: that of looks and fades together is not proven.
func (p *Plan) exchange(m *median, best *outcome, run []int, most int) *outcome {
	for better := true; better; {
		better = false
		for _, try := range neighbours(best.chosen, len(run), most) {
			c := m.serve(try)
			if c.total > best.harm {
				continue
			}
			if o := p.outcome(c, run, most); o.harm < best.harm-1e-9 {
				best, better = o, true
				break
			}
		}
	}
	return best
}

// neighbours lists the choices that differ by one scene.
func neighbours(chosen []int, n, most int) [][]int {
	var out [][]int
	for at := range chosen {
		if len(chosen) > 1 {
			out = append(out, slices.Delete(slices.Clone(chosen), at, at+1))
		}
		for j := range n {
			if !slices.Contains(chosen, j) {
				try := slices.Clone(chosen)
				try[at] = j
				out = append(out, try)
			}
		}
	}
	for j := range n {
		if len(chosen) < most && !slices.Contains(chosen, j) {
			out = append(out, append(slices.Clone(chosen), j))
		}
	}
	return out
}

// outcome gives the scenes that are left, of most in all, to fades.
func (p *Plan) outcome(c choice, run []int, most int) *outcome {
	o := &outcome{choice: c}
	of := make([]int, len(p.need.states))
	for i, s := range run {
		of[s] = run[c.of[i]]
	}
	o.items = p.extras(of)
	var harm float64
	o.extra, harm = spread(o.items, most-len(c.chosen))
	o.harm = c.total + harm
	return o
}

// keep makes scenes of the outcome. of has the scene by state of the demand; steps and
// copies come after the chosen scenes.
func (p *Plan) keep() {
	o, run := p.choice, p.run
	p.of = make([]int, len(p.need.states))
	place := map[int]int{}
	for _, j := range o.chosen {
		place[run[j]] = len(p.Scenes)
		p.Scenes = append(p.Scenes, p.need.states[run[j]].scene())
	}
	for i, s := range run {
		p.of[s] = place[run[o.of[i]]]
	}
	for i, item := range o.items {
		item.keep(p, o.extra[i], place)
	}
	for i := range p.need.states {
		s := &p.need.states[i]
		if _, has := place[i]; has || !s.hand {
			continue
		}
		// Lights up has a scene of its own, whatever stands for it in the run.
		if s.asked == 0 {
			p.of[i] = len(p.Scenes)
		}
		p.Scenes = append(p.Scenes, s.scene())
	}
}

// scene makes a scene of the state.
func (s *state) scene() Scene {
	return Scene{Name: s.name, First: -1, hand: s.hand, page: s.slots, levels: slices.Clone(s.levels), flash: s.flash}
}
