package line

import (
	"slices"

	"lampblack/source"
)

// Steering are the keys that steer a run, of one piece or of an evening, and so are no
// triggers.
const Steering = " hgbldtqnfusxreciz"

// keyNames are the keys with names of their own that a trigger may be; letters and
// digits are the others. Presenters and buttons that plug in as a keyboard type
// these. Escape is none: terminals begin other keys with it.
var keyNames = []string{"f1", "f2", "f3", "f4", "f5", "f6", "f7", "f8", "f9", "f10", "f11", "f12",
	"up", "down", "left", "right", "home", "end", "pageup", "pagedown", "insert", "delete", "tab"}

// key reads the name of a key.
func (p *triggerReader) key(w word) {
	p.out.Place = w.text
	switch {
	case w.text == "" || slices.Contains(keyNames, w.text):
	case len(w.text) > 1:
		p.fault(w, source.Suggest(w.text, keyNames), "got %q, want a letter, a digit, or one of %s", w.text, list(keyNames))
	case !plain(w.text[0]):
		p.fault(w, "", "got %q, want a letter from a to z, a digit, or one of %s", w.text, list(keyNames))
	case slices.Contains([]byte(Steering), w.text[0]):
		p.fault(w, "take a digit or f1 to f12", "got %q, a key that steers the run", w.text)
	}
}

func plain(c byte) bool { return 'a' <= c && c <= 'z' || '0' <= c && c <= '9' }
