package mend

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"lampblack/check/dose"
	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/score"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// lessDose lists what takes ultraviolet from an eye, in the order in which a person would try: a flag before
// the lamps, their aim, their place, less of them, and at last less time.
func (m *mending) lessDose() []attempt {
	return slices.Concat(m.shaded(), m.turned(), m.moved(), m.dimmed(), m.lessRehearsal())
}

// dimmed asks for less of the lamps in all looks that name them for black light, by as little as may do and no more
// than half: glows by their luminance, emitters by their level.
func (m *mending) dimmed() (out []attempt) {
	for percent := int(100*m.finding.Limit/m.finding.Value) / 5 * 5; percent >= 50; percent -= 5 { // the dose grows with the light
		to := float64(percent) / 100
		n := 0
		m.eachDim(to, func([]any, string, string) { n++ })
		if n == 0 {
			return nil
		}
		what := fmt.Sprintf("ultraviolet of %s at %.0f %% of what it was", si.Count(n, "part", "parts"), 100*to)
		out = append(out, attempt{file: show.ScoreFile, what: what, edit: func(t *source.Text) (err error) {
			m.eachDim(to, func(path []any, key, value string) {
				if err == nil {
					err = t.SetKey(key, value, path...)
				}
			})
			return err
		}})
	}
	return out
}

// eachDim calls each with what is written of the black light of the finding's units, dimmed.
func (m *mending) eachDim(to float64, each func(path []any, key, value string)) {
	for i := range m.show.Score.Looks {
		l := &m.show.Score.Looks[i]
		for k := range l.Value.Parts {
			p := &l.Value.Parts[k]
			if !slices.ContainsFunc(m.show.UnitsOf(p), func(u int) bool { return slices.Contains(m.finding.Units, m.show.Rig.Units[u].Name.Name) }) {
				continue
			}
			path := append([]any{"looks", l.Name}, l.Value.Path(k)...)
			m.dimPart(p, path, to, each)
		}
	}
}

func (m *mending) dimPart(p *score.Part, path []any, to float64, each func(path []any, key, value string)) {
	if p.Glow != nil && p.Glow.Luminance > 0 {
		each(append(slices.Clone(path), "glow"), "luminance", fmt.Sprintf("%.3g cd/m2", to*float64(p.Glow.Luminance)))
	}
	for _, e := range p.Emitters {
		if m.blackLight(p, e.Name) && e.Value > 0 {
			each(append(slices.Clone(path), "emitters"), e.Name, fmt.Sprintf("%.3g %%", 100*to*float64(e.Value)))
		}
	}
}

// blackLight tells whether an emitter of a part's units is one of black light.
func (m *mending) blackLight(p *score.Part, emitter string) bool {
	return slices.ContainsFunc(m.show.UnitsOf(p), func(u int) bool {
		t := m.show.Rig.Units[u].Type
		k := t.Emitters.Index(emitter)
		return k >= 0 && t.Emitters[k].Value.Light.BlackLight()
	})
}

// stillThere tells by the family that found a dose alone whether it is still too much: all checks take ten times as long.
func (m *mending) stillThere(s *show.Show) bool {
	if m.finding.ID != "uv-dose" {
		return false
	}
	r := &subject.Run{Subject: subject.Of(s), Show: s, Ctx: m.ctx, Report: finding.NewReport(dose.Family.Tells)}
	dose.Family.Measure(r)
	return slices.ContainsFunc(r.List(), func(f finding.Finding) bool {
		return f.ID == m.finding.ID && f.Place == m.finding.Place && f.Severity == finding.Stop
	})
}

// lessRehearsal shortens the rehearsal with ultraviolet on the days that pass the
// limit, in steps of five minutes. Only the rehearsal is negotiable: shows are sold.
// The steps grow (5, 10, 15 minutes …), eight of them, since part of the dose is that
// of the shows and the first guess counts all of it as the rehearsal's.
func (m *mending) lessRehearsal() []attempt {
	var out []attempt
	for i, d := range m.show.Bill.Days {
		length := time.Duration(d.Rehearsal)
		if length <= 0 || !strings.Contains(m.finding.Text, d.Name) {
			continue
		}
		// The dose grows in a straight line with the time; the finding's value
		// tells how much at least must go.
		const step = 5 * time.Minute
		share := m.finding.Limit / m.finding.Value
		from := time.Duration(float64(length)*share) / step * step
		for n, left := 0, from; left >= 0 && n < 8; n, left = n+1, left-step*time.Duration(1+n) {
			what := fmt.Sprintf("%s: %d min of rehearsal with ultraviolet instead of %d min", d.Name, int(left.Minutes()), int(length.Minutes()))
			a := attempt{file: show.BillFile, what: what, edit: set("rehearsal", fmt.Sprintf("%d min", int(left.Minutes())), "days", i)}
			a.cost.Time = 1 - left.Minutes()/length.Minutes()
			out = append(out, a)
		}
	}
	return out
}
