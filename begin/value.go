package begin

import (
	"math"
	"strconv"
	"strings"

	"lampblack/source"
)

// plainOf is keys with values; those that are nothing are left out.
func plainOf(pairs ...source.Pair) source.Plain {
	out := source.Plain{Kind: source.PlainPairs}
	for _, one := range pairs {
		if one.Value.Kind != source.PlainNothing {
			out.Pairs = append(out.Pairs, one)
		}
	}
	return out
}

func pair(key string, value source.Plain) source.Pair { return source.Pair{Key: key, Value: value} }

// word is a text, nothing where it is "".
func word(text string) source.Plain {
	if text == "" {
		return source.Plain{}
	}
	return source.TextOf(text)
}

// metres is a length, to a centimetre.
func metres(v float64) source.Plain {
	return source.TextOf(strconv.FormatFloat(centimetres(v), 'f', -1, 64) + " m")
}

// centimetres rounds to them, without a negative zero.
func centimetres(v float64) float64 { return math.Round(v*100)/100 + 0 }

func point(v ...float64) source.Plain {
	out := source.Plain{Kind: source.PlainList}
	for _, x := range v {
		out.List = append(out.List, metres(x))
	}
	return out
}

func number(n int) source.Plain { return source.TextOf(strconv.Itoa(n)) }

func list(items ...string) source.Plain {
	out := source.Plain{Kind: source.PlainList}
	for _, text := range items {
		out.List = append(out.List, source.TextOf(text))
	}
	return out
}

// fits tells whether numbers lie in a range; what is no number lies in none.
func fits(low, high float64, v ...float64) bool {
	for _, x := range v {
		if !(x >= low && x <= high) {
			return false
		}
	}
	return true
}

// named is a name as a person types it, with the blanks at its ends taken off.
func named(text string) string { return strings.Join(strings.Fields(text), " ") }
