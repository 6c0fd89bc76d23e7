package osc

import "strings"

// Match tells whether an address pattern, as a message holds it, names an address
// (OSC 1.0, "OSC Message Dispatching and Pattern Matching"): part by part between the
// slashes,
//
//	?       any one character
//	*       any characters, none too
//	[a-z_]  one of these; [!a-z] one of no others
//	{a,bc}  one of these strings
//
// A pattern that is not well formed names nothing. It takes at most as many steps as
// the product of both lengths, whatever the pattern.
func Match(pattern, address string) bool {
	for {
		var p, a string
		var more, also bool
		p, pattern, more = strings.Cut(pattern, "/")
		a, address, also = strings.Cut(address, "/")
		if more != also || !matchPart(p, a) {
			return false
		}
		if !more {
			return true
		}
	}
}

// matchPart follows all ways through a part at once: at holds how much of it may have
// been taken so far.
func matchPart(pattern, part string) bool {
	at := make([]bool, len(part)+1)
	at[0] = true
	for pattern != "" {
		token, rest, ok := next(pattern)
		if !ok {
			return false
		}
		at, pattern = token.step(at, part), rest
	}
	return at[len(part)]
}

// token is a piece of a pattern: any run of characters, one of a set, or one of some
// strings.
type token struct {
	run     bool
	set     func(c byte) bool
	strings []string
}

// next cuts the first token off.
func next(pattern string) (t token, rest string, ok bool) {
	c, rest := pattern[0], pattern[1:]
	switch c {
	case '*':
		return token{run: true}, rest, true
	case '?':
		return token{set: func(byte) bool { return true }}, rest, true
	case '[':
		inside, rest, ok := strings.Cut(rest, "]")
		return token{set: setOf(inside)}, rest, ok
	case '{':
		inside, rest, ok := strings.Cut(rest, "}")
		return token{strings: strings.Split(inside, ",")}, rest, ok
	case ']', '}', ',':
		return token{}, "", false
	}
	return token{set: func(b byte) bool { return b == c }}, rest, true
}

// setOf reads the inside of brackets. A minus at the end, and "!" elsewhere than in
// front, mean themselves.
func setOf(inside string) func(byte) bool {
	inside, not := strings.CutPrefix(inside, "!")
	var in [256]bool
	for i := 0; i < len(inside); i++ {
		from, to := inside[i], inside[i]
		if i+2 < len(inside) && inside[i+1] == '-' {
			to = inside[i+2]
			i += 2
		}
		for c := int(from); c <= int(to); c++ {
			in[c] = true
		}
	}
	return func(c byte) bool { return in[c] != not }
}

// step takes the token wherever the way so far has come to.
func (t token) step(at []bool, part string) []bool {
	out := make([]bool, len(at))
	run := false
	for i, here := range at {
		run = run || here
		switch {
		case t.run:
			out[i] = run
		case !here:
		case t.set != nil:
			if i < len(part) && t.set(part[i]) {
				out[i+1] = true
			}
		default:
			for _, s := range t.strings {
				if strings.HasPrefix(part[i:], s) {
					out[i+len(s)] = true
				}
			}
		}
	}
	return out
}
