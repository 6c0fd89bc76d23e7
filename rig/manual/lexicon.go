package manual

import (
	_ "embed"
	"math/bits"
	"slices"
	"strings"
	"sync"
	"unicode"
)

//go:embed lexicon.txt
var lexiconText string

// sense is what a word or a phrase means; the names are those of lexicon.txt.
type sense string

// phrase is a phrase of the lexicon.
type phrase struct {
	words []string
	sense sense
}

// lexicon has phrases by their first word, the longest first.
var lexicon = sync.OnceValue(func() map[string][]phrase {
	out := map[string][]phrase{}
	for line := range strings.Lines(lexiconText) {
		name, list, found := strings.Cut(line, ":")
		if !found || strings.HasPrefix(line, "#") {
			continue
		}
		for text := range strings.SplitSeq(list, ",") {
			words := strings.Fields(text)
			if len(words) == 0 {
				continue
			}
			at := out[words[0]]
			i := 0
			for i < len(at) && len(at[i].words) >= len(words) {
				i++
			}
			out[words[0]] = append(at[:i:i], append([]phrase{{words, sense(name)}}, at[i:]...)...)
		}
	}
	return out
})

// lights are the kinds of light that a lamp can have, in the order of its slots in most.
var lights = []sense{"red", "green", "blue", "white", "warm white", "cold white", "amber", "lime", "cyan", "magenta", "yellow", "orange", "pink", "violet", "uv"}

// letters are kinds of light as one letter, as in RGBWA.
var letters = map[rune]sense{'r': "red", 'g': "green", 'b': "blue", 'w': "white", 'a': "amber", 'l': "lime", 'c': "cyan", 'y': "yellow", 'm': "magenta", 'o': "orange", 'v': "violet", 'p': "pink"}

// accents folds letters with marks to those without.
var accents = strings.NewReplacer("ä", "a", "ö", "o", "ü", "u", "ß", "ss", "é", "e", "è", "e", "ê", "e", "ë", "e", "á", "a", "à", "a", "â", "a", "ã", "a", "ç", "c", "í", "i", "ì", "i", "î", "i", "ï", "i", "ó", "o", "ò", "o", "ô", "o", "õ", "o", "ú", "u", "ù", "u", "û", "u", "ñ", "n", "å", "a", "ø", "o", "’", "'")

// fold is a word without capitals and marks.
func fold(word string) string { return accents.Replace(strings.ToLower(word)) }

// plain are words that are spelt right and have no sense here, so that none is taken for a
// slip of another.
var plain = func() map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(`the and for that this with them then from into your have has are was were will when what where which
		above below under over until till value values channel channels slot slots function functions mode modes range ranges
		first second third fourth fifth light lights lamp lamps leave start state order other there these those they more most
		here each every after before about between both same than used uses using lower higher number numbers name
		kanal wert werte funktion bereich bedeutung nach und oder mit auf bei zum zur fur canal valeur fonction valor funcion
		through turns turn take takes find done gone some come goes long made make word read ready real bar bars part parts par
		keep kept done down only under like table sheet page unit units type types model test tests stage house hire shop want
		hold hung hand held seconds minutes left right side close cable power volt supply seen shut does side still smoothly smooth says`) {
		out[w] = true
	}
	return out
}()

// meaning looks a folded word up, alone: as it stands, as a slip of a known one, or as
// a word put together from two.
func meaning(word string) (senses []sense, slip string) {
	if s := exact(word); s != "" {
		return []sense{s}, ""
	}
	if len(word) < 4 || plain[word] {
		return nil, ""
	}
	if w, found := strings.CutSuffix(word, "s"); found && exact(w) != "" {
		return []sense{exact(w)}, ""
	}
	if s := compound(word); s != nil {
		return s, ""
	}
	if known := slipOf(word); known != "" {
		return []sense{exact(known)}, known
	}
	return nil, ""
}

func exact(word string) sense {
	for _, p := range lexicon()[word] {
		if len(p.words) == 1 {
			return p.sense
		}
	}
	return ""
}

// compound splits a word that is put together, as German does; the last part comes last.
func compound(word string) []sense {
	for i := len(word) - 3; i >= 3; i-- {
		last := exact(word[i:])
		if last == "" || !longEnough(word[i:]) {
			continue
		}
		first := word[:i]
		for _, joint := range []string{"", "s", "n", "en", "e"} {
			if a := exact(strings.TrimSuffix(first, joint)); a != "" && longEnough(strings.TrimSuffix(first, joint)) {
				return []sense{a, last}
			}
		}
		if len(word[i:]) >= 6 {
			return []sense{last}
		}
	}
	return nil
}

// longEnough keeps short words, which stand in many longer ones by chance, out of
// compounds, but for the names of colours.
func longEnough(part string) bool {
	return len(part) >= 4 || part == "rot" || part == "red" || part == "dim"
}

// slipOf returns the known word that a misspelt or misread one stands for: one letter
// too many, too few, wrong or swapped with the next in words of 4 to 7 letters, two in
// longer ones. Of several as near it is the one that begins alike.
func slipOf(word string) string {
	most := 1
	if len(word) >= 8 {
		most = 2
	}
	best, off := "", most+1
	mask := lettersOf(word)
	for _, k := range slipped() {
		known := k.word
		if len(known)-len(word) > most || len(word)-len(known) > most || bits.OnesCount32(k.mask^mask) > 2*most {
			continue
		}
		d := distance(word, known)
		if len(word) >= 5 && sorted(word) == sorted(known) {
			d = 1
		}
		if known[0] != word[0] {
			d++
		}
		if len(word) == 4 && sorted(word) != sorted(known) {
			continue // too many short words are near to each other
		}
		if d < off || d == off && best != "" && known < best {
			best, off = known, d
		}
	}
	return best
}

// target is a word that another may be a slip of, and which letters it has.
type target struct {
	word string
	mask uint32
}

// slipped lists the words that have a meaning alone and are long enough to be told apart.
var slipped = sync.OnceValue(func() (out []target) {
	for known := range lexicon() {
		if len(known) >= 4 && exact(known) != "" {
			out = append(out, target{known, lettersOf(known)})
		}
	}
	return out
})

// lettersOf has a bit for each letter of a word.
func lettersOf(word string) (mask uint32) {
	for i := range len(word) {
		mask |= 1 << (word[i] & 31)
	}
	return mask
}

// sorted is the letters of a word, in order.
func sorted(word string) string {
	b := []byte(word)
	slices.Sort(b)
	return string(b)
}

// distance counts letters to put in, take out, change, or swap with the next
// (optimal string alignment).
func distance(a, b string) int {
	const most = 40 // longer words are no slips
	if len(a) >= most || len(b) >= most {
		return most
	}
	var rows [most][most]int
	for i := range len(a) + 1 {
		rows[i][0] = i
	}
	for j := range len(b) + 1 {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(a)][len(b)]
}

// colourLetters reads RGBW, RGBAW or RGB+UV; nil for any other word.
func colourLetters(word string) []sense {
	if !strings.HasPrefix(word, "RGB") && len(word) != 1 || strings.IndexFunc(word, unicode.IsLower) >= 0 {
		return nil
	}
	rest, uv := strings.CutSuffix(word, "UV")
	var out []sense
	for _, r := range strings.ToLower(rest) {
		s, known := letters[r]
		if !known {
			return nil
		}
		out = append(out, s)
	}
	if uv {
		out = append(out, "uv")
	}
	return out
}
