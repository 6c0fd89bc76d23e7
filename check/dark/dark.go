package dark

import (
	"math"
	"regexp"
	"time"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
)

// Light to walk by, in lux.
const (
	// 1 fc (IBC 1008.2.1, at the walking surface); 1 fc is 1 lm/ft², and 1 ft² is
	// 0.092903 m².
	egress = 10.764
	// 0.2 fc, the least that IBC 1008.2.1 allows in an auditorium during a performance,
	// where the alarm restores the full light.
	performance = 2.1528
	// lx on the floor: darker than this is a blackout. Less than
	// a full moon gives (0.25 lx, from memory). This tool's choice.
	blackFloor = .1
	// cd/m²: an object brighter than this is something to see, if not to walk by. This
	// tool's choice.
	blackGlow = .5
	// Common practice, no source: after about ten seconds an audience takes a blackout
	// for a fault.
	longBlackout = 10 * time.Second
)

const walkSource = "IBC 1008.2.1, as New York City has it: 0.2 fc where people walk during a performance, with full light on alarm"

const independent = "Emergency lighting is independent of the show and is not judged here"

// lightsUp measures the floor with lights up. The mean of the floor is told, and the
// darkest point of the paths decides where it is lower, since an exit is as good as its
// darkest metre. This is the show's own light: the code's requirement is on emergency
// lighting, so missing it here is a warn and never a stop.
func (r *limits) lightsUp() {
	tr := r.Transport()
	if len(tr.Places) == 0 {
		return
	}
	frame := r.NewFrame()
	r.At(frame, 0)
	r.Show.LightsUp(frame, 1)
	lux := r.floorLux(frame.Levels)
	f := finding.Finding{ID: "escape-light", Severity: finding.Note, Place: "floor", Value: lux, Limit: egress, Unit: "lx",
		Source:  "IBC 1008.2.1 (model code; local codes differ): 1 fc at the walking surface of an exit route, from lighting that is independent of the show",
		Says:    finding.Say("lights up gives %s on the floor on the mean", si.Of(lux, "lx")),
		Assumed: independent + "; units at their best estimate"}
	f.Margin = (lux - egress) / egress
	for _, p := range r.Room().Paths {
		for _, place := range tr.Find(p.Name) {
			if v := r.least(place, frame.Levels, 0, r.Length()); v < f.Value {
				f.Value, f.Place = v, "path "+p.Name
				f.Margin = (v - egress) / egress
				f.Says = finding.Say("lights up gives %s on the floor on the mean, and %s at the darkest point of path %s", si.Of(lux, "lx"), si.Of(v, "lx"), p.Name)
			}
		}
	}
	if !r.Show.HasLightsUp() {
		f.Says = f.Says.And("; no look has purpose: lights up, so that the key brings all visible light at full")
	}
	if f.Value < egress {
		f.Severity = finding.Warn
		f.Says = f.Says.And("; it does not reach 1 fc")
		f.Cure = finding.Say("raise the lights-up look, or let the house lights do it")
	}
	r.Add(f)
}

// least is the illuminance at a place, in lx, with the room as it stands from one instant to
// another, where it is least.
func (r *limits) least(place int, levels []float32, from, to time.Duration) float64 {
	out := math.Inf(1)
	for _, tr := range r.StandsAs(from, to) {
		out = min(out, tr.Reading(place, room.Photopic, levels))
	}
	return out
}

// floorLux is the mean illuminance of the floor and of what lies flat on it. A flat
// surface lies on the floor when it faces straight up and its middle is lower than 10
// cm: a carpet or a low stage. The mean is weighted by area.
func (r *limits) floorLux(levels []float32) float64 {
	tr := r.Transport()
	names := []string{room.FloorName}
	for _, s := range r.Room().Surfaces {
		if s.Value.Faces[2] > 0 && s.Value.Faces[0] == 0 && s.Value.Faces[1] == 0 && s.Value.Centre[2] < .1 {
			names = append(names, s.Name)
		}
	}
	sum, area := 0.0, 0.0
	for _, name := range names {
		for _, p := range tr.Find(name) {
			sum += tr.Places[p].Area * tr.Reading(p, room.Photopic, levels)
			area += tr.Places[p].Area
		}
	}
	return sum / max(area, 1e-9)
}

// paths finds, for each path, the darkest that it gets while people walk. Looks are
// measured, not the trace: while a fade runs between two looks the light lies between
// theirs (apart from colour), and a bump is too short to walk in. One finding a path,
// at its darkest point.
func (r *limits) paths() {
	tr := r.Transport()
	for _, p := range r.Room().Paths {
		places := tr.Find(p.Name)
		least, cue, at := math.Inf(1), -1, 0
		for i := range r.Show.Cues {
			c := &r.Show.Cues[i]
			if c.Bump() || !r.walked(c.Look) {
				continue
			}
			for _, place := range places {
				if v := r.least(place, r.Show.Looks[c.Look].Levels, c.Start, r.Until(i)); v < least {
					least, cue, at = v, i, place
				}
			}
		}
		if cue < 0 || least >= performance {
			continue
		}
		c := &r.Show.Cues[cue]
		point := tr.Places[at].At
		f := finding.Finding{ID: "path-dark", Severity: finding.Warn, Place: finding.Thing("path", p.Name), Value: least, Limit: performance, Unit: "lx", Cues: []string{c.Number.Name},
			Source: walkSource,
			Says: finding.Say("path %s has %s at x %.1f m, y %.1f m while people move (look %s)", p.Name, si.Of(least, "lx"),
				float64(point[0]), float64(point[1]), r.Show.Looks[c.Look].Name), Assumed: independent,
			Cure: finding.Say("add a low pool of light, glow marks and a rehearsal in the dark")}
		f.Margin = (least - performance) / performance
		if long := r.Until(cue) - c.Start; least < blackFloor && long > longBlackout {
			f.Severity = finding.Stop
			f.Says = f.Says.And(": people walk there for %s in a blackout", si.Of(long.Seconds(), "s"))
		}
		f = f.At(p.Pos).During(c.Start, r.Until(cue))
		if look := r.Show.Score.Looks.Get(r.Show.Looks[c.Look].Name); look != nil {
			f = f.At(look.Pos)
		}
		r.Add(f)
	}
}

// ways finds, for each performer who crosses, where on their ways they have least to see by.
func (r *limits) ways() {
	type darkest struct {
		lux  float64
		at   time.Duration
		eyes room.Point
		pos  source.Pos
	}
	least := map[string]darkest{}
	frame := r.NewFrame()
	var order []string
	for _, w := range r.Show.Walks() {
		if _, known := least[w.Name]; !known {
			order = append(order, w.Name)
			least[w.Name] = darkest{lux: math.Inf(1)}
		}
		for k, t := range w.At {
			place := r.Transport().Underfoot(w.Eyes[k])
			if place < 0 {
				continue
			}
			r.Light(frame, t)
			if v := r.least(place, frame.Levels, t, t); v < least[w.Name].lux {
				least[w.Name] = darkest{v, t, w.Eyes[k], w.Pos}
			}
		}
	}
	for _, name := range order {
		d := least[name]
		if d.lux >= performance {
			continue
		}
		f := finding.Finding{ID: "path-dark", Severity: finding.Warn, Place: finding.Thing("performer", name), Value: d.lux, Limit: performance, Unit: "lx", Cues: r.Standing(d.at),
			Source: walkSource,
			Says: finding.Say("%s crosses at %s with %s underfoot, at x %.1f m, y %.1f m", name, si.FormatTime(d.at), si.Of(d.lux, "lx"),
				float64(d.eyes[0]), float64(d.eyes[1])), Assumed: independent,
			Cure: finding.Say("keep the way clear, mark it with glow tape that the audience does not see, rehearse it in the dark, or add a low pool of light")}
		f.Margin = (d.lux - performance) / performance
		r.Add(f.At(d.pos).During(d.at, d.at))
	}
}

// fastest is the speed, in m/s, from which a way is told: who carries a thing in the dark does not run
// (a choice, no source). ISO 13855 takes 1.6 m/s for people who walk (from memory).
const fastest = 2.5

// haste finds ways that are gone too fast.
func (r *limits) haste() {
	for _, w := range r.Show.Walks() {
		speed := float64(w.Length) / w.Takes.Seconds()
		if speed <= fastest {
			continue
		}
		f := finding.Finding{ID: "way-fast", Severity: finding.Warn, Place: finding.Thing("performer", w.Name), Value: speed, Limit: fastest, Unit: "m/s", Cues: r.Standing(w.At[0]),
			Source: "common practice, no source: nobody runs in the dark with a thing in their hands",
			Says:   finding.Say("%s is to go %s in %s", w.Name, si.Of(float64(w.Length), "m"), si.Of(w.Takes.Seconds(), "s")),
			Cure:   finding.Say("give it longer, or another way")}
		r.Add(f.At(w.Pos).During(w.At[0], w.At[len(w.At)-1]))
	}
}

// held finds waits that stop somebody on their way: whoever walks by the piece's time stands there, in the light
// that is, until it goes on.
func (r *limits) held() {
	for _, w := range r.Show.Walks() {
		first, last := w.At[0], w.At[len(w.At)-1]
		for i := range r.Show.Waits {
			wait := &r.Show.Waits[i]
			if wait.Repeats() || wait.Begins <= first || wait.Begins+wait.Gap >= last {
				continue
			}
			f := finding.Finding{ID: "way-held", Severity: finding.Note, Place: finding.Thing("performer", w.Name), Value: wait.Gap.Seconds(), Unit: "s", Cues: r.Standing(wait.Begins),
				Source: "common practice, no source",
				Says:   finding.Say("the piece waits at %s, while %s is on a way: %s stands there for up to %s", si.FormatTime(wait.Place()), w.Name, w.Name, si.Of(wait.Gap.Seconds(), "s")),
				Cure:   finding.Say("wait before the way begins or after it ends; or tell %s where to stand", w.Name)}
			r.Add(f.At(wait.Pos).During(wait.Begins, wait.Begins+wait.Gap))
		}
	}
}

// walked tells whether people move while the look stands. It follows the looks that
// this one is like, since what is said of a look holds for those made from it.
// score.Read has cut chains that come back, so the loop ends.
func (r *limits) walked(look int) bool {
	for name := r.Show.Looks[look].Name; ; {
		l := r.Show.Score.Looks.Get(name)
		if l == nil {
			return false
		}
		if l.Dim {
			return true
		}
		name = l.Like.Name
	}
}

// blackouts finds spans in which there is nothing to see by. A dark span runs over
// neighbouring dark corners: between two corners the light runs straight, so it is dark
// between two that are. The shortest that is told is the brief's, or 3 s (common
// practice, no source: shorter ones are punctuation between two pictures).
func (r *limits) blackouts() {
	shortest := r.Show.Score.Brief.Shortest
	if shortest <= 0 {
		shortest = 3 * time.Second
	}
	t := r.Trace()
	dark := r.darkCorners(t)
	for v := 0; v < len(dark); {
		if !dark[v] {
			v++
			continue
		}
		end := v
		for end+1 < len(dark) && dark[end+1] {
			end++
		}
		if from, to := t.Times[v], t.Times[end]; to-from >= shortest {
			r.blackout(from, to, shortest)
		}
		v = end + 1
	}
}

// darkCorners tells at which corners of the trace the room is dark. It is dark when
// every row is below its limit. A row is the mean response of the floor, or of a
// surface, to each drive at full, so that a reading is a dot product with the levels;
// an object's row is its glow over its whole surface. Surfaces get ten times the
// floor's limit: a wall of 1 lx is seen, yet shows nobody the step before their feet.
//
// While the room goes from one setting to another it is dark when it is in both.
func (r *limits) darkCorners(t *subject.Trace) []bool {
	settings := r.Settings()
	lit := make([]shown, len(settings))
	for i := range settings {
		lit[i] = r.shown(settings[i].Room)
	}
	dark := make([]bool, len(t.Times))
	subject.Each(len(dark), func(v int) {
		for i := range settings {
			if settings[i].At(t.Times[v]) && lit[i].by(t.Levels[v]) {
				return
			}
		}
		dark[v] = true
	})
	return dark
}

// shown are rows of what there is to see by, each with the least of it.
type shown struct {
	rows  [][]float64
	least []float64
}

func (r *limits) shown(tr *room.Transport) (out shown) {
	add := func(row []float64, least float64) {
		out.rows, out.least = append(out.rows, row), append(out.least, least)
	}
	add(tr.MeanRow(room.FloorName, room.Photopic), blackFloor)
	for _, s := range r.Room().Surfaces {
		add(tr.MeanRow(s.Name, room.Photopic), 10*blackFloor)
	}
	for _, o := range r.Room().Objects {
		_, whole, _ := tr.GlowRows(o.Name)
		add(whole, blackGlow)
	}
	return out
}

// by tells whether there is something to see at these levels.
func (s *shown) by(levels []float32) bool {
	for i, row := range s.rows {
		sum := 0.0
		for d, w := range row {
			sum += w * float64(levels[d])
		}
		if sum >= s.least[i] {
			return true
		}
	}
	return false
}

// blackout tells of one dark span. It is a warn where people move, or where it lasts
// for more than 10 s; else a note. People move when a look that says so stands, even in
// part, within the span.
func (r *limits) blackout(from, to, shortest time.Duration) {
	length := to - from
	move := false
	for i := range r.Show.Cues {
		c := &r.Show.Cues[i]
		if c.Start <= to && r.Until(i) >= from && !c.Bump() && r.walked(c.Look) {
			move = true
		}
	}
	f := finding.Finding{ID: "blackout", Severity: finding.Note, Place: "room", Value: length.Seconds(), Limit: longBlackout.Seconds(), Unit: "s", Cues: r.Standing(from),
		Source: "common practice: hold a blackout 3 to 10 s at most unless it was rehearsed; the brief asks for a word from " + si.Say(shortest.Seconds(), "s") + " on",
		Says:   finding.Say("it is dark for %s from %s on", si.Of(length.Seconds(), "s"), si.FormatTime(from)), Assumed: independent}
	if move {
		f.Severity, f.Limit = finding.Warn, shortest.Seconds()
		f.Says = f.Says.And(", while people move")
		f.Cure = finding.Say("rehearse it slowly in the dark, with ways marked, or leave a dim blue")
	} else if length > longBlackout || r.Show.Score.Brief.Shortest > 0 {
		f.Severity = finding.Warn // the brief wants to be warned
	}
	r.Add(f.During(from, to))
}

// alarm asks for the input that ends the dark of a walk. A room without paths, in which nobody
// crosses, has nobody walking in the dark, and is not asked.
func (r *limits) alarm() {
	if len(r.Room().Paths) == 0 && len(r.Show.Walks()) == 0 {
		return
	}
	b := r.Bill()
	f := finding.Finding{ID: "alarm-input", Place: "show.yaml",
		Source: "IBC 411 and NFPA 101 (model codes; local codes differ): on alarm exit ways are lit and confusing sound and light stop",
		Cure:   finding.Say("name the contact that says alarm (alarm inputs in show.yaml) and try it each day, or have the alarm switch the lights and the sound itself; and somebody at the key for lights up while people are in")}
	switch {
	case len(b.Alarms) > 0:
		return // that it works, the round before doors and the daily self-test ask
	case b.Alarm == nil:
		f.Severity, f.Says = finding.Warn, finding.Say("people walk in the dark, and nothing says whether the alarm ends the show")
	case !*b.Alarm:
		f.Severity, f.Says = finding.Stop, finding.Say("people walk in the dark, and the alarm does not end the show")
	default:
		// What is only declared silences nothing.
		f.Severity, f.Says = finding.Warn, finding.Say("people walk in the dark, and `alarm input: yes` is only said: no alarm input of this program is named")
	}
	r.Add(f.At(b.Pos))
}

// signWords are words of a name that mean escape lighting in English, German or French; likely are
// those that may mean it, or where something hangs.
var (
	signWords = regexp.MustCompile(`(?i)\b(exit (sign|light|lamp)s?|emergency|fire (escape|exit)|escape (sign|light|lamp)s?|notausgang|notlicht|notbeleuchtung|fluchtweg\w*|rettungszeichen\w*|issue de secours|baes)\b`)
	likely    = regexp.MustCompile(`(?i)\b(exit|ausgang|sortie)\b`)
)

// signs finds exit signs among the units. It is a stop since the danger is great and
// the false alarm cheap: another name ends it. A name that may say only where a lamp hangs is a
// question.
func (r *limits) signs() {
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		words := u.Name.Name + "\n" + u.TypeName.Name
		for _, s := range u.Systems {
			words += "\n" + s
		}
		if !signWords.MatchString(words) {
			if likely.MatchString(words) {
				r.Add(finding.Finding{ID: "exit-sign", Severity: finding.Note, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name},
					Source: "model codes: exit signs and emergency lighting stay lit and are independent of the show",
					Says:   finding.Say("does unit %s only hang near an exit? An exit sign or emergency light must never be in the rig", u.Name.Name)}.At(u.Name.Pos))
			}
			continue
		}
		r.Add(finding.Finding{ID: "exit-sign", Severity: finding.Stop, Place: finding.Thing("unit", u.Name.Name), Units: []string{u.Name.Name},
			Source: "model codes: exit signs and emergency lighting stay lit and are independent of the show",
			Says:   finding.Say("unit %s seems to be an exit sign or emergency light: the show must never control one", u.Name.Name),
			Cure:   finding.Say("take it out of the rig, or give the unit another name if it is none")}.At(u.Name.Pos))
	}
}
