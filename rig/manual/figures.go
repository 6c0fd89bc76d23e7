package manual

import (
	"regexp"
	"strings"
)

// figureWords are numbers as people write them in words, where they count flashes or are a value.
var figureWords = map[string]string{
	"once": "1", "twice": "2", "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9",
	"ten": "10", "twelve": "12", "fifteen": "15", "twenty": "20", "twenty five": "25", "thirty": "30",
	"einmal": "1", "zweimal": "2", "fünfmal": "5", "zehnmal": "10", "zwölfmal": "12", "zwanzigmal": "20",
}

var (
	perWords  = regexp.MustCompile(`(?i)\b(once|twice|einmal|zweimal|fünfmal|zehnmal|zwölfmal|zwanzigmal)(?: times)? (?:a|per|every|pro|in der) (?:second|sec|sekunde)\b`)
	perTimes  = regexp.MustCompile(`(?i)\b(one|two|three|four|five|six|seven|eight|nine|ten|twelve|fifteen|twenty|twenty[ -]five|thirty) (?:times|flashes) (?:a|per|every) (?:second|sec)\b`)
	kCounts   = regexp.MustCompile(`^(\s*\d{1,2}) ?K(\s*[:=])`)
	modeDash  = regexp.MustCompile(`(?i)\b((?:mode|modus|modo|personality|betriebsart) \w{1,3}) ?- ?(\d{1,3} ?-?(?:channels?|ch|kanal|kanäle|slots?|canaux|canales|canali))\b`)
	zeroWords = regexp.MustCompile(`(?i)\b(?:zero|nought|null|zéro|cero)( ?(?:=|:| is | ist | means | heißt | est | es ) ?)`)
)

// figures writes numbers in words as figures, "once a second", "zero is steady", and counts of slots as others
// have them: "4K:", "mode 1 - 3 channels".
func figures(lines []line) []line {
	out := make([]line, len(lines))
	for i, l := range lines {
		for _, form := range []*regexp.Regexp{perWords, perTimes} {
			l.text = form.ReplaceAllStringFunc(l.text, func(s string) string {
				word := strings.ToLower(strings.ReplaceAll(form.FindStringSubmatch(s)[1], "-", " "))
				return figureWords[word] + " per second"
			})
		}
		l.text = kCounts.ReplaceAllString(l.text, "$1 Kanal$2")
		l.text = modeDash.ReplaceAllString(l.text, "$1 ($2)")
		l.text = zeroWords.ReplaceAllString(l.text, "0$1")
		out[i] = l
	}
	return out
}
