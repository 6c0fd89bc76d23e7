package source

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// plainDistance is optimal string alignment as its definition has it (Boytsov,
// "Indexing methods for approximate dictionary searching", 2011, section 2.1),
// without a table.
func plainDistance(a, b []rune) int {
	switch {
	case len(a) == 0:
		return len(b)
	case len(b) == 0:
		return len(a)
	}
	m, n := len(a)-1, len(b)-1
	cost := 1
	if a[m] == b[n] {
		cost = 0
	}
	d := min(plainDistance(a[:m], b)+1, plainDistance(a, b[:n])+1, plainDistance(a[:m], b[:n])+cost)
	if m > 0 && n > 0 && a[m] == b[n-1] && a[m-1] == b[n] {
		d = min(d, plainDistance(a[:m-1], b[:n-1])+1)
	}
	return d
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, {"ca", "abc", 3}, {"level", "levle", 1}, {"", "abc", 3}, {"abc", "", 3}, {"same", "same", 0}, {"Füße", "Fuße", 1},
		{strings.Repeat("a", 64), strings.Repeat("a", 63), 1}, {strings.Repeat("a", 64), strings.Repeat("b", 64), 64},
		{strings.Repeat("a", 65), strings.Repeat("a", 65), 64}, {strings.Repeat("a", 60), strings.Repeat("a", 65), 64}, {strings.Repeat("a", 65), strings.Repeat("a", 60), 64}, {strings.Repeat("ä", 64), strings.Repeat("ä", 64), 0}, // not worth computing
	} {
		if got := distance(c.a, c.b); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.StringMatching("[abc]{0,6}").Draw(t, "a"), rapid.StringMatching("[abc]{0,6}").Draw(t, "b")
		if got, want := distance(a, b), plainDistance([]rune(a), []rune(b)); got != want {
			t.Fatalf("%q to %q: %d, want %d", a, b, got, want)
		}
	})
}

// One letter and a third of them may differ; the nearest is named, the first of
// several.
func TestSuggest(t *testing.T) {
	known := []string{"colour", "level", "lux", "glow", "flash", "look", "lock"}
	for name, want := range map[string]string{
		"color": "colour", "Colour": "colour", "cloour": "colour", "levle": "level", "lxu": "lux", "lu": "lux", "qu": "", "luu": "lux", "xyz": "", "": "", "flsh": "flash",
		"fla": "flash", "fl": "", "loook": "look", "lick": "lock", "leevvl": "level", "lllevl": "level", "llleevl": "level", "abcdef": "", "GLOW": "glow",
	} {
		text := ""
		if want != "" {
			text = `did you mean "` + want + `"?`
		}
		if got := Suggest(name, known); got != text {
			t.Errorf("%q: %s, want %s", name, got, text)
		}
	}
	if got := Suggest("look", []string{"looks", "looky"}); got != `did you mean "looks"?` {
		t.Errorf("of two equally near: %s", got)
	}
	for _, c := range []struct {
		known []string
		want  string
	}{
		{nil, "none is defined"}, {[]string{"one"}, "there is one"},
		{strings.Split("abcdefghijkl", ""), "there is a, b, c, d, e, f, g, h, i, j, k, l"},
		{strings.Split("abcdefghijklm", ""), "there are a, b, c, d, e, f, g, h, i, j, k, l and more"},
		{[]string{"one", "elephants"}, `did you mean "elephants"?`},
	} {
		if got := OneOf("elephant", c.known); got != c.want {
			t.Errorf("%v: %s, want %s", c.known, got, c.want)
		}
	}
}

func TestNamed(t *testing.T) {
	var list Named[int]
	for i, name := range []string{"a", "b", "c"} {
		list.add(Ref{Name: name, Pos: Pos{"f", i + 1, 2}}).Elem().SetInt(int64(10 * i))
	}
	if got := strings.Join(Names(list), " "); got != "a b c" {
		t.Errorf("names %s", got)
	}
	for i, name := range []string{"a", "b", "c"} {
		if list.Index(name) != i || *list.Get(name) != 10*i || list[i].Pos.Line != i+1 {
			t.Errorf("%s is %+v at %d", name, list.Get(name), list.Index(name))
		}
	}
	if list.Index("d") != -1 || list.Get("d") != nil {
		t.Error("what is not there is found")
	}
}

// Places print as compilers print them; faults with what to do in brackets.
func TestFaultText(t *testing.T) {
	for _, c := range []struct {
		fault Fault
		want  string
	}{
		{Fault{Pos: Pos{"a.yaml", 3, 7}, Text: "no", Hint: "do"}, "a.yaml:3:7: no (do)"},
		{Fault{Pos: Pos{"a.yaml", 3, 0}, Text: "no"}, "a.yaml:3: no"},
		{Fault{Pos: Pos{File: "a.yaml"}, Text: "no"}, "a.yaml: no"},
		{Fault{Text: "no", Hint: "do"}, "no (do)"},
	} {
		if got := c.fault.Error(); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
	var list Faults
	if list.Err() != nil || list.Error() != "" {
		t.Errorf("no faults are %v", list.Err())
	}
	list.Add(Pos{"b", 1, 1}, "", "third %d", 3)
	list.Add(Pos{"a", 2, 1}, "", "second")
	list.Add(Pos{"a", 1, 9}, "", "z")
	list.Add(Pos{"a", 1, 9}, "", "y")
	list.Add(Pos{"a", 1, 2}, "do", "first")
	list.Add(Pos{"a", 1, 9}, "", "z") // again
	list.Sort()
	if got, want := list.Error(), "a:1:2: first (do)\na:1:9: y\na:1:9: z\na:2:1: second\nb:1:1: third 3"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if list.Err() == nil {
		t.Error("five faults are none")
	}
	if mild := (Faults{{Text: "x", Mild: true}}); mild.Err() != nil {
		t.Error("a mild fault is grave")
	}
	// A text of 400 characters stands whole, one of 401 is cut.
	for n, want := range map[int]int{400: 400, 401: 401} {
		list = nil
		list.Add(Pos{}, strings.Repeat("ä", n), "%s", strings.Repeat("ä", n))
		for _, text := range []string{list[0].Text, list[0].Hint} {
			if got := len([]rune(text)); got != want || strings.HasSuffix(text, "…") != (n == 401) {
				t.Errorf("of %d characters %d stand: %s", n, got, text[len(text)-8:])
			}
		}
	}
}
