package sheet

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"

	"lampblack/check/finding"
	"lampblack/desk"
	"lampblack/sheet/typeset"
	"lampblack/si"
)

// programming is what to set on a small desk, scene by scene, in the order that moves the fewest faders.
func programming(_ context.Context, s *Subject) ([]typeset.Block, error) {
	p := s.Desk
	if p == nil {
		return nil, errors.New("no desk is named: --desk FILE describes it")
	}
	var out []typeset.Block
	if up := p.Caution(); up != "" {
		out = append(out, boxed(strong("Caution.")+" "+finding.Sentence(up)))
	}
	out = append(out, &typeset.Words{Text: finding.Sentence(p.First()), Bold: true, Size: typeset.Large})
	var first []string
	for _, o := range p.Off {
		text := fmt.Sprintf("Switch off %s at the mains: %s.", strong(o.Unit), o.Why)
		if len(o.Feeds) > 0 {
			text += " Feed " + strings.Join(o.Feeds, ", ") + " from elsewhere: their power comes through it."
		}
		first = append(first, text)
	}
	for _, r := range p.Readdressed {
		first = append(first, fmt.Sprintf("Set %s from address %d to address %d.", strong(r.Unit), r.From, r.To))
	}
	if len(first) > 0 {
		out = append(out, &typeset.Heading{Text: "Before the desk is connected"}, tasks(first...))
	}
	slots := &typeset.Table{Name: "Slots", Columns: []typeset.Column{{Head: "Desk's slot", Right: true, Bold: true}, {Head: "Address"}, {Head: "Feeds", Grow: true}}}
	for _, sl := range p.Slots {
		if len(sl.Addresses) > 0 {
			slots.Rows = append(slots.Rows, row(fmt.Sprint(sl.Number), joined(sl.Addresses), sl.Feeds))
		}
	}
	scenes := &typeset.Table{Name: fmt.Sprintf("%s, %s, from all faders down", si.Count(len(p.Scenes), "scene", "scenes"), si.Count(p.Moves, "fader move", "fader moves")), Size: 15,
		Columns: []typeset.Column{{Head: "Scene", Right: true, Bold: true}, {Head: "Look", Bold: true}, {Head: "Recalled by"}, {Head: "Move", Grow: true}, {Head: "Fade"}, {Head: "Stored", Least: 3}}}
	for i, n := range p.Order {
		scenes.Rows = append(scenes.Rows, row(sceneRow(p, i, &p.Scenes[n])...))
	}
	out = append(out, slots)
	if p.Desk.Fade.Kind == desk.FadeOneTime {
		out = append(out, words("Set the fade time to "+si.Say(p.Fade.Seconds(), "s")+"."))
	}
	return append(out, scenes), nil
}

func sceneRow(p *desk.Plan, i int, s *desk.Scene) []string {
	var moves []string
	for _, c := range p.Changes(i) {
		moves = append(moves, fmt.Sprintf("%s at %s", strong(fmt.Sprint(c.Slot)), p.Desk.Level(c.To)))
	}
	number := fmt.Sprint(s.Number)
	if p.Desk.Banks > 1 {
		number += fmt.Sprintf(" (bank %d, %d)", s.Bank, s.Place)
	}
	by := "hand"
	if s.Trigger != nil {
		by = s.Trigger.String()
	}
	fade := ""
	if p.Desk.Fade.Kind == desk.FadeEachScene {
		fade = si.Say(s.Fade.Seconds(), "s")
	}
	return []string{number, s.Name, by, cmp.Or(strings.Join(moves, ", "), "nothing to move"), fade, typeset.Box}
}

func joined(list []int) string {
	out := make([]string, len(list))
	for i, n := range list {
		out[i] = fmt.Sprint(n)
	}
	return strings.Join(out, ", ")
}
