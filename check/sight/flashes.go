package sight

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"lampblack/check/finding"
	"lampblack/check/flash"
	"lampblack/check/seen"
	"lampblack/check/subject"
	"lampblack/si"
)

// The trade's ceiling, and how long flashing may go on.
const (
	// HSE HSG195 para 614-615, as quoted: flashes a second over all units.
	ceiling = 4
	// ITU-R BT.1702-3: flashing for more than 5 s may be a risk even where each second
	// passes.
	longFlashing = 5 * time.Second
	// Leading edges farther apart than this are no run: slower than 2 Hz. This tool's
	// choice.
	slowest = 500 * time.Millisecond
)

const (
	ceilingSource = "HSE HSG195 para 614-615, as quoted: at most 4 flashes a second; counted over all units together"
	screenAssumed = "luminances of a screen rule taken for a stage: a white of 200 cd/m²; matt surfaces; outputs at the upper end; a lamp that flashes by itself in the worst phase"
)

// eyeResult is the worst second of one eye.
type eyeResult struct {
	view   *view
	eye    int
	window flash.Window
	area   float64
}

// eyes counts flashes as every eye sees them. Where none sees too many, the nearest to it is told as a
// note; else every passage in which some eye does, with the eye that has it worst.
func (r *limits) eyes() {
	for _, k := range []seen.Kind{seen.GeneralBT, seen.RedWCAG} {
		worst := r.worst(r.views, k)
		switch {
		case len(worst) == 0 || worst[0].window.Count == 0:
		case worst[0].window.Count <= flash.BT.Most:
			r.eyeFinding(k, worst[0], passage{})
		default:
			for _, p := range r.passages(k, worst[0]) {
				r.eyeFinding(k, p.worst, p)
			}
		}
	}
}

// worst is the worst second of every eye in some views, the worst of them first. Eyes are independent
// and share the scene, which none changes; results are put in by index, so the order of the work does
// not show.
func (r *limits) worst(views []view, k seen.Kind) []eyeResult {
	results := make([]eyeResult, len(r.Transport().Eyes))
	subject.Each(len(results), func(e int) {
		for i := range views {
			w, area := views[i].scene.Worst(e, k)
			if i == 0 || w.Count > results[e].window.Count {
				results[e] = eyeResult{&views[i], e, w, area}
			}
		}
	})
	slices.SortStableFunc(results, func(a, b eyeResult) int { return cmp.Compare(b.window.Count, a.window.Count) })
	return results
}

// passage is a stretch in which some eye sees too many flashes, second after second.
type passage struct {
	from, to time.Duration
	worst    eyeResult
	others   map[int]bool // eyes that see too many in it, beside the worst
}

// looked is how long a piece of the show is that is looked at for passages, and within one that has any
// a second after the other. mostPassages bounds how many are told.
const (
	looked       = 10 * time.Second
	mostPassages = 50
)

// passages lists them in the order of their times. That of the worst second of all is among them,
// whatever is lost where the show is cut to pieces.
func (r *limits) passages(k seen.Kind, worst eyeResult) []passage {
	out := extended(nil, []eyeResult{worst})
	for i := range r.views {
		v := &r.views[i]
		times := v.trace.Times
		for from := times[0]; from < times[len(times)-1] && r.Ctx.Err() == nil; from += looked {
			if len(r.over(v, from, from+looked, k)) == 0 {
				continue
			}
			for second := from; second < from+looked; second += flash.Second {
				if over := r.over(v, second, second+flash.Second, k); len(over) > 0 {
					out = extended(out, over)
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b passage) int { return cmp.Compare(a.from, b.from) })
	return out[:min(len(out), mostPassages)]
}

// over lists the eyes that see too many flashes in a second that begins in a stretch, the worst first.
func (r *limits) over(v *view, from, to time.Duration, k seen.Kind) []eyeResult {
	piece := r.view(v.eyes, v.trace.Cut(from, to+aside))
	return slices.DeleteFunc(r.worst([]view{piece}, k), func(e eyeResult) bool { return e.window.Count <= flash.BT.Most })
}

// extended adds what eyes see in one second to a passage that it goes on, or as one of its own.
func extended(out []passage, over []eyeResult) []passage {
	from, to := over[0].window.From, over[0].window.From+flash.Second
	for _, e := range over {
		from, to = min(from, e.window.From), max(to, e.window.From+flash.Second)
	}
	k := slices.IndexFunc(out, func(p passage) bool { return from <= p.to+flash.Second && to >= p.from-flash.Second })
	if k < 0 {
		k = len(out)
		out = append(out, passage{from: from, to: to, worst: over[0], others: map[int]bool{}})
	}
	p := &out[k]
	p.from, p.to = min(p.from, from), max(p.to, to)
	if over[0].window.Count > p.worst.window.Count {
		p.worst = over[0]
	}
	for _, e := range over {
		p.others[e.eye] = true
	}
	return out
}

// eyeFinding tells of one eye and its worst second. The stop carries BT's count. Where
// WCAG alone would let it pass, that is said, since some houses go by that one.
func (r *limits) eyeFinding(k seen.Kind, res eyeResult, p passage) {
	w := res.window
	f := finding.Finding{ID: "flash-rate", Severity: finding.Note, Place: r.EyeName(res.eye), Value: float64(w.Count), Limit: float64(flash.BT.Most), Unit: "flashes in a second",
		Source:  "WCAG 2.2 SC 2.3.1 and ITU-R BT.1702-3: no more than three flashes in any one second over more than a quarter of a 10 degree field",
		Assumed: screenAssumed}.During(w.From, w.From+flash.Second)
	what := "general"
	if k == seen.RedWCAG {
		f.ID, what = "flash-red", "red"
		f.Source = "WCAG 2.2 SC 2.3.1: no more than three red flashes in any one second over more than a quarter of a 10 degree field"
		f.Assumed = screenAssumed + "; a veil of 2 cd/m² of white over dark reds"
	}
	f.Says = finding.Say("%s sees %s in the second from %s on, over %s", f.Place, si.Count(w.Count, what+" flash", what+" flashes"), si.FormatTime(w.From), si.Of(res.area, "sr"))
	units, cues := r.culprits(res.view, w)
	f.Units, f.Cues = units, cues
	if w.Count > flash.BT.Most {
		f.Severity = finding.Stop
		f.Says = f.Says.And("%s", r.andOthers(len(p.others)-1))
		if p.to-p.from >= 2*flash.Second {
			f.Says = f.Says.And("; so it goes on from %s to %s", si.FormatTime(p.from), si.FormatTime(p.to))
			f = f.During(p.from, p.to)
		}
		f.Cure = finding.Say("%s", r.flashHint(w))
		if k == seen.GeneralBT {
			if strict, _ := res.view.scene.Worst(res.eye, seen.GeneralWCAG); strict.Count <= flash.WCAG.Most {
				f.Says = f.Says.And("; WCAG alone counts fewer, as it leaves out what is brighter than 160 cd/m²")
			}
		}
	}
	r.Add(f)
}

func (r *limits) andOthers(n int) string {
	if n <= 0 {
		return ""
	}
	return fmt.Sprintf(", and %s more see as many as is too many", si.Count(n, "eye", "eyes"))
}

// culprits lists the units that change in the window or flash by themselves, and the
// cues that move in it. A unit has changed when its output moved by a twentieth of its
// full within the second: half of the tenth that makes a flash, so that several that
// flash only together are named too. Units whose light nobody sees are named as well:
// the list is for looking, not for blaming.
func (r *limits) culprits(v *view, w flash.Window) (units, cues []string) {
	times := v.trace.Times
	to := w.From + flash.Second
	first, _ := slices.BinarySearch(times, w.From)
	first = max(first-1, 0)
	last, _ := slices.BinarySearch(times, to+1) // the last corner until then
	last = max(last-1, first)
	themselves := v.scene.Units(w.Trains)
	for u := range r.Rig().Units {
		changes := len(w.Events) > 0 && v.scene.Swing(u, first, last) >= .05
		if changes || slices.Contains(themselves, u) {
			units = append(units, r.Unit(u))
		}
	}
	return units, r.Playing(w.From, to)
}

// flashHint says what would help.
func (r *limits) flashHint(w flash.Window) string {
	switch {
	case len(w.Trains) > 1:
		return "let fewer units flash by themselves, or slower: they are not in step with one another"
	case len(w.Trains) == 1:
		return fmt.Sprintf("flash at %d Hz or slower", flash.BT.Most)
	}
	return "take out cues of this second, or let them fade longer than a second"
}

// union counts over all units, whatever anybody sees of them. Low is for units that flash by
// themselves all in step, the best phase that there can be; high for all out of step,
// and it judges. Between BT's three and the ceiling's four it is a warn: the count by
// eyes has judged the area.
func (r *limits) union() {
	whole := r.all()
	all := whole.scene.Together()
	w := flash.Count(all.Spots, all.Trains, 0)
	if w.Count == 0 {
		return
	}
	low := min(flash.Count(all.Spots, all.InStep, 0).Count, w.Count)
	f := finding.Finding{ID: "flash-union", Severity: finding.Note, Place: "all units", Value: float64(w.Count), Low: float64(low), High: float64(w.Count), Limit: ceiling, Unit: "flashes in a second",
		Source:  ceilingSource,
		Assumed: "a flash is a tenth of a unit's full output up and down again; units that flash by themselves are not in step"}.During(w.From, w.From+flash.Second)
	f.Units, f.Cues = r.culprits(&whole, w)
	f.Says = finding.Say("all units together give %s in the second from %s on", si.Count(w.Count, "flash", "flashes"), si.FormatTime(w.From))
	switch {
	case w.Count > ceiling:
		f.Severity, f.Cure = finding.Stop, finding.Say("%s", r.flashHint(w))
	case w.Count > flash.BT.Most:
		f.Severity, f.Cure = finding.Warn, finding.Say("%s", r.flashHint(w))
		f.Says = f.Says.And(": more than three, which only their small area can excuse")
	}
	r.Add(f)
	r.long(&whole, all)
}

// long reports flashing that goes on. Only rises are looked at, as each flash has one.
func (r *limits) long(whole *view, all seen.Together) {
	events := flash.Union(all.Spots, true, 0)
	from, to := flash.Longest(events, all.Trains, slowest)
	if to-from <= longFlashing {
		return
	}
	f := finding.Finding{ID: "flash-long", Severity: finding.Warn, Place: "all units", Value: (to - from).Seconds(), Limit: longFlashing.Seconds(), Unit: "s",
		Source: "ITU-R BT.1702-3: more than 5 s of flashing may be a risk even where each second passes; UK technical note on strobes: runs of at most 30 s",
		Says:   finding.Say("flashing goes on for %s without a pause of half a second", si.Of((to-from).Seconds(), "s")),
		Cure:   finding.Say("break it with a pause"), Cues: r.Playing(from, to)}.During(from, to)
	used := slices.DeleteFunc(all.Trains, func(k flash.Train) bool { return k.From >= to || k.To <= from })
	for _, u := range whole.scene.Units(used) {
		f.Units = append(f.Units, r.Unit(u))
	}
	r.Add(f)
}
