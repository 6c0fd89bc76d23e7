package source

import (
	"bytes"
	"errors"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"lampblack/folder"
)

// Limits of a file. A show of ten thousand cues is well inside them.
const (
	MaxBytes = folder.MaxText
	maxDepth = 40
)

// parse returns the root value, or nil after a fault that leaves nothing to
// read. What the parser would tell badly, or take long over, is looked at before it: size,
// encoding, tabs, emptiness. Aliases are refused after it, before anything follows them;
// a tree with aliases can be far larger than its file.
func (r *reading) parse(data []byte) *yaml.Node {
	if len(data) > MaxBytes {
		r.faults.Add(Pos{File: r.file}, "a show is text written by hand; is this the right file?", "the file is larger than %d MiB", MaxBytes>>20)
		return nil
	}
	data, ok := r.clean(data)
	if !ok {
		return nil
	}
	var doc yaml.Node
	if !written(data) {
		r.faults.Add(Pos{r.file, 1, 1}, "", "the file is empty")
		return nil
	}
	if err := yaml.Load(data, &doc); err != nil {
		r.syntax(err)
		return nil
	}
	root := &doc
	if root.Kind == yaml.DocumentNode && len(root.Content) == 1 {
		root = root.Content[0]
	}
	if root.Kind == 0 || root.Tag == "!!null" {
		r.faults.Add(Pos{r.file, 1, 1}, "", "the file is empty")
		return nil
	}
	before := len(r.faults)
	r.plain(root, 0)
	if len(r.faults) > before {
		return nil
	}
	return root
}

// written tells whether any line holds more than a comment.
func written(data []byte) bool {
	for line := range bytes.Lines(data) {
		if text := bytes.TrimSpace(line); len(text) > 0 && text[0] != '#' {
			return true
		}
	}
	return false
}

// clean looks at the bytes: encoding, byte order mark, line ends and tabs. What does no
// harm is told mildly and read all the same.
func (r *reading) clean(data []byte) ([]byte, bool) {
	at := Pos{r.file, 1, 1}
	if bytes.HasPrefix(data, []byte{0xFF, 0xFE}) || bytes.HasPrefix(data, []byte{0xFE, 0xFF}) {
		r.faults.Add(at, "save it as UTF-8", "the file is UTF-16")
		return nil, false
	}
	if rest, found := bytes.CutPrefix(data, []byte("\uFEFF")); found {
		r.mild(at, "the file begins with a byte order mark, which is not needed")
		data = rest
	}
	line := 1
	for i := 0; i < len(data); {
		c, size := utf8.DecodeRune(data[i:])
		if c == utf8.RuneError && size == 1 || c == 0 {
			r.faults.Add(Pos{r.file, line, 0}, "save it as UTF-8 text", "the file is not UTF-8 text")
			return nil, false
		}
		if c == '\n' {
			line++
		}
		i += size
	}
	if i := bytes.Index(data, []byte("\r\n")); i >= 0 {
		r.mild(Pos{r.file, 1 + bytes.Count(data[:i], []byte("\n")), 0}, "lines end in carriage return and line feed; they are read as they are and kept")
	}
	return data, !r.tabs(data)
}

func (r *reading) mild(pos Pos, format string, args ...any) {
	r.faults.Note(pos, "", format, args...)
}

// tabs reports every line that is indented with a tab, which YAML forbids and
// whose own message about it misleads.
func (r *reading) tabs(data []byte) bool {
	found := false
	for i, line := range bytes.Split(data, []byte("\n")) {
		indent := line[:len(line)-len(bytes.TrimLeft(line, " \t"))]
		if at := bytes.IndexByte(indent, '\t'); at >= 0 && len(bytes.TrimSpace(line)) > 0 {
			r.faults.Add(Pos{r.file, i + 1, at + 1}, "use spaces", "the line is indented with a tab")
			found = true
		}
	}
	return found
}

// syntax turns the parser's errors into faults at their places.
func (r *reading) syntax(err error) {
	var many *yaml.LoadErrors
	var one *yaml.LoadError
	switch {
	case errors.As(err, &many) && len(many.Errors) > 0:
		for _, e := range many.Errors {
			r.syntaxAt(e)
		}
	case errors.As(err, &one):
		r.syntaxAt(one)
	default:
		text, _, _ := strings.Cut(err.Error(), "\n")
		r.faults.Add(Pos{r.file, 1, 1}, "", "the text is not well formed: %s", strings.TrimPrefix(text, "yaml: "))
	}
}

// syntaxAt adds one error of the parser's. Its words are its own and may be of a
// programmer's sort; its place is what helps.
func (r *reading) syntaxAt(e *yaml.LoadError) {
	text := e.Message
	if e.ContextMsg != "" {
		text = e.ContextMsg + ", " + text
	}
	r.faults.Add(Pos{r.file, max(e.Mark.Line, 1), e.Mark.Column}, "", "the text is not well formed: %s", text)
}

// plain refuses what a show's file does not use: anchors and aliases, tags of
// its own, and very deep nesting.
func (r *reading) plain(n *yaml.Node, depth int) {
	switch {
	case depth > maxDepth:
		r.fault(n, "", "values are nested more than %d deep", maxDepth)
		return
	case n.Kind == yaml.AliasNode || n.Anchor != "":
		r.fault(n, "write the value out", "anchors and aliases are not used in a show's files")
		return
	case n.Style&yaml.TaggedStyle != 0:
		r.fault(n, "remove it", "the tag %s is not used in a show's files", n.Tag)
		return
	}
	for _, c := range n.Content {
		r.plain(c, depth+1)
	}
}
