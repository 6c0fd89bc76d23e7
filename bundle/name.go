package bundle

import (
	"io/fs"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"
)

// mostName bounds a name in bytes: Windows holds paths of 259 characters if not told
// otherwise (Microsoft, "Maximum Path Length Limitation"), a part of which is the folder.
const mostName = 180

// unheld says why a name cannot be that of a file on every system; "" when it can. What
// Windows reserves is as Microsoft lists it ("Naming Files, Paths, and Namespaces").
func unheld(name string) string {
	switch {
	case !utf8.ValidString(name):
		return "it is not written in UTF-8"
	case !fs.ValidPath(name) || name == ".":
		return "it leads out of the folder"
	case len(name) > mostName:
		return "it is too long"
	case strings.ContainsAny(name, `\:*?"<>|`):
		return `it has one of the characters \ : * ? " < > |`
	case strings.ContainsFunc(name, func(r rune) bool { return unicode.IsControl(r) || r == utf8.RuneError }):
		return "it has a character that cannot be seen"
	}
	for part := range strings.SplitSeq(name, "/") {
		switch {
		case strings.HasPrefix(part, "."):
			return "it begins with a point"
		case strings.HasSuffix(part, ".") || strings.TrimSpace(part) != part:
			return "it ends with a point, or begins or ends with a space"
		case reserved(part):
			return "Windows keeps this name for a device"
		}
	}
	return ""
}

// reserved tells whether Windows takes a name for a device, whatever its ending.
func reserved(part string) bool {
	stem, _, _ := strings.Cut(strings.ToUpper(part), ".")
	switch stem = strings.TrimRight(stem, " "); stem {
	case "CON", "PRN", "AUX", "NUL":
		return true
	}
	return len(stem) == 4 && (strings.HasPrefix(stem, "COM") || strings.HasPrefix(stem, "LPT")) && stem[3] >= '0' && stem[3] <= '9'
}

// names finds those that stand for the same file on a system that does not tell small
// letters from capitals, or for a file and a folder at once.
type names map[string]string // folded to as written; "/" behind a folder

// add returns the name that is there already, or "".
func (n names) add(name string) (other string) {
	folded := fold(name)
	if other, ok := n[folded]; ok {
		return other
	}
	for dir := path.Dir(name); dir != "."; dir = path.Dir(dir) {
		there, ok := n[fold(dir)]
		if ok && there != dir+"/" {
			return there // a file, or the same folder written otherwise
		}
		n[fold(dir)] = dir + "/"
	}
	n[folded] = name
	return ""
}

// fold takes each letter to the first of those that differ from it in size alone.
func fold(name string) string {
	return strings.Map(func(r rune) rune {
		least := r
		for f := unicode.SimpleFold(r); f != r; f = unicode.SimpleFold(f) {
			least = min(least, f)
		}
		return least
	}, name)
}

// slug is a title as a name that is easy to type: small letters, digits, hyphens.
func slug(title string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(title) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case r == '\'' || r == '’':
		case !strings.HasSuffix(b.String(), "-") && b.Len() > 0:
			b.WriteByte('-')
		}
		if b.Len() >= 40 {
			break
		}
	}
	out := strings.Trim(b.String(), "-")
	if out == "" || reserved(out) {
		return "show"
	}
	return out
}
