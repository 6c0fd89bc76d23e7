package check

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"lampblack/check/finding"
	"lampblack/check/lines"
	"lampblack/check/subject"
	"lampblack/check/supply"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// What was not said is guessed, so that a show runs; what a limit then finds is about the
// guess. So no limit is held to have judged what it saw of a guess:
//
//	needs     which facts each limit wants
//	settle    drops what was found on guesses, keeps what warns people of harm and says
//	          what was guessed, and tells in one finding what was not judged, for want of
//	          which facts, and which of them is worth most next
//
// Nothing is dropped for what somebody declared: each fact is a value that is computed
// with.

// area is a kind of limits in words, for people, who do not think in identifiers; areas of
// one word differ in what they need.
type area struct {
	words  string
	limits []string
	needs  []finding.Fact
}

var (
	where = []finding.Fact{subject.Places, subject.Sizes}
	seen  = []finding.Fact{subject.Places, subject.Sizes, subject.Eyes}
	goals = []string{"goal-missed", "glow-low", "spill-on-black", "uv-look-ceiling"}
)

// areas are all limits that want facts which may be guessed. Limits of the supply and of
// data lines tell themselves what they lack, and stand here for their words.
var areas = []area{
	{"what the looks ask of surfaces and objects", goals, append([]finding.Fact{subject.Things}, where...)},
	{"light to walk by", []string{"escape-light", "leave-dark"}, where},
	{"light to walk by", []string{"path-dark", "uv-path", "alarm-input"}, append([]finding.Fact{subject.Ways}, where...)},
	{"ultraviolet, glare and flashes at eyes", []string{"uv-dose", "uv-actinic", "blue-room"}, append([]finding.Fact{subject.Cues}, seen...)},
	{"ultraviolet, glare and flashes at eyes", []string{"uv-irradiance", "blue-gaze", "lens-in-eye"}, seen},
	{"ultraviolet, glare and flashes at eyes", []string{"flash-rate", "flash-red"}, seen},
	{"slots and addresses", []string{"address-overlap", "address-shared", "fade-crosses", "slot-never", "slot-closed", "slot-fan", "line-refresh"}, []finding.Fact{subject.Modes}},
	{"cues", []string{"blackout", "way-fast", "cue-unreached", "cue-density", "cue-calm", "cue-off", "cue-seat"}, []finding.Fact{subject.Cues, subject.Sound}},
	{"the supply", supply.OfFeeds, nil},
	{"what hangs and stands", []string{"hang-load", "hang-tip", "hang-bond", "hang-head", "hang-place", "hang-way", "burn-things", "burn-lit", "burn-touch", "wet-housing"}, nil},
	{"the outputs", lines.OfOutputs, nil},
	{"the data lines", append(slices.Clone(lines.OfLines), "line-loss"), nil},
}

// harms tells whether a finding warns of what may hurt somebody, or of light that may not
// come: it is told also where it is about a guess.
func harms(f *finding.Finding) bool {
	return f.Severity != finding.Note && slices.ContainsFunc([]string{"uv-dose", "uv-actinic", "uv-irradiance", "uv-path", "uv-keep-out", "blue-", "flash-", "path-dark", "alarm-input", "address-", "slot-", "fade-crosses"},
		func(p string) bool { return strings.HasPrefix(f.ID, p) })
}

// knowing is what is known of one show.
type knowing struct {
	rig   *rig.Rig
	room  *room.Room
	show  *show.Show              // nil for what is no show
	lacks map[finding.Fact]lacked // what was not said
}

// lacked is of what a fact was not said, nil for the show as a whole, and which limits
// want it.
type lacked struct {
	of     []string
	limits map[string]bool
}

// knows looks for what was not said.
func knows(s subject.Subject, sh *show.Show) *knowing {
	k := &knowing{rig: s.Rig(), room: s.Room(), show: sh, lacks: map[finding.Fact]lacked{}}
	add := func(fact finding.Fact, missing bool, of []string) {
		if missing {
			k.lacks[fact] = lacked{of: of, limits: map[string]bool{}}
		}
	}
	bare := k.units(func(u *rig.Unit) bool { return u.Guessed(rig.GuessedPlace | rig.GuessedAim) })
	add(subject.Places, bare != nil, bare)
	modes := k.units(func(u *rig.Unit) bool { return u.Guessed(rig.GuessedMode) })
	add(subject.Modes, modes != nil, modes)
	unsized := k.room.Guessed(room.GuessedSize | room.GuessedFront)
	add(subject.Sizes, unsized, nil)
	add(subject.Eyes, len(k.room.Seats)+len(k.room.People) == 0, nil)
	add(subject.Ways, unsized && len(k.room.Paths) == 0, nil)
	if sh != nil {
		things := k.things()
		add(subject.Things, things != nil, things)
		add(subject.Cues, sh.CuesGuessed(), nil)
		add(subject.Sound, sh.CuesGuessed() && sh.Track == nil && sh.Bill.Soundtrack.Name == "", nil)
	}
	for i := range areas {
		for _, limit := range areas[i].limits {
			if !k.asked(limit) {
				continue
			}
			for _, fact := range areas[i].needs {
				if l, ok := k.lacks[fact]; ok && k.matters(limit, fact) {
					l.limits[limit] = true
				}
			}
		}
	}
	return k
}

func (k *knowing) units(is func(*rig.Unit) bool) (out []string) {
	for i := range k.rig.Units {
		if u := &k.rig.Units[i]; is(u) {
			out = append(out, u.Name.Name)
		}
	}
	return out
}

// things lists what looks ask light for and nobody described.
func (k *knowing) things() (out []string) {
	for i := range k.show.Looks {
		for _, r := range k.show.Looks[i].Undescribed {
			if !slices.Contains(out, r.Name) {
				out = append(out, r.Name)
			}
		}
	}
	return out
}

// asked tells whether there is anything that a limit would judge: a rig without black
// light has no dose of it, and looks that ask for levels alone have no goal to miss.
func (k *knowing) asked(limit string) bool {
	switch {
	case slices.Contains(goals, limit):
		return k.show != nil && slices.ContainsFunc(k.show.Score.Looks, func(e source.Entry[score.Look]) bool { return asks(&e.Value) })
	case strings.HasPrefix(limit, "uv-"):
		return k.units((*rig.Unit).Ultraviolet) != nil
	}
	return true
}

// asks tells whether a look asks for something to be seen, besides levels.
func asks(l *score.Look) bool {
	return l.Eyes != nil || len(l.Dark) > 0 || slices.ContainsFunc(l.Parts, func(p score.Part) bool { return p.Lux != nil || p.Glow != nil })
}

// matters tells whether a limit that wants a fact in general wants what of it was not
// said: a dose of ultraviolet does not ask where lamps without any hang.
func (k *knowing) matters(limit string, fact finding.Fact) bool {
	switch {
	case limit == "alarm-input":
		return fact == subject.Ways
	case fact == subject.Sound:
		return limit == "cue-off" || limit == "cue-seat"
	case fact != subject.Places || !strings.HasPrefix(limit, "uv-"):
		return true
	}
	return k.units(func(u *rig.Unit) bool { return u.Ultraviolet() && u.Guessed(rig.GuessedPlace|rig.GuessedAim) }) != nil
}

// settle sorts findings by what they are about: what was measured stays, what was found on
// a guess goes or says so, and one finding at the end tells what was not judged.
func settle(s subject.Subject, sh *show.Show, list []finding.Finding) []finding.Finding {
	k := knows(s, sh)
	var out []finding.Finding
	for _, f := range list {
		if f.ID == finding.NotJudged {
			k.gather(f.Lacks)
			continue
		}
		guesses := k.behind(&f)
		if len(guesses) > 0 && !harms(&f) {
			continue
		}
		f.Assumed = k.marked(&f, guesses)
		out = append(out, f)
	}
	if f, any := k.notJudged(); any {
		out = append(out, f)
	}
	return out
}

// gather adds what limits have told themselves.
func (k *knowing) gather(lacks []finding.Lack) {
	for _, l := range lacks {
		fact := finding.Fact{What: l.Fact, Write: l.Write}
		has, ok := k.lacks[fact]
		if !ok {
			has = lacked{limits: map[string]bool{}}
		}
		for _, name := range l.Of {
			if !slices.Contains(has.of, name) {
				has.of = append(has.of, name)
			}
		}
		for _, limit := range l.Limits {
			has.limits[limit] = true
		}
		k.lacks[fact] = has
	}
}

// behind lists the guesses that a finding is about. One that names its units, or a look,
// is only about the places of those.
func (k *knowing) behind(f *finding.Finding) (out []finding.Fact) {
	for _, fact := range subject.Facts {
		l, ok := k.lacks[fact]
		if !ok || !l.limits[f.ID] {
			continue
		}
		if about := k.about(f); about != nil && len(l.of) > 0 && (fact == subject.Places || fact == subject.Modes) &&
			!slices.ContainsFunc(about, func(u string) bool { return slices.Contains(l.of, u) }) {
			continue
		}
		out = append(out, fact)
	}
	return out
}

// about lists the units that a finding is about: those that it names, or those of its
// look; nil for all.
func (k *knowing) about(f *finding.Finding) []string {
	name, ok := strings.CutPrefix(f.Place, "look ")
	if f.Units != nil || !ok || k.show == nil {
		return f.Units
	}
	for i := range k.show.Looks {
		if k.show.Looks[i].Name != name {
			continue
		}
		out := []string{}
		for d, level := range k.show.Looks[i].Levels {
			if u := k.rig.Units[k.rig.Drives[d].Unit].Name.Name; level > 0 && !slices.Contains(out, u) {
				out = append(out, u)
			}
		}
		return out
	}
	return nil
}

// marked is what a finding takes for granted, with what was guessed.
func (k *knowing) marked(f *finding.Finding, guesses []finding.Fact) string {
	var words []string
	for _, g := range guesses {
		words = append(words, g.What)
	}
	if k.generic(f) {
		words = append(words, "what units of built-in types give")
	}
	switch {
	case words == nil:
		return f.Assumed
	case f.Assumed == "":
		return "guessed: " + inWords(words)
	}
	return f.Assumed + "; guessed: " + inWords(words)
}

// ofLight are the beginnings of the identifiers of what measures light, or what units
// draw.
var ofLight = []string{"uv-", "blue-", "flash-r", "goal-missed", "glow-low", "spill-on-black", "escape-light", "path-dark", "lens-in-eye", "supply-load", "supply-inrush", "supply-chain", "supply-drop", "supply-leakage"}

// generic tells whether the figures of a finding come from a built-in type.
func (k *knowing) generic(f *finding.Finding) bool {
	if !slices.ContainsFunc(ofLight, func(p string) bool { return strings.HasPrefix(f.ID, p) }) {
		return false
	}
	of := k.units(func(u *rig.Unit) bool { return u.Type != nil && u.Type.Generic() && !k.measured(u) })
	return slices.ContainsFunc(of, func(u string) bool { return f.Units == nil || slices.Contains(f.Units, u) })
}

// measured tells whether a meter or an eye has seen what the unit gives.
func (k *knowing) measured(u *rig.Unit) bool {
	if k.show == nil {
		return false
	}
	for i := range k.show.Measured {
		if f := &k.show.Measured[i]; f.Unit == u.Name.Name && f.Readings > 0 {
			return true
		}
	}
	return false
}

// notJudged is the one finding of what was not judged.
func (k *knowing) notJudged() (finding.Finding, bool) {
	f := finding.Finding{ID: finding.NotJudged, Severity: finding.Note, Place: "show", Source: "what the files do not say"}
	var facts []string
	waiting := map[string]int{} // by limit: the facts that it wants
	for _, fact := range subject.Facts {
		l, ok := k.lacks[fact]
		if !ok || len(l.limits) == 0 {
			continue
		}
		facts = append(facts, k.named(fact, l.of))
		f.Lacks = append(f.Lacks, finding.Lack{Fact: fact.What, Write: fact.Write, Of: l.of, Limits: slices.Sorted(maps.Keys(l.limits))})
		for limit := range l.limits {
			waiting[limit]++
		}
	}
	if facts == nil {
		return f, false
	}
	f.Text = "not judged, as nobody said " + inWords(facts) + ": " + inWords(areasOf(waiting))
	if u := k.units((*rig.Unit).Ultraviolet); u != nil && waiting["uv-irradiance"] > 0 {
		f.Text += "; the ultraviolet of " + unitsIn(u) + " harms eyes that look into it long or near: keep it out of every eye, children's first"
	}
	f.Assumed = k.meanwhile()
	f.Hint = worth(f.Lacks, waiting)
	return f, true
}

// named is a fact, and of what it was not said where that is not all units.
func (k *knowing) named(fact finding.Fact, of []string) string {
	ofUnits := slices.Contains([]finding.Fact{subject.Places, subject.Modes, subject.Plugs, subject.Lines}, fact)
	if len(of) == 0 || ofUnits && len(of) == len(k.rig.Units) {
		return fact.What
	}
	return fact.What + " (" + source.First(of, 4) + ")"
}

func unitsIn(names []string) string {
	if len(names) == 1 {
		return "unit " + names[0]
	}
	return "units " + source.First(names, 6)
}

// inWords joins words as in a sentence.
func inWords(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + ", and " + words[n-1]
	}
	return strings.Join(words, "")
}

// areasOf are the areas of some limits, in words.
func areasOf(limits map[string]int) (out []string) {
	for i := range areas {
		if !slices.Contains(out, areas[i].words) && slices.ContainsFunc(areas[i].limits, func(l string) bool { return limits[l] > 0 }) {
			out = append(out, areas[i].words)
		}
	}
	return out
}

// meanwhile says what was guessed, for the one finding.
func (k *knowing) meanwhile() string {
	var words []string
	if k.room.Guessed(room.GuessedSize) {
		s := k.room.Size
		words = append(words, fmt.Sprintf("a room of %s by %s by %s", si.Say(float64(s[0]), "m"), si.Say(float64(s[1]), "m"), si.Say(float64(s[2]), "m")))
	}
	if k.units(func(u *rig.Unit) bool { return u.Guessed(rig.GuessedPlace) }) != nil {
		words = append(words, "units side by side on one bar")
	}
	if k.units(func(u *rig.Unit) bool { return u.Type != nil && u.Type.Generic() }) != nil {
		words = append(words, "what such lamps give")
	}
	if words == nil {
		return ""
	}
	return "guessed meanwhile: " + inWords(words)
}

// worth says which fact is worth most next. Each area counts as one, shared out over its
// limits, and each limit over the facts that it waits for; the fact with the greatest
// share is told, with what waits for it alone, or for it and others.
func worth(lacks []finding.Lack, waiting map[string]int) string {
	best, most := -1, 0.0
	for i := range lacks {
		sum := 0.0
		for a := range areas {
			for _, limit := range areas[a].limits {
				if slices.Contains(lacks[i].Limits, limit) {
					sum += 1 / float64(waiting[limit]*len(areas[a].limits))
				}
			}
		}
		if sum > most+1e-9 {
			best, most = i, sum
		}
	}
	if best < 0 {
		return ""
	}
	l := &lacks[best]
	alone := map[string]int{}
	for _, limit := range l.Limits {
		if waiting[limit] == 1 {
			alone[limit]++
		}
	}
	text := "worth most next: " + l.Fact + " (" + l.Write + ")"
	if ready := areasOf(alone); ready != nil {
		return text + "; then more is judged of " + inWords(ready)
	}
	return fmt.Sprintf("%s; %s wait for it, and for other facts", text, si.Count(len(l.Limits), "check", "checks"))
}
