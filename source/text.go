package source

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Text is a file open for changing single values. Every change cuts bytes out
// and puts bytes in; comments, blank lines, order and line ends survive.
type Text struct {
	file  string
	bom   []byte
	data  []byte
	lines []int // offset of each line's first byte
	root  *yaml.Node
	edits []edit
}

type edit struct {
	from, to int
	text     string
}

// OpenText takes a file's bytes. A file that is not well formed cannot be
// changed.
func OpenText(file string, data []byte) (*Text, Faults) {
	r := &reading{file: file}
	root := r.parse(data)
	if root == nil {
		return nil, r.faults
	}
	t := &Text{file: file, root: root}
	if rest, found := bytes.CutPrefix(data, []byte("\uFEFF")); found {
		t.bom, data = data[:3], rest
	}
	t.data = data
	t.lines = []int{0}
	for i, c := range data {
		if c == '\n' {
			t.lines = append(t.lines, i+1)
		}
	}
	return t, nil
}

// Find follows keys (string) and list places (int, from 0) from the root and
// returns where the value stands.
func (t *Text) Find(path ...any) (Pos, bool) {
	n := t.node(path...)
	if n == nil {
		return Pos{}, false
	}
	return Pos{t.file, n.Line, n.Column}, true
}

func (t *Text) node(path ...any) *yaml.Node {
	n := t.root
	for _, step := range path {
		switch step := step.(type) {
		case string:
			n = child(n, step)
		case int:
			if n.Kind != yaml.SequenceNode || step < 0 || step >= len(n.Content) {
				return nil
			}
			n = n.Content[step]
		default:
			panic(fmt.Sprintf("source: a path holds a %T", step))
		}
		if n == nil {
			return nil
		}
	}
	return n
}

func child(n *yaml.Node, key string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// at returns the node that begins at pos.
func (t *Text) at(pos Pos) *yaml.Node {
	var find func(n *yaml.Node) *yaml.Node
	find = func(n *yaml.Node) *yaml.Node {
		for _, c := range n.Content {
			if found := find(c); found != nil {
				return found
			}
		}
		// Children first: a block mapping begins where its first key does.
		if n.Line == pos.Line && n.Column == pos.Column {
			return n
		}
		return nil
	}
	return find(t.root)
}

// offset turns a line and a column of characters into a byte offset.
func (t *Text) offset(line, column int) int {
	if line > len(t.lines) {
		return len(t.data) // an absent value stands behind the end
	}
	at := t.lines[line-1]
	for range column - 1 {
		if at >= len(t.data) {
			break
		}
		_, size := utf8.DecodeRune(t.data[at:])
		at += size
	}
	return at
}

// Set replaces the scalar at pos by a scalar text, which must be written as
// YAML wants it (Quote helps).
func (t *Text) Set(pos Pos, value string) error {
	n := t.at(pos)
	if n == nil || n.Kind != yaml.ScalarNode {
		return fmt.Errorf("%v: no single value stands here", pos)
	}
	from, to, err := t.scalar(n)
	if err == nil {
		t.edits = append(t.edits, edit{from, to, value})
	}
	return err
}

// scalar returns the bytes that a scalar on one line takes.
func (t *Text) scalar(n *yaml.Node) (from, to int, err error) {
	from = t.offset(n.Line, n.Column)
	rest := t.data[from:]
	end := bytes.IndexByte(rest, '\n')
	if end < 0 {
		end = len(rest)
	}
	rest = rest[:end]
	switch {
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return 0, 0, fmt.Errorf("%s:%d: a block of text is not changed in place", t.file, n.Line)
	case n.Style&yaml.DoubleQuotedStyle != 0:
		to = closing(rest, '"', '\\')
	case n.Style&yaml.SingleQuotedStyle != 0:
		to = closing(rest, '\'', '\'')
	case bytes.HasPrefix(rest, []byte(n.Value)):
		to = len(n.Value)
	}
	if to <= 0 {
		return 0, 0, fmt.Errorf("%s:%d: a value over several lines is not changed in place", t.file, n.Line)
	}
	return from, from + to, nil
}

// closing returns the length of a quoted scalar, quotes included, or 0.
func closing(text []byte, quote, escape byte) int {
	for i := 1; i < len(text); i++ {
		doubled := escape == quote && i+1 < len(text) && text[i+1] == quote
		switch {
		case text[i] == escape && escape != quote, text[i] == quote && doubled:
			i++
		case text[i] == quote:
			return i + 1
		}
	}
	return 0
}

// SetKey sets a key of the mapping at the path, and adds it when it is not
// there.
func (t *Text) SetKey(key, value string, path ...any) error {
	n := t.node(path...)
	if n == nil || n.Kind != yaml.MappingNode || len(n.Content) == 0 {
		return fmt.Errorf("%s: there is no mapping at %v", t.file, path)
	}
	if old := child(n, key); old != nil {
		return t.Set(Pos{t.file, old.Line, old.Column}, value)
	}
	at := t.offset(n.Content[0].Line, n.Content[0].Column)
	text := key + ": " + value
	if n.Style&yaml.FlowStyle != 0 {
		last := n.Content[len(n.Content)-1]
		end, err := t.end(last)
		if err != nil {
			return err
		}
		t.edits = append(t.edits, edit{end, end, ", " + text})
		return nil
	}
	indent := strings.Repeat(" ", n.Content[0].Column-1)
	t.edits = append(t.edits, edit{at, at, text + t.newline() + indent})
	return nil
}

// end returns the offset behind a node in flow style or a scalar.
func (t *Text) end(n *yaml.Node) (int, error) {
	if n.Kind == yaml.ScalarNode {
		_, to, err := t.scalar(n)
		return to, err
	}
	depth := 0
	for i := t.offset(n.Line, n.Column); i < len(t.data); i++ {
		switch c := t.data[i]; c {
		case '{', '[':
			depth++
		case '}', ']':
			if depth--; depth == 0 {
				return i + 1, nil
			}
		case '"', '\'':
			escape := c
			if c == '"' {
				escape = '\\'
			}
			i += max(closing(t.data[i:], c, escape), 1) - 1
		}
	}
	return 0, fmt.Errorf("%s:%d: the end of this value was not found", t.file, n.Line)
}

// Append adds an item, a text of one line, to the list under a key of the
// root. A list that is not there is begun at the end of the file.
func (t *Text) Append(key, item string) error {
	list := child(t.root, key)
	switch {
	case t.root.Kind != yaml.MappingNode || t.root.Style&yaml.FlowStyle != 0:
		return fmt.Errorf("%s: the file is not a block of keys", t.file)
	case list == nil:
		text := key + ":" + t.newline() + "  - " + item + t.newline()
		if !bytes.HasSuffix(t.data, []byte("\n")) {
			text = t.newline() + text
		}
		t.edits = append(t.edits, edit{len(t.data), len(t.data), text})
	case list.Kind != yaml.SequenceNode || len(list.Content) == 0:
		return fmt.Errorf("%s:%d: %s is not a list with items", t.file, list.Line, key)
	case list.Style&yaml.FlowStyle != 0:
		end, err := t.end(list.Content[len(list.Content)-1])
		if err != nil {
			return err
		}
		t.edits = append(t.edits, edit{end, end, ", " + item})
	default:
		_, to := t.item(list, len(list.Content)-1)
		text := strings.Repeat(" ", list.Column-1) + "- " + item + t.newline()
		if to > 0 && t.data[to-1] != '\n' {
			text = t.newline() + text
		}
		t.edits = append(t.edits, edit{to, to, text})
	}
	return nil
}

// Remove takes an item out of the list in block style under a key of the
// root, with the lines that belong to it.
func (t *Text) Remove(key string, item int) error {
	list := child(t.root, key)
	if list == nil || list.Kind != yaml.SequenceNode || list.Style&yaml.FlowStyle != 0 || item < 0 || item >= len(list.Content) {
		return fmt.Errorf("%s: %s has no item %d on lines of its own", t.file, key, item+1)
	}
	if len(list.Content) == 1 {
		return fmt.Errorf("%s: the last item of %s stays", t.file, key)
	}
	from, to := t.item(list, item)
	t.edits = append(t.edits, edit{from, to, ""})
	return nil
}

// item returns the whole lines of an item: from its dash to the last line that
// is indented deeper than the dash.
func (t *Text) item(list *yaml.Node, i int) (from, to int) {
	line := list.Content[i].Line // the item's first line has its dash
	last := line
	for next := line + 1; next <= len(t.lines); next++ {
		text := t.line(next)
		trimmed := bytes.TrimLeft(text, " ")
		blank := len(bytes.TrimSpace(text)) == 0
		if !blank && len(text)-len(trimmed) < list.Column {
			break
		}
		if !blank && trimmed[0] != '#' {
			last = next
		}
	}
	to = len(t.data)
	if last < len(t.lines) {
		to = t.lines[last]
	}
	return t.lines[line-1], to
}

func (t *Text) line(number int) []byte {
	end := len(t.data)
	if number < len(t.lines) {
		end = t.lines[number]
	}
	return t.data[t.lines[number-1]:end]
}

func (t *Text) newline() string {
	if bytes.Contains(t.data, []byte("\r\n")) {
		return "\r\n"
	}
	return "\n"
}

// Bytes returns the file with all changes made, after reading it once more: a
// change that would leave a file that does not read is an error.
func (t *Text) Bytes() ([]byte, error) {
	edits := slices.Clone(t.edits)
	slices.SortStableFunc(edits, func(a, b edit) int { return a.from - b.from })
	out := slices.Clone(t.bom)
	at := 0
	for _, e := range edits {
		if e.from < at {
			return nil, fmt.Errorf("%s: two changes meet in one place", t.file)
		}
		out = append(out, t.data[at:e.from]...)
		out = append(out, e.text...)
		at = e.to
	}
	out = append(out, t.data[at:]...)
	if _, faults := OpenText(t.file, out); faults.Err() != nil {
		return nil, fmt.Errorf("change %s: it would no longer read: %w", t.file, faults.Err())
	}
	return out, nil
}

// Quote writes text as a YAML scalar: plain where that is safe, else in double
// quotes.
func Quote(text string) string {
	printable := strings.IndexFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }) < 0
	plain := text != "" && printable && strings.TrimSpace(text) == text && !strings.ContainsAny(text, "\n\r\t#:{}[],&*!|>'\"%@`\\?") && !strings.HasPrefix(text, "-")
	if plain && !slices.Contains([]string{"yes", "no", "true", "false", "null", "~"}, strings.ToLower(text)) {
		return text
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case !unicode.IsPrint(r):
			fmt.Fprintf(&b, `\U%08x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
