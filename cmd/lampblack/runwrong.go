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
}

// wrongText is what is wrong beside the clock, in capitals, each once.
func wrongText(all []play.Trouble) string {
	var words []string
	for i := range all {
		if all[i].Degree == output.Aside {
			continue
		}
		word := capitals[all[i].Cause]
		switch {
		case all[i].Of == play.Computer:
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

// tellWrong says once what has come to be wrong, and once that it is over.
func (l *statusLine) tellWrong(all []play.Trouble) {
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
		if t.Degree > output.Aside && !slices.ContainsFunc(all, same(&t)) {
			l.say("note", "over after "+si.Say(max(time.Since(t.Since).Round(time.Second).Seconds(), 1), "s")+": "+t.String())
		}
	}
	l.wrong.said = all
}

// same finds the trouble that a person takes for the same.
func same(t *play.Trouble) func(play.Trouble) bool {
	return func(o play.Trouble) bool {
		return o.Of == t.Of && o.Cause == t.Cause && o.Who == t.Who && o.Degree == t.Degree
	}
}

// wrongOf is what pages show of it, the gravest first; of one output that gets nothing out
// the first reason alone, for the others follow from it.
func wrongOf(all []play.Trouble) []web.Wrong {
	out, lost := []web.Wrong{}, []string{}
	for i := range all {
		t := &all[i]
		if t.Degree == output.Aside || slices.Contains(lost, t.Of) {
			continue
		}
		if t.Degree == output.Wholly {
			lost = append(lost, t.Of)
		}
		out = append(out, web.Wrong{Of: t.Of, Text: t.Text, Hint: t.Hint, Since: t.Since.Format("15:04:05"), Lost: t.Degree == output.Wholly})
	}
	return out
}
