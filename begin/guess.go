package begin

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"

	"lampblack/ledger"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// called is the name of a thing at the beginning of a line: the value of its first key, or its key.
var called = regexp.MustCompile(`^\s*(?:- \{[a-z]+: ("[^"]*"|[^,}]*)|("[^"]*"|[^:{]+):)`)

// guesses lists what stands in texts and nobody said.
func guesses(t *ledger.Texts) []Guess {
	out := []Guess{}
	for _, name := range t.Names() {
		for i, line := range strings.Split(string(t.Read(name)), "\n") {
			line = strings.TrimRight(line, "\r")
			at := guessAt(line)
			if at < 0 {
				continue
			}
			what := name
			if m := called.FindStringSubmatch(line); m != nil {
				what = blockOf(strings.Trim(m[1]+m[2], `"`))
			}
			g := Guess{name, i + 1, questionOf(name, what), what, line[at+len(guessed):]}
			if n := len(out); n > 0 && out[n-1].File == g.File && out[n-1].Text == g.Text && out[n-1].Question == g.Question {
				if !slices.Contains(strings.Split(out[n-1].What, ", "), g.What) {
					out[n-1].What += ", " + g.What
				}
				continue
			}
			out = append(out, g)
		}
	}
	return out
}

// unsaid lists what the program takes by itself, as nobody said it and nothing is written.
func unsaid(f *show.Files) []Guess {
	var out []Guess
	if r := f.Room; r != nil && r.Guessed(room.GuessedSize) {
		out = append(out, Guess{show.RoomFile, 0, RoomQuestion, "the room", fmt.Sprintf("%.4g m by %.4g m, %.4g m high", r.Size[0], r.Size[1], r.Size[2])})
	}
	if f.Rig == nil {
		return out
	}
	unplaced := 0
	modes := map[string]bool{}
	for i := range f.Rig.Units {
		u := &f.Rig.Units[i]
		if u.Guessed(rig.GuessedPlace) {
			unplaced++
		}
		if t := u.Type; t != nil && len(t.Modes) > 1 && u.ModeName.Name == "" && !modes[t.ID] {
			modes[t.ID] = true
			out = append(out, Guess{show.RigFile, u.Pos.Line, UnitsQuestion, t.ID, "its mode is taken to be " + t.Modes[0].Name + ": its display or its switches say"})
		}
	}
	if unplaced > 0 {
		out = append(out, Guess{show.RigFile, 0, PlacesQuestion, si.Count(unplaced, "lamp", "lamps") + " without a place", "side by side on one bar before the stage"})
	}
	return out
}

// questionOf is the question that a text answers.
func questionOf(file, what string) Question {
	switch {
	case path.Dir(file) == "fixtures":
		return UnitsQuestion
	case file == show.ScoreFile && strings.HasSuffix(what, " glows"):
		return GlowQuestion
	case file == show.ScoreFile:
		return UnitsQuestion
	case file == show.RigFile:
		return PlacesQuestion
	case file == show.RoomFile && (what == "size" || what == "stage front" || what == "walls" || what == "floor" || what == "ceiling" || what == backdrop):
		return RoomQuestion
	case file == show.RoomFile:
		return PeopleQuestion
	case file == show.OrderFile:
		return WhatQuestion
	}
	return SiteQuestion
}
