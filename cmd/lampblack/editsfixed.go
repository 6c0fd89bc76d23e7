package main

import (
	"bytes"
	"reflect"
	"slices"

	"lampblack/show"
	"lampblack/source"
)

// fixed is what of an edit a run takes over only as it begins, in words: what it has opened by
// then, and what it counts by.
func (e *edits) fixed(place *show.Place, next *loaded) (others []string) {
	ran := e.l.hand.Place()
	add := func(what string, same bool) {
		if !same {
			others = append(others, what)
		}
	}
	was, is := ran.Bill, place.Bill
	add("other outputs", e.given || alike(reflect.ValueOf(was.Outputs), reflect.ValueOf(is.Outputs)))
	add("another soundtrack", slices.Equal(soundsOf(ran), soundsOf(place)))
	for _, part := range []struct {
		what    string
		was, is any
	}{
		{"another sound device or level", was.Sound, is.Sound},
		{"other extra sounds", was.Extras, is.Extras},
		{"other alarm inputs", was.Alarms, is.Alarms},
		{"other times for when the run fails", was.Silence, is.Silence},
		{"another rule for timecode that is gone", was.Timecode, is.Timecode},
		{"another input of live sound", was.Live.From, is.Live.From},
		{"another recording of live sound", was.Live.Record, is.Live.Record},
	} {
		add(part.what, alike(reflect.ValueOf(part.was), reflect.ValueOf(part.is)))
	}
	add("other units", slices.Equal(ran.Rig.UnitNames(), place.Rig.UnitNames()) && len(ran.Rig.Drives) == len(place.Rig.Drives))
	add("other universes", slices.Equal(ran.Rig.Universes(), place.Rig.Universes()))
	zones := slices.EqualFunc(ran.Zones, place.Zones, func(a, b show.PlacedZone) bool { return a.Name == b.Name })
	add("other zones, or another title", zones)
	for i := 0; zones && i < len(place.Zones); i++ {
		a, b := ran.Zones[i].Evening, place.Zones[i].Evening
		if !slices.Equal(a.Names(), b.Names()) {
			add("other steps", false)
			break
		}
		if !slices.EqualFunc(a.Steps, b.Steps, func(a, b show.Step) bool { return len(a.Show.Waits) == len(b.Show.Waits) }) {
			add("other waits", false)
			break
		}
	}
	texts := e.l.running()
	for name, what := range map[string]string{show.TriggersFile: "other triggers", show.CalendarFile: "other hours", show.TrimsFile: "other trims of the hall"} {
		add(what, bytes.Equal(texts[name], next.texts[name]))
	}
	slices.Sort(others)
	return others
}

// soundsOf are the soundtracks of all steps.
func soundsOf(p *show.Place) (names []string) {
	for i := range p.Zones {
		steps := p.Zones[i].Evening.Steps
		for k := range steps {
			names = append(names, steps[k].Sound().Name)
		}
	}
	return names
}

// alike tells whether two values of one type, as they are read of a file, are the same wherever
// they stand in it.
func alike(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Struct:
		if a.Type() == reflect.TypeFor[source.Pos]() {
			return true
		}
		for i := range a.NumField() {
			if !alike(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Pointer:
		if a.IsNil() || b.IsNil() {
			return a.IsNil() == b.IsNil()
		}
		return alike(a.Elem(), b.Elem())
	case reflect.Slice:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !alike(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	}
	return a.Comparable() && b.Comparable() && a.Equal(b)
}
