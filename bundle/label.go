package bundle

import (
	"fmt"
	"strings"
)

// Label says which show a bundle holds, as bag-info.txt does.
type Label struct {
	Title   string
	Version string // of the show: show.Version
	Program string // and its version, that packed it
	Light   []Light
}

// Light is the sum of all frames of a piece: whoever opens the bundle can tell whether
// the same light comes out there.
type Light struct {
	Piece string // "" for a show of one piece
	Sum   string // SHA-256, hex
}

// Labels of bag-info.txt. Those that RFC 8493 (section 2.2.2) has are used as it says.
const (
	keyTitle   = "External-Description"
	keyVersion = "External-Identifier"
	keySize    = "Payload-Oxum" // bytes, a point, files
	keyProgram = "Bag-Software-Agent"
	keyLight   = "Show-Light" // sum, a space, the piece
)

// text is bag-info.txt. A line end in a title would begin another label.
func (l Label) text(bytes int64, files int) string {
	var b strings.Builder
	line := func(key, value string) {
		if value = strings.Join(strings.Fields(value), " "); value != "" {
			fmt.Fprintf(&b, "%s: %s\n", key, value)
		}
	}
	line(keyTitle, l.Title)
	line(keyVersion, l.Version)
	line(keyProgram, l.Program)
	line(keySize, fmt.Sprintf("%d.%d", bytes, files))
	for _, p := range l.Light {
		line(keyLight, p.Sum+" "+p.Piece)
	}
	return b.String()
}

// readLabel reads bag-info.txt, and what it says of the payload's size.
func readLabel(text string) (l Label, size string) {
	for line := range strings.Lines(text) {
		key, value, ok := strings.Cut(line, ":")
		value = strings.TrimSpace(value)
		if !ok || line[0] == ' ' || line[0] == '\t' { // goes on with the line before: none of ours does
			continue
		}
		switch key {
		case keyTitle:
			l.Title = value
		case keyVersion:
			l.Version = value
		case keyProgram:
			l.Program = value
		case keySize:
			size = value
		case keyLight:
			sum, piece, _ := strings.Cut(value, " ")
			l.Light = append(l.Light, Light{Piece: piece, Sum: sum})
		}
	}
	return l, size
}
