package desk

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// extra is something that more scenes than the states themselves make better. Its cost
// is by the number of scenes that it gets, from none. keep makes what so many scenes
// are for, in the plan; place has the index in Scenes by state.
type extra struct {
	costs []float64
	keep  func(p *Plan, scenes int, place map[int]int)
}

// spread gives scenes to the items so that the sum of costs is least: dynamic
// programming over items and scenes left.
//
// best[s] is the least cost of the items so far with at most s scenes, and took[i][s]
// how many the i-th then gets; the table is walked back from the last item. O(items ·
// scenes · the most scenes that an item can use).
func spread(items []extra, scenes int) (given []int, total float64) {
	scenes = max(scenes, 0)
	best := make([]float64, scenes+1) // cost of the items so far with at most so many scenes
	took := make([][]int, len(items))
	for i, item := range items {
		next := make([]float64, scenes+1)
		took[i] = make([]int, scenes+1)
		for s := range next {
			next[s] = math.Inf(1)
			for n := 0; n < len(item.costs) && n <= s; n++ {
				if c := best[s-n] + item.costs[n]; c < next[s] {
					next[s], took[i][s] = c, n
				}
			}
		}
		best = next
	}
	given = make([]int, len(items))
	left := scenes
	for i := len(items) - 1; i >= 0; i-- {
		given[i] = took[i][left]
		left -= given[i]
	}
	return given, best[scenes]
}

// extras lists what scenes that are left could do. of gives, by state, the state whose
// scene stands for it. Which they are depends on what the desk can do, as that is what
// is missing: steps for one that snaps, copies with other times for one whose scenes
// keep a time.
func (p *Plan) extras(of []int) []extra {
	switch p.way.fade {
	case FadeEachScene:
		return p.variants(of)
	case FadeOneTime:
		return p.oneTime(of)
	}
	return p.stepping(of)
}

// oneTime is the time to set on a desk that has one for all changes. No scene mends
// what it is wrong for. It is the weighted median of the times that changes want, which
// makes the sum of weighted differences least.
func (p *Plan) oneTime(of []int) []extra {
	var list []timed
	for i, a := range p.need.asks {
		if a.before >= 0 && of[a.before] != of[a.state] {
			list = append(list, timed{a.over, p.need.apart[of[a.before]][of[a.state]], i})
		}
	}
	if len(list) == 0 {
		return nil
	}
	slices.SortStableFunc(list, func(a, b timed) int { return int(min(max(a.over-b.over, -1), 1)) })
	keep := func(p *Plan, n int, place map[int]int) { p.Fade = p.Desk.able(medianTime(list)) }
	return []extra{{costs: []float64{p.Desk.runCost(list)}, keep: keep}}
}

// mostSteps bounds the scenes between two others: more steps than this are
// below what the eye tells from a fade of the usual length.
const mostSteps = 6

// snap is the shortest change that is worth steps; below, one jump is what the
// eye sees anyway (common practice: a bump has a count of zero).
const snap = 250 * time.Millisecond

// stepping are, on a desk that snaps, the fades: n scenes on the way from one to
// another make n+1 jumps of it.
//
// A fade between two scenes and the one back share their steps, as these are stored
// once (pairOf). Costs are by how many steps there are; more of them than the shortest
// gap allows in the shortest of the fades are not offered.
func (p *Plan) stepping(of []int) []extra {
	fades := map[pair][]*ask{}
	shortest := map[pair]time.Duration{}
	var order []pair
	for i := range p.need.asks {
		a := &p.need.asks[i]
		if a.before < 0 || of[a.before] == of[a.state] || a.over < snap {
			continue
		}
		k := pairOf(of[a.before], of[a.state])
		if fades[k] == nil {
			order = append(order, k)
			shortest[k] = a.over
		}
		fades[k] = append(fades[k], a)
		shortest[k] = min(shortest[k], a.over)
	}
	var out []extra
	for _, k := range order {
		mean := p.need.apart[k.a][k.b]
		e := extra{keep: func(p *Plan, n int, place map[int]int) { p.addSteps(k, n, place) }}
		for n := range mostSteps + 1 {
			if n > 0 && shortest[k]/time.Duration(n+1) < p.Desk.Gap {
				break
			}
			cost := 0.0
			for _, a := range fades[k] {
				cost += mean * a.area(n+1)
			}
			e.costs = append(e.costs, cost)
		}
		out = append(out, e)
	}
	return out
}

// jumps returns when, after its beginning, a change that is made in n equal
// jumps makes them: each halfway through its share of the way, where it differs
// least from a straight fade; the first or the last on the change's moment,
// when it must meet one.
func (a *ask) jumps(n int) []time.Duration {
	over := a.over
	if a.land == ends {
		over = a.lit
	}
	out := make([]time.Duration, n)
	for k := range out {
		out[k] = time.Duration(int64(over) * int64(2*k+1) / int64(2*n))
	}
	switch a.land {
	case begins:
		out[0] = 0
	case ends:
		out[n-1] = over
	}
	return out
}

// off is the time for which a change through one unit of difference would have
// to be wrong altogether, in s, to be as wrong as n jumps are: the area between
// the jumps and a straight line, which is over/(4n) for jumps halfway. That they
// are jumps is seen besides, however small they are (this tool's choice: as half
// a second more, and in short changes as half of them); this weighs between ways
// to use a desk, and is the same for any number of steps.
func (a *ask) off(n int) float64 {
	over := a.over.Seconds()
	if over <= 0 {
		return 0
	}
	return a.area(n) + min(accent.Seconds(), over/2)
}

// area is what lies between n jumps and a straight line, in s.
func (a *ask) area(n int) float64 {
	over := a.over.Seconds()
	if over <= 0 {
		return 0
	}
	area, from := 0.0, 0.0
	between := func(to, level float64) {
		// The line at the ends of the span, from the level of the jumps.
		p, q := from/over-level, to/over-level
		switch width := to - from; {
		case width <= 0:
		case p*q >= 0:
			area += width * math.Abs(p+q) / 2
		default:
			area += width * (p*p + q*q) / (2 * math.Abs(q-p))
		}
		from = to
	}
	for k, at := range a.jumps(n) {
		between(at.Seconds(), float64(k)/float64(n))
	}
	between(over, 1)
	return area
}

// addSteps makes n scenes on the straight way, in light, between two. Steps lie evenly
// in light, levels of drives, as a straight fade passes them; slots would follow the
// dimmers' curves.
func (p *Plan) addSteps(k pair, n int, place map[int]int) {
	if n == 0 {
		return
	}
	if p.steps == nil {
		p.steps = map[pair][]int{}
	}
	a, b := &p.need.states[k.a], &p.need.states[k.b]
	frame := p.Show.NewFrame()
	for i := 1; i <= n; i++ { // nothing flashes on the way
		x := float32(i) / float32(n+1)
		for d := range frame.Levels {
			frame.Levels[d] = a.levels[d] + x*(b.levels[d]-a.levels[d])
		}
		p.Show.Encode(frame)
		scene := Scene{First: -1, levels: slices.Clone(frame.Levels), flash: make([]float32, len(frame.Flash))}
		scene.Name = fmt.Sprintf("step %d of %d between %s and %s", i, n, a.name, b.name)
		if u := page(frame, p.Desk.universe()); u != nil {
			scene.page = u.Slots
			newDecoder(p.Show.Rig, p.Desk.universe()).decode(scene.levels, scene.page[:])
		}
		p.steps[pair{place[k.a], place[k.b]}] = append(p.steps[pair{place[k.a], place[k.b]}], len(p.Scenes))
		p.Scenes = append(p.Scenes, scene)
	}
}

// variants are, on a desk whose scenes have their own times, copies of one
// scene with other times: n copies more let its fades keep n+1 different
// times.
func (p *Plan) variants(of []int) []extra {
	byScene := map[int][]timed{}
	var order []int
	for i, a := range p.need.asks {
		if a.before < 0 || of[a.before] == of[a.state] {
			continue
		}
		mean := p.need.apart[of[a.before]][of[a.state]]
		j := of[a.state]
		if byScene[j] == nil {
			order = append(order, j)
		}
		byScene[j] = append(byScene[j], timed{a.over, mean, i})
	}
	var out []extra
	for _, j := range order {
		list := byScene[j]
		slices.SortStableFunc(list, func(a, b timed) int { return int(min(max(a.over-b.over, -1), 1)) })
		e := extra{keep: func(p *Plan, n int, place map[int]int) { p.addVariants(place[j], list, n) }}
		for n := range min(len(list), mostSteps+1) {
			_, cost := p.Desk.groups(list, n+1)
			e.costs = append(e.costs, cost)
		}
		out = append(out, e)
	}
	return out
}

// timed is a recall that wants a fade time; weight is the difference that it
// goes through, ask its index.
type timed struct {
	over   time.Duration
	weight float64
	ask    int
}

// able returns the time nearest to t that the desk can fade over.
func (d *Desk) able(t time.Duration) time.Duration {
	if t < d.Fade.Shortest/2 {
		return 0
	}
	return min(max(t, d.Fade.Shortest), d.Fade.Longest)
}

// groups cuts a sorted list into at most n runs so that the harm of giving every run
// one time (its weighted median) is least: dynamic programming. A straight change that
// takes the wrong time is off by half of its difference on the mean, for as long as the
// two times differ.
//
// best[g][i] is the least cost of the first i recalls in g runs. Runs of a sorted list
// are enough: each recall may as well take the nearest of the times. O(n·m²) medians,
// of m recalls to one scene.
func (d *Desk) groups(list []timed, n int) (ends []int, cost float64) {
	m := len(list)
	best := make([][]float64, n+1)
	from := make([][]int, n+1)
	for g := range best {
		best[g], from[g] = make([]float64, m+1), make([]int, m+1)
		for i := 1; i <= m; i++ {
			best[g][i] = math.Inf(1)
		}
	}
	for g := 1; g <= n; g++ {
		for i := 1; i <= m; i++ {
			for j := range i {
				if c := best[g-1][j] + d.runCost(list[j:i]); c < best[g][i] {
					best[g][i], from[g][i] = c, j
				}
			}
		}
	}
	for g, i := n, m; g > 0 && i > 0; g-- {
		ends = append(ends, i)
		i = from[g][i]
	}
	slices.Reverse(ends)
	return ends, best[n][m]
}

// runCost is the cost of one run at the best time for it that the desk can keep.
func (d *Desk) runCost(list []timed) float64 {
	t := d.able(medianTime(list))
	cost := 0.0
	for _, x := range list {
		cost += x.weight * (x.over - t).Abs().Seconds() / 2
	}
	return cost
}

// medianTime is the weighted median of a sorted list: the time with the least sum of
// weighted distances. Half of the weight lies on either side of it.
func medianTime(list []timed) time.Duration {
	half := 0.0
	for _, x := range list {
		half += x.weight / 2
	}
	for _, x := range list {
		if half -= x.weight; half <= 0 {
			return x.over
		}
	}
	return list[len(list)-1].over
}

// addVariants gives a scene its time, and n copies with theirs. The copy of a scene has
// the same values and another time; lights up stays with the original.
func (p *Plan) addVariants(scene int, list []timed, n int) {
	if p.variant == nil {
		p.variant = map[int]int{}
	}
	ends, _ := p.Desk.groups(list, n+1)
	start := 0
	for g, end := range ends {
		at := scene
		if g > 0 {
			at = len(p.Scenes)
			p.Scenes = append(p.Scenes, p.Scenes[scene])
			p.Scenes[at].levels = slices.Clone(p.Scenes[scene].levels)
			p.Scenes[at].hand = false
		}
		p.Scenes[at].Fade = p.Desk.able(medianTime(list[start:end]))
		for _, x := range list[start:end] {
			p.variant[x.ask] = at
		}
		start = end
	}
}
