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

// eyes counts flashes as every eye sees them. Eyes are independent and share the scene,
// which none changes; results are put in by index, so the order of the work does not
// show.
func (r *limits) eyes() {
	for _, k := range []seen.Kind{seen.GeneralBT, seen.RedWCAG} {
		results := make([]eyeResult, len(r.Transport().Eyes))
		subject.Each(len(results), func(e int) {
			for i := range r.views {
				w, area := r.views[i].scene.Worst(e, k)
				if i == 0 || w.Count > results[e].window.Count {
					results[e] = eyeResult{&r.views[i], e, w, area}
				}
			}
		})
		r.tell(k, results)
	}
}

// tell reports the worst seconds: one finding for each span of time, with the eye that
// has it worst. Seconds that begin less than a second apart are one event seen by
// several eyes: the eye that comes first has it worst, and the others are counted. When
// nothing is over the limit, the nearest to it is told as a note.
func (r *limits) tell(k seen.Kind, results []eyeResult) {
	slices.SortStableFunc(results, func(a, b eyeResult) int { return cmp.Compare(b.window.Count, a.window.Count) })
	var told []eyeResult
	for _, res := range results {
		over := res.window.Count > flash.BT.Most
		if !over && (len(told) > 0 || res.window.Count == 0) {
			break
		}
		same := func(t eyeResult) bool { return (t.window.From - res.window.From).Abs() < flash.Second }
		if slices.ContainsFunc(told, same) {
			continue
		}
		told = append(told, res)
		others := 0
		for _, o := range results {
			if o.eye != res.eye && o.window.Count > flash.BT.Most && same(o) {
				others++
			}
		}
		r.eyeFinding(k, res, others)
	}
}

// eyeFinding tells of one eye and its worst second. The stop carries BT's count. Where
// WCAG alone would let it pass, that is said, since some houses go by that one.
func (r *limits) eyeFinding(k seen.Kind, res eyeResult, others int) {
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
		f.Says = f.Says.And("%s", r.andOthers(others))
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
	if n == 0 {
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
	times := v.times
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
