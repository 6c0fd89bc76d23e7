package osc_test

import (
	"regexp"
	"strings"
	"testing"

	"lampblack/wire/osc"

	"pgregory.net/rapid"
)

// The rules of OSC 1.0, "OSC Message Dispatching and Pattern Matching", one by one.
func TestMatch(t *testing.T) {
	for pattern, names := range map[string]map[string]bool{
		"/a":             {"/a": true, "/b": false, "/ab": false, "/a/b": false, "/": false},
		"/a?":            {"/ab": true, "/a": false, "/abc": false},
		"/*":             {"/": true, "/abc": true, "/a/b": false},
		"/*/door":        {"/a/door": true, "//door": true, "/door": false},
		"/a*b*c":         {"/abc": true, "/axxbyyc": true, "/acb": false},
		"/[abc]":         {"/a": true, "/d": false, "/": false, "/ab": false},
		"/[a-c1-3]":      {"/b": true, "/2": true, "/d": false, "/-": false},
		"/[!a-c]":        {"/d": true, "/b": false, "/!": true},
		"/[a!]":          {"/!": true, "/a": true, "/b": false},
		"/[a-]":          {"/-": true, "/a": true, "/b": false},
		"/[c-a]":         {"/b": false},
		"/{door,gate}/1": {"/door/1": true, "/gate/1": true, "/doo/1": false, "/door,gate/1": false},
		"/{a,ab}c":       {"/ac": true, "/abc": true, "/bc": false},
		"/{a,}b":         {"/ab": true, "/b": true},
		"/[a":            {"/a": false}, "/{a": {"/a": false}, "/a]": {"/a]": false}, "/a}": {"/a": false}, "/a,b": {"/a,b": false},
	} {
		for address, want := range names {
			if got := osc.Match(pattern, address); got != want {
				t.Errorf("%s on %s: %v", pattern, address, got)
			}
		}
	}
}

// The same as a regular expression of Go's library that says the same.
func TestMatchAsExpression(t *testing.T) {
	escape := func(s string) string { return regexp.QuoteMeta(s) }
	rapid.Check(t, func(t *rapid.T) {
		pattern, expression := "", "^"
		for range rapid.IntRange(0, 8).Draw(t, "tokens") {
			plain := rapid.StringMatching("[ab.]{0,2}")
			switch rapid.IntRange(0, 5).Draw(t, "kind") {
			case 0:
				pattern, expression = pattern+"*", expression+"[^/]*"
			case 1:
				pattern, expression = pattern+"?", expression+"[^/]"
			case 2:
				x, y := plain.Draw(t, "x"), plain.Draw(t, "y")
				pattern, expression = pattern+"{"+x+","+y+"}", expression+"("+escape(x)+"|"+escape(y)+")"
			case 3:
				pattern, expression = pattern+"[!a]", expression+"[^/a]"
			case 4:
				pattern, expression = pattern+"/", expression+"/"
			default:
				x := plain.Draw(t, "x")
				pattern, expression = pattern+x, expression+escape(x)
			}
		}
		address := rapid.StringMatching("[ab./]{0,8}").Draw(t, "address")
		if got, want := osc.Match(pattern, address), regexp.MustCompile(expression+"$").MatchString(address); got != want {
			t.Fatalf("%s on %s: %v", pattern, address, got)
		}
	})
}

// A hostile pattern as long as a packet costs steps, not seconds: what backtracking
// would take longer for than anybody lives.
func TestMatchOfHostilePatterns(t *testing.T) {
	address := "/" + strings.Repeat("a", 60) + "b"
	for _, p := range []string{"/" + strings.Repeat("*a", 10000), "/" + strings.Repeat("{a,aa,aaa}", 5000), "/" + strings.Repeat("{a,", 20000)} {
		if osc.Match(p, address) {
			t.Errorf("%.20s... matches", p)
		}
	}
}
