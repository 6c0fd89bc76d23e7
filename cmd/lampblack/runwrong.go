package main

import (
	"slices"
	"strings"
	"time"

	"lampblack/play"
	"lampblack/play/output"
	"lampblack/si"
	"lampblack/web"
)

// capitals are what stands before the status line while something is wrong.
var capitals = map[output.Cause]string{
	output.NoLink: "NO NETWORK", output.Elsewhere: "OTHER NETWORK", output.Refused: "NOT TAKEN", output.Silent: "NO ANSWER", output.NoNode: "NO NODE",
	output.Rival: "ANOTHER SENDER", output.Twin: "SECOND RUN", output.Gone: "DEVICE GONE", output.Full: "DISK FULL", output.Slow: "OUTPUT SLOW", output.Unwritten: "JOURNAL NOT WRITTEN",
	output.NoSecond: "NO SECOND MACHINE", output.TwoAlike: "TWO MACHINES ALIKE", output.OtherWord: "ANOTHER WORD", output.OtherTexts: "OTHER TEXTS", output.Flashing: "LIGHT SOFTENED", output.Unheard: "NO LIVE SOUND",
}

// wrongText is what is wrong beside the clock, in capitals, each once.
func wrongText(all []play.Trouble) string {
	var words []string
	for _, t := range reasons(all) {
		if t.Degree == output.Aside {
			continue
		}
		word := capitals[t.Cause]
		switch {
		case t.Of == play.Computer:
			word = "COMPUTER LATE"
		case word == "":
			word = "OUTPUT LOST"
		}
		if !slices.Contains(words, word) {
			words = append(words, word)
		}
	}
	if len(words) == 0 {
		return ""
	}
	return strings.Join(words, ", ") + "  "
}

// wrongs remembers what was said of the outputs.
type wrongs struct{ said []play.Trouble }

// reasons are what a person is told: of an output that gets nothing out the first reason
// alone, for the others follow from it; else all.
func reasons(all []play.Trouble) []play.Trouble {
	var out []play.Trouble
	for _, t := range all {
		follows := func(o play.Trouble) bool { return o.Of == t.Of && o.Degree == output.Wholly }
		if t.Degree != output.Wholly || !slices.ContainsFunc(out, follows) {
			out = append(out, t)
		}
	}
	return out
}

// tellWrong says once what has come to be wrong, and once that it is over. What is said aside
// is said once in a run.
func (l *statusLine) tellWrong(all []play.Trouble) {
	all = reasons(all)
	for _, t := range all {
		if !slices.ContainsFunc(l.wrong.said, same(&t)) {
			what := "warning"
			if t.Degree == output.Aside {
				what = "note"
			}
			l.say(what, t.String())
			l.say("hint", t.Hint)
		}
	}
	for _, t := range l.wrong.said {
		switch {
		case slices.ContainsFunc(all, same(&t)):
		case t.Degree == output.Aside:
			all = append(all, t)
		default:
			l.say("note", overText(&t, all))
		}
	}
	l.wrong.said = all
}

// overText says that something is over, or that an output is back.
func overText(t *play.Trouble, all []play.Trouble) string {
	after := " after " + si.Say(max(time.Since(t.Since).Round(time.Second).Seconds(), 1), "s") + ": "
	lost := func(o play.Trouble) bool { return o.Of == t.Of && o.Degree == output.Wholly }
	if t.Degree == output.Wholly && !slices.ContainsFunc(all, lost) {
		return t.Of + " is back" + after + t.Text
	}
	return "over" + after + t.String()
}

// same finds the trouble that a person takes for the same.
func same(t *play.Trouble) func(play.Trouble) bool {
	return func(o play.Trouble) bool {
		return o.Of == t.Of && o.Cause == t.Cause && o.Who == t.Who && o.Degree == t.Degree
	}
}

// wrongOf is what pages show of it, the gravest first.
func wrongOf(all []play.Trouble) []web.Wrong {
	out := []web.Wrong{}
	for _, t := range reasons(all) {
		if t.Degree > output.Aside {
			out = append(out, web.Wrong{Of: t.Of, Text: t.Text, Hint: t.Hint, Since: t.Since.Format("15:04:05"), Lost: t.Degree == output.Wholly})
		}
	}
	return out
}
