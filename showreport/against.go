package showreport

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Files are the sums of a show's files as a run read them, by name.
type Files map[string]string

// Against says in lines what was another in the night before: the show, its files, how long
// each step took, what failed, and what was set by hand. Lengths that differ by less than a
// tenth, or by less than 10 s, are the same (chosen, no source).
func (r *Report) Against(before *Report, files, were Files) []string {
	lines := []string{}
	say := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	if names := r.newVersions(before); len(names) > 0 {
		say("another version of: %s", strings.Join(names, ", "))
	}
	for _, line := range changedFiles(files, were) {
		say("%s", line)
	}
	for _, line := range r.steps(before) {
		say("%s", line)
	}
	for _, bad := range []struct {
		is    map[string]int
		other map[string]int
		words string
	}{{r.bad(), before.bad(), "new this night: %s"}, {before.bad(), r.bad(), "no more: %s"}} {
		for _, what := range slices.Sorted(maps.Keys(bad.is)) {
			if bad.other[what] == 0 {
				say(bad.words, what)
			}
		}
	}
	if a, b := before.hand(), r.hand(); a != b {
		say("by hand: %s then, %s this night", or(a, "nothing"), or(b, "nothing"))
	}
	return lines
}

// newVersions are the steps whose light, or place in time, is another: what they say of
// themselves, by zone.
func (r *Report) newVersions(before *Report) (names []string) {
	was := map[[2]string]string{}
	for i := range before.Zones {
		for _, s := range before.Zones[i].Steps {
			was[[2]string{before.Zones[i].Name, s.Step}] = s.Version
		}
	}
	for i := range r.Zones {
		for _, s := range r.Zones[i].Steps {
			name := or(s.Step, "the show")
			if v := was[[2]string{r.Zones[i].Name, s.Step}]; v != "" && s.Version != "" && v != s.Version && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names
}

func or(text, none string) string {
	if text == "" {
		return none
	}
	return text
}

// changedFiles says which files are others.
func changedFiles(now, were Files) []string {
	if now == nil || were == nil {
		return nil
	}
	by := map[string][]string{}
	for name, sum := range now {
		switch old, there := were[name]; {
		case !there:
			by["added"] = append(by["added"], name)
		case old != sum:
			by["changed"] = append(by["changed"], name)
		}
	}
	for name := range were {
		if _, there := now[name]; !there {
			by["gone"] = append(by["gone"], name)
		}
	}
	var lines []string
	for _, what := range []string{"changed", "added", "gone"} {
		if names := by[what]; len(names) > 0 {
			slices.Sort(names)
			lines = append(lines, fmt.Sprintf("files %s: %s", what, strings.Join(names, ", ")))
		}
	}
	return lines
}

// took is how long each step took in its longest pass, by zone and name.
func (r *Report) took() map[[2]string]float64 {
	out := map[[2]string]float64{}
	for i := range r.Zones {
		for _, s := range r.Zones[i].Steps {
			key := [2]string{r.Zones[i].Name, s.Step}
			out[key] = max(out[key], s.Length)
		}
	}
	return out
}

// steps says which steps took another time, or came in one night alone.
func (r *Report) steps(before *Report) []string {
	now, then := r.took(), before.took()
	name := func(key [2]string) string {
		if len(r.Zones) == 1 {
			return or(key[1], "the show")
		}
		return key[0] + ", " + or(key[1], "the show")
	}
	keys := slices.SortedFunc(maps.Keys(now), func(a, b [2]string) int { return strings.Compare(a[0]+"\x00"+a[1], b[0]+"\x00"+b[1]) })
	var lines []string
	for _, key := range keys {
		a, was := then[key]
		b := now[key]
		switch d := max(a-b, b-a); {
		case !was:
			lines = append(lines, name(key)+" was not played the night before")
		case d > 10 && d > a/10:
			word := "longer"
			if b < a {
				word = "shorter"
			}
			lines = append(lines, fmt.Sprintf("%s took %s, %s by %s", name(key), lasts(b), word, lasts(d)))
		}
	}
	for _, key := range slices.SortedFunc(maps.Keys(then), func(a, b [2]string) int { return strings.Compare(a[0]+"\x00"+a[1], b[0]+"\x00"+b[1]) }) {
		if _, is := now[key]; !is {
			lines = append(lines, name(key)+" was not played this night")
		}
	}
	return lines
}

// bad counts what failed, by what it was and where.
func (r *Report) bad() map[string]int {
	out := map[string]int{}
	for _, h := range r.Happened {
		if h.Bad {
			out[strings.TrimSuffix(h.What+": "+h.Text, ": ")]++
		}
	}
	return out
}

// hand is what was set by hand at the end.
func (r *Report) hand() string {
	text := ""
	for _, h := range r.Happened {
		if h.What == "hand" {
			text = h.Text
		}
	}
	return text
}
