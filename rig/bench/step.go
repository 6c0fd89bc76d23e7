package bench

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Wants is what kind of answer a step asks for.
type Wants string

// Kinds of answers.
const (
	Light    Wants = "light" // which kinds of light: names, or dark, or flashes
	YesNo    Wants = "yes or no"
	Number   Wants = "number"    // of flashes in ten seconds; of seconds
	DataLoss Wants = "data loss" // hold, dark, or program
)

// Step is one thing to look at.
type Step struct {
	Slots  []byte // to send to the lamp, from its first slot on
	Say    string // what is sent, or to be done
	Ask    string // what to look for
	Wants  Wants
	Expect []string // the light that the table says; empty is dark
	Names  []string // kinds of light that may be named
	Before []byte   // of a comparison: sent first
}

// Answer is what a person saw.
type Answer struct {
	Yes     bool     `json:"yes,omitempty"`
	Lights  []string `json:"lights,omitempty"` // none is dark
	Flashes bool     `json:"flashes,omitempty"`
	Number  float64  `json:"number,omitempty"`
	Word    string   `json:"word,omitempty"` // hold, dark, program
}

// Read reads what was typed as an answer to the step; an error says what may be typed.
func (s *Step) Read(text string) (Answer, error) {
	text = strings.ToLower(strings.TrimSpace(text))
	switch s.Wants {
	case YesNo:
		switch {
		case text != "" && strings.HasPrefix("yes", text):
			return Answer{Yes: true}, nil
		case text != "" && strings.HasPrefix("no", text):
			return Answer{}, nil
		}
		return Answer{}, fmt.Errorf("write yes or no")
	case Number:
		if text == "no" || text == "n" {
			return Answer{Number: -1}, nil
		}
		n, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
		if err != nil || n < 0 || n > 1000 {
			return Answer{}, fmt.Errorf("write a number, or no")
		}
		return Answer{Number: n, Yes: true}, nil
	case DataLoss:
		for _, w := range []string{"hold", "dark", "program", "skip"} {
			if text != "" && strings.HasPrefix(w, text) {
				return Answer{Word: w}, nil
			}
		}
		return Answer{}, fmt.Errorf("write hold, dark, program or skip")
	}
	return s.readLight(text)
}

// readLight reads names of light, yes for what was expected, and no for dark.
func (s *Step) readLight(text string) (Answer, error) {
	hint := fmt.Errorf("write yes, dark, flashes, or what shines: %s", strings.Join(s.Names, ", "))
	switch {
	case text == "":
		return Answer{}, hint
	case strings.HasPrefix("yes", text):
		return Answer{Lights: slices.Clone(s.Expect)}, nil
	case text == "no" || text == "dark" || text == "none" || text == "nothing":
		return Answer{}, nil
	}
	var a Answer
	for word := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ',' || r == '+' || r == ';' }) {
		word = strings.TrimSpace(word)
		switch {
		case strings.HasPrefix(word, "flash"):
			a.Flashes = true
		case slices.Contains(s.Names, word):
			a.Lights = append(a.Lights, word)
		default:
			return Answer{}, hint
		}
	}
	return a, nil
}

// same tells whether two lists of light are the same.
func same(a, b []string) bool {
	a, b = slices.Clone(a), slices.Clone(b)
	slices.Sort(a)
	slices.Sort(b)
	return slices.Equal(slices.Compact(a), slices.Compact(b))
}
