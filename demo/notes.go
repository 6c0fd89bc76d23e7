package demo

import (
	"strconv"
	"strings"
)

// hertz returns the frequency of a note such as "A4" or "Bb3", in equal
// temperament at A4 = 440 Hz (ISO 16).
func hertz(note string) float64 {
	letter := strings.IndexByte("C D EF G A B", note[0])
	octave, err := strconv.Atoi(strings.TrimLeft(note[1:], "#b"))
	if letter < 0 || err != nil {
		panic("demo: bad note " + note)
	}
	key := 12*octave + letter + strings.Count(note, "#") - strings.Count(note[1:], "b")
	return 440 * pow2(float64(key-57)/12)
}

// tone is a note of a melody: when it begins and how long it is held, in
// beats from the start of the tune.
type tone struct {
	note       string
	beat, long float64
}

// tune reads a melody: "D4:1 F4:.5 -:2"; "-" is a rest, "|" is for the eye.
func tune(text string) []tone {
	var out []tone
	beat := 0.0
	for _, word := range strings.Fields(strings.ReplaceAll(text, "|", " ")) {
		note, long, _ := strings.Cut(word, ":")
		beats, err := strconv.ParseFloat(long, 64)
		if err != nil {
			panic("demo: bad tune at " + word)
		}
		if note != "-" {
			out = append(out, tone{note, beat, beats})
		}
		beat += beats
	}
	return out
}

// chords are the harmonies of the piece, low to high, in a middle position.
var chords = map[string][]string{
	"Dm": {"D3", "A3", "D4", "F4"}, "G": {"G2", "D3", "G3", "B3"}, "F": {"F2", "C3", "F3", "A3"},
	"C": {"C3", "G3", "C4", "E4"}, "Am": {"A2", "E3", "A3", "C4"}, "Em": {"E2", "B2", "E3", "G3"},
	"Bb": {"Bb2", "F3", "Bb3", "D4"}, "Gm": {"G2", "D3", "G3", "Bb3"}, "A": {"A2", "E3", "A3", "C#4"},
	"D": {"D3", "A3", "D4", "F#4"}, "Bm": {"B2", "F#3", "B3", "D4"}, "F#m": {"F#2", "C#3", "F#3", "A3"},
	"G/F": {"F2", "D3", "G3", "B3"}, "Gmaj": {"G2", "D3", "F#3", "B3"}, "Asus": {"A2", "E3", "A3", "D4"},
	"Eb": {"Eb2", "Bb2", "Eb3", "G3"},
}

// harmony reads one chord a bar: "Dm G F C".
func harmony(text string) [][]string {
	var out [][]string
	for _, name := range strings.Fields(strings.ReplaceAll(text, "|", " ")) {
		chord, known := chords[name]
		if !known {
			panic("demo: unknown chord " + name)
		}
		out = append(out, chord)
	}
	return out
}
