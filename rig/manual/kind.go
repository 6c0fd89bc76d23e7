package manual

import (
	"slices"
	"strings"
)

// kind is what a slot is for.
type kind uint8

const (
	unclear  kind = iota
	driving       // an emitter
	dimming       // others
	strobing      // cuts light up, or off
	running       // programs, colours, sound
	resting       // speeds and the like: of no use alone
	fanning
	minding // the lamp's own: display, reset
)

// has gathers the senses of words, each once; those behind "if" and "when" are of other
// slots.
func has(toks []token) (out []sense) {
	odd := slices.ContainsFunc(toks, func(t token) bool { return t.kind == isWord && t.senses == nil && len(t.text) > 2 && !t.glued })
	for _, t := range toks {
		if t.kind == isWord && slices.Contains(conditions, fold(t.text)) {
			break
		}
		if t.kind != isWord || odd && len(t.text) == 1 { // "output A" is no amber
			continue
		}
		for _, s := range t.senses {
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

var conditions = []string{"if", "when", "wenn", "falls", "si", "cuando", "while", "leave", "keep", "lassen", "provided", "unless", "only if", "quand", "lorsque"}

func anyOf(list []sense, of ...sense) bool {
	return slices.ContainsFunc(list, func(s sense) bool { return slices.Contains(of, s) })
}

// emitters are the kinds of light that words name.
func emitters(list []sense) (out []sense) {
	for _, s := range list {
		if slices.Contains(lights, s) {
			out = append(out, s)
		}
	}
	// Warm white said as "white, warm" in two languages is one.
	for _, w := range []sense{"warm white", "cold white"} {
		if slices.Contains(out, w) && !(slices.Contains(out, "warm white") && slices.Contains(out, "cold white")) {
			out = slices.DeleteFunc(out, func(s sense) bool { return s == "white" })
		}
	}
	if slices.Contains(out, "uv") {
		out = slices.DeleteFunc(out, func(s sense) bool { return s == "violet" })
	}
	return out
}

// pieces takes a name apart at signs and at "and".
func pieces(toks []token) (out [][]token) {
	from := 0
	for i, t := range toks {
		if t.kind == isBreak && strings.Contains(",;/+()[]\n|:", t.text) || t.kind == isWord && slices.Contains([]string{"and", "und", "et", "y", "oder", "or"}, fold(t.text)) {
			if i > from {
				out = append(out, toks[from:i])
			}
			from = i + 1
		}
	}
	if from < len(toks) {
		out = append(out, toks[from:])
	}
	return out
}

// kindOfPiece is what a piece of a name says that the slot is for.
func kindOfPiece(s []sense) kind {
	switch light := emitters(s); {
	case anyOf(s, "hue", "saturation", "temperature", "curve", "sense"):
		return resting
	case anyOf(s, "time") && !anyOf(s, "strobe"):
		return resting
	case anyOf(s, "time"):
		return resting
	case anyOf(s, "speed"):
		switch {
		case anyOf(s, "strobe", "shutter") && !anyOf(s, "program", "sound"):
			return strobing
		case anyOf(s, "fan"):
			return fanning
		}
		return resting
	case anyOf(s, "reset"):
		return minding
	case anyOf(s, "fan"):
		return fanning
	case anyOf(s, "strobe", "shutter"):
		return strobing
	case len(light) > 0 && anyOf(s, "program") && !anyOf(s, "dim"):
		return running
	case len(light) > 0:
		return driving
	case anyOf(s, "dim"):
		return dimming
	case anyOf(s, "sound", "program", "colour"):
		return running
	case anyOf(s, "display"):
		return minding
	case anyOf(s, "master"):
		return dimming
	case anyOf(s, "pulse", "random"):
		return running
	}
	return unclear
}

// kindOf finds what a slot is for: by its name, else by its ranges.
func kindByWords(name []token, list []part) kind {
	for _, p := range pieces(name) {
		if k := kindOfPiece(has(p)); k != unclear {
			return k
		}
	}
	if n := nonBreaks(name); len(n) == 1 && len(list) > 2 && slices.Contains([]string{"mode", "modus", "modo", "function", "funktion", "fonction", "funcion", "funzione"}, fold(n[0].text)) {
		return running // which light it dims in one of them, it does by itself
	}
	found := map[kind]bool{}
	for _, p := range list {
		for _, piece := range pieces(p.toks) {
			if k := kindOfPiece(has(piece)); k != unclear {
				found[k] = true
				break
			}
		}
	}
	switch {
	case found[dimming]:
		return dimming
	case found[driving] && oneLight(list):
		return driving
	case found[driving] && len(list) == 1:
		return driving
	case found[strobing] && !found[driving] && !found[running] || found[strobing] && len(list) > 1 && strobeFirst(list):
		return strobing
	case found[running] || found[driving]:
		return running
	case found[fanning]:
		return fanning
	case found[resting]:
		return resting
	case found[minding]:
		return minding
	}
	return unclear
}

// oneLight tells whether ranges name one kind of light alone, and one of them dims it: "1-100 uv dim, 101-255 uv
// strobe".
func oneLight(list []part) bool {
	var light []sense
	dims := false
	for _, p := range list {
		s := has(p.toks)
		for _, l := range emitters(s) {
			if !slices.Contains(light, l) {
				light = append(light, l)
			}
			dims = dims || anyOf(s, "dim")
		}
		if anyOf(s, "program", "sound", "colour") {
			return false
		}
	}
	return len(light) == 1 && dims
}

// strobeFirst tells whether flashing is the first thing that ranges do.
func strobeFirst(list []part) bool {
	for _, p := range list {
		s := has(p.toks)
		if anyOf(s, "strobe", "shutter") {
			return true
		}
		if anyOf(s, "program", "sound", "colour") || len(emitters(s)) > 0 {
			return false
		}
	}
	return false
}
