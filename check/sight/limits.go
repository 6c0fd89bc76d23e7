// Package sight checks flashing as every eye sees it: give [Family] to a run of
// package check. Package check/seen has the model, and what it does not see; this one
// holds it against the limits and says what would help.
//
// Sources: WCAG 2.2 SC 2.3.1, ITU-R BT.1702-3 (rules for screens, taken for a
// stage), HSE HSG195 as quoted.
package sight

import (
	"lampblack/check/finding"
	"lampblack/check/flash"
	"lampblack/check/seen"
	"lampblack/check/subject"
)

// Family looks at flashing.
var Family = subject.NewFamily(open, table...)

// limits is one run over the family's table.
type limits struct {
	*subject.Run
	views []view
}

// view is the show, or a stretch of it, with the room as it stands then.
type view struct {
	eyes  *seen.Eyes
	scene *seen.Scene
	trace *subject.Trace
}

func (r *limits) view(eyes *seen.Eyes, t *subject.Trace) view {
	return view{eyes, eyes.Over(&t.Light), t}
}

// aside is how long before and after a stretch its light counts as well: a flash needs a second.
const aside = flash.Second

func open(r *subject.Run) *limits {
	l := &limits{Run: r}
	settings := r.Settings()
	if len(settings) == 1 {
		l.views = []view{l.view(seen.New(settings[0].Room, r.Rig()), r.Trace())}
		return l
	}
	for _, s := range settings {
		eyes := seen.New(s.Room, r.Rig())
		for _, span := range s.Spans {
			l.views = append(l.views, l.view(eyes, r.Trace().Cut(span[0]-aside, span[1]+aside)))
		}
	}
	return l
}

// all is the whole show as a view, for what counts whatever anybody sees.
func (r *limits) all() view {
	if len(r.Settings()) == 1 {
		return r.views[0]
	}
	return r.view(seen.New(r.Transport(), r.Rig()), r.Trace())
}

var table = []subject.Limit[*limits]{
	{Measure: (*limits).union, Tells: finding.Tells{
		"flash-union": "flashes in one second over all units together",
		"flash-long":  "flashing goes on for long",
	}},
	{Measure: (*limits).eyes, Tells: finding.Tells{
		"flash-rate": "general flashes in one second, as one eye sees them",
		"flash-red":  "red flashes in one second, as one eye sees them",
	}},
}
