package source

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Text is a file open for changing single values. Every change cuts bytes out
// and puts bytes in; comments, blank lines, order and line ends survive.
//
// Changes are gathered and made at once by [Text.Bytes]: until then all places are
// those of the file as it was opened, and two changes may not overlap. A list or mapping
// stands in block style, on lines of its own behind dashes or keys, or in flow style,
// in brackets or braces; each change knows both.
type Text struct {
	file string
	bom  []byte
	// The file without its mark; all offsets count in it.
	data  []byte
	lines []int // offset of each line's first byte
	root  *yaml.Node
	edits []edit

	values map[[2]int]*yaml.Node // by line and column, once they were sought
	last   struct{ line, column, offset int }
}

// edit puts text in the place of the bytes from up to to. With from = to it puts in.
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

// node is the value at a path, or nil.
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

// child is the value of a key of a mapping, or nil. Keys and values stand in turns.
func child(n *yaml.Node, key string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// at returns the value that begins at pos. A key is none: a mapping in block
// style begins where its first key does.
func (t *Text) at(pos Pos) *yaml.Node {
	if t.values == nil { // found once, for a file of which every value is changed
		t.values = map[[2]int]*yaml.Node{}
		t.find(t.root)
	}
	return t.values[[2]int{pos.Line, pos.Column}]
}

// find notes where the values of a tree begin; of those that begin at one place, the outermost.
func (t *Text) find(n *yaml.Node) {
	place := [2]int{n.Line, n.Column}
	// A list in a list, or a mapping in a list, begins where its first part does. The outer
	// one is reached first.
	if t.values[place] == nil {
		t.values[place] = n
	}
	for i, c := range n.Content {
		if n.Kind != yaml.MappingNode || i%2 != 0 {
			t.find(c)
		}
	}
}

// offset turns a line and a column of characters into a byte offset. Places are asked
// for in rising order as a rule, so it goes on from the last one on the same line.
func (t *Text) offset(line, column int) int {
	if line > len(t.lines) {
		return len(t.data) // an absent value stands behind the end
	}
	at, from := t.lines[line-1], 1
	if t.last.line == line && t.last.column <= column { // a file of one long line is walked once
		at, from = t.last.offset, t.last.column
	}
	for range column - from {
		if at >= len(t.data) {
			break
		}
		_, size := utf8.DecodeRune(t.data[at:])
		at += size
	}
	t.last.line, t.last.column, t.last.offset = line, column, at
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

// scalar returns the bytes that a scalar on one line takes. The parser tells where a
// value begins and not where it ends: the end of a quoted one is sought, a plain one is
// as long as its text, which is how it stands in the file if it is all on this line.
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
	// A plain value over several lines reads as one line with blanks, which is not in the file.
	case bytes.HasPrefix(rest, []byte(n.Value)):
		to = len(n.Value)
	}
	if to <= 0 {
		return 0, 0, fmt.Errorf("%s:%d: a value over several lines is not changed in place", t.file, n.Line)
	}
	return from, from + to, nil
}

// closing returns the length of a quoted scalar, quotes included, or 0. In double
// quotes a backslash takes the next byte with it; in single quotes a quote within is
// written twice, which escape = quote stands for.
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
// there: in block style as its first key, where the indent is known and no comment at
// its end is in the way; in braces as its last.
func (t *Text) SetKey(key, value string, path ...any) error {
	n := t.node(path...)
	if n == nil || n.Kind != yaml.MappingNode || len(n.Content) == 0 && n.Style&yaml.FlowStyle == 0 {
		return fmt.Errorf("%s: there is no mapping at %v", t.file, path)
	}
	if old := child(n, key); old != nil {
		return t.Set(Pos{t.file, old.Line, old.Column}, value)
	}
	text := key + ": " + value
	if n.Style&yaml.FlowStyle != 0 {
		// A pair alone in a list, [a: 1], is a mapping without braces.
		at, comma := t.start(n)+1, ""
		if t.data[at-1] != '{' {
			return fmt.Errorf("%s:%d: one pair in a list takes no other key", t.file, n.Line)
		}
		if len(n.Content) > 0 {
			end, err := t.end(n.Content[len(n.Content)-1])
			if err != nil {
				return err
			}
			at, comma = end, ", "
		} else if slices.ContainsFunc(t.edits, func(e edit) bool { return e.from == at && e.to == at }) {
			comma = "," + t.newline() + strings.Repeat(" ", n.Column) // behind a key that was added before
		}
		t.edits = append(t.edits, edit{at, at, comma + text})
		return nil
	}
	at := t.start(n.Content[0])
	indent := strings.Repeat(" ", n.Content[0].Column-1)
	t.edits = append(t.edits, edit{at, at, text + t.newline() + indent})
	return nil
}

// Put puts a value, written on one line, in the place of the one under a key of the mapping at the path,
// whatever that is: a list or a mapping goes with its lines. The key is added where it is not there.
func (t *Text) Put(key, value string, path ...any) error {
	n := t.node(path...)
	if n == nil || n.Kind != yaml.MappingNode {
		return fmt.Errorf("%s: there is no mapping at %v", t.file, path)
	}
	for i := 0; i < len(n.Content); i += 2 {
		name, old := n.Content[i], n.Content[i+1]
		switch {
		case name.Value != key:
		case old.Kind == yaml.ScalarNode:
			return t.Set(Pos{t.file, old.Line, old.Column}, value)
		case old.Style&yaml.FlowStyle != 0:
			end, err := t.end(old)
			if err == nil {
				t.edits = append(t.edits, edit{t.start(old), end, value})
			}
			return err
		default:
			return t.putBlock(name, old, value)
		}
	}
	return t.SetKey(key, value, path...)
}

// putBlock puts a value behind a key in the place of the lines of a list or mapping in block style.
func (t *Text) putBlock(name, old *yaml.Node, value string) error {
	_, end, err := t.scalar(name)
	if err != nil {
		return err
	}
	colon := bytes.IndexByte(t.data[end:], ':')
	if colon < 0 {
		return fmt.Errorf("%s:%d: the end of this key was not found", t.file, name.Line)
	}
	at, last := end+colon+1, len(old.Content)-1
	var from, to int
	if old.Kind == yaml.SequenceNode {
		from, _ = t.item(old, 0)
		_, to = t.item(old, last)
	} else {
		from, _ = t.entry(old, 0)
		_, to = t.entry(old, last-1)
	}
	if from < at {
		return fmt.Errorf("%s:%d: this value does not stand on lines of its own", t.file, old.Line)
	}
	t.edits = append(t.edits, edit{at, at, " " + value}, edit{from, to, ""})
	return nil
}

// AppendKey adds a key of the root that is not there, with the lines of its value, at the end of the file.
func (t *Text) AppendKey(key string, lines ...string) error {
	if t.root.Kind != yaml.MappingNode || t.root.Style&yaml.FlowStyle != 0 || child(t.root, key) != nil {
		return fmt.Errorf("%s: the file is not a block of keys, or has %s", t.file, key)
	}
	text := key + ":" + t.newline()
	if !bytes.HasSuffix(t.data, []byte("\n")) {
		text = t.newline() + text
	}
	for _, line := range lines {
		text += "  " + line + t.newline()
	}
	t.edits = append(t.edits, edit{len(t.data), len(t.data), text})
	return nil
}

// SwapKey puts another key with a value of its own in the place of a key whose
// value is a scalar.
func (t *Text) SwapKey(old, key, value string, path ...any) error {
	n := t.node(path...)
	if n == nil || n.Kind != yaml.MappingNode {
		return fmt.Errorf("%s: there is no mapping at %v", t.file, path)
	}
	for i := 0; i < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if k.Value != old {
			continue
		}
		from, to, err := t.scalar(k)
		if err == nil {
			err = t.Set(Pos{t.file, v.Line, v.Column}, value)
		}
		if err == nil {
			t.edits = append(t.edits, edit{from, to, key})
		}
		return err
	}
	return fmt.Errorf("%s: there is no %s at %v", t.file, old, path)
}

// RenameKey gives a key of the mapping at the path another name; its value stays.
func (t *Text) RenameKey(old, key string, path ...any) error {
	n := t.node(path...)
	if n == nil || n.Kind != yaml.MappingNode {
		return fmt.Errorf("%s: there is no mapping at %v", t.file, path)
	}
	for i := 0; i < len(n.Content); i += 2 {
		if n.Content[i].Value == old {
			from, to, err := t.scalar(n.Content[i])
			if err == nil {
				t.edits = append(t.edits, edit{from, to, key})
			}
			return err
		}
	}
	return fmt.Errorf("%s: there is no %s at %v", t.file, old, path)
}

// Keys lists the keys of the mapping at the path, as the file has them; none where there is
// no mapping.
func (t *Text) Keys(path ...any) (out []string) {
	n := t.node(path...)
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i < len(n.Content); i += 2 {
		out = append(out, n.Content[i].Value)
	}
	return out
}

// RemoveKeys takes keys with their values out of the mapping at the path, with
// the lines that belong to them. A mapping that loses all of them becomes {}.
func (t *Text) RemoveKeys(keys []string, path ...any) error {
	n := t.node(path...)
	if n == nil || n.Kind != yaml.MappingNode {
		return fmt.Errorf("%s: there is no mapping at %v", t.file, path)
	}
	kept := 0
	for i := 0; i < len(n.Content); i += 2 {
		if !slices.Contains(keys, n.Content[i].Value) {
			kept++
		}
	}
	flow := n.Style&yaml.FlowStyle != 0
	if kept == 0 && len(n.Content) > 0 {
		return t.empty(n, "{}")
	}
	// In braces a comma goes with each pair: the one behind it while no pair before it stays,
	// else the one before it.
	before := false // whether an entry before i stays
	for i := 0; i < len(n.Content); i += 2 {
		if !slices.Contains(keys, n.Content[i].Value) {
			before = true
			continue
		}
		var from, to int
		var err error
		switch {
		case !flow:
			from, to = t.entry(n, i)
		case !before:
			from, to = t.start(n.Content[i]), t.start(n.Content[i+2])
		default:
			if from, err = t.end(n.Content[i-1]); err == nil {
				to, err = t.end(n.Content[i+1])
			}
		}
		if err != nil {
			return err
		}
		t.edits = append(t.edits, edit{from, to, ""})
	}
	return nil
}

// entry returns the whole lines of a key of a mapping in block style and its
// value: to the last line that is indented deeper than the key.
func (t *Text) entry(n *yaml.Node, i int) (from, to int) {
	return t.block(n.Content[i].Line, n.Content[i].Column)
}

// empty puts {} or [] in the place of all that a mapping or a list holds. In block
// style its lines go, and what is put in stands on a line of its own, deeper than the key
// that holds it, so that it reads as that key's value.
func (t *Text) empty(n *yaml.Node, with string) error {
	if n.Style&yaml.FlowStyle != 0 {
		end, err := t.end(n)
		if err == nil {
			t.edits = append(t.edits, edit{t.start(n), end, with})
		}
		return err
	}
	first, last := 0, len(n.Content)-1
	var from, to int
	if n.Kind == yaml.SequenceNode {
		from, _ = t.item(n, first)
		_, to = t.item(n, last)
	} else {
		from, _ = t.entry(n, first)
		_, to = t.entry(n, last-1)
	}
	column := max(n.Column, 2) // deeper than the key that holds it
	t.edits = append(t.edits, edit{from, to, strings.Repeat(" ", column-1) + with + t.newline()})
	return nil
}

// end returns the offset behind a node in flow style or a scalar. The parser does not
// tell it: from the end of the last part the closing bracket is looked for, and anything
// else than what may stand before it means that something was not understood; then
// nothing is changed.
func (t *Text) end(n *yaml.Node) (int, error) {
	at := t.start(n)
	if n.Kind == yaml.ScalarNode {
		return t.scalarEnd(n)
	}
	braced := at < len(t.data) && (t.data[at] == '{' || t.data[at] == '[')
	at++
	if len(n.Content) > 0 {
		last, err := t.end(n.Content[len(n.Content)-1])
		if err != nil || !braced { // one pair in a list needs no braces
			return last, err
		}
		at = last
	}
	for ; at < len(t.data); at++ { // blanks, a comma and comments may stand behind the last
		switch c := t.data[at]; c {
		case '}', ']':
			return at + 1, nil
		case '#':
			at += max(bytes.IndexByte(t.data[at:], '\n'), 0)
		case ' ', '\t', '\r', '\n', ',':
		default:
			return 0, fmt.Errorf("%s:%d: the end of this value was not found", t.file, n.Line)
		}
	}
	return 0, fmt.Errorf("%s:%d: the end of this value was not found", t.file, n.Line)
}

// scalarEnd is the end of a scalar, which may go over several lines in quotes.
func (t *Text) scalarEnd(n *yaml.Node) (int, error) {
	at, length := t.start(n), 0
	switch {
	case n.Tag == "!!null" && n.Value == "": // left out
		return at, nil
	case n.Style&yaml.DoubleQuotedStyle != 0:
		length = closing(t.data[at:], '"', '\\')
	case n.Style&yaml.SingleQuotedStyle != 0:
		length = closing(t.data[at:], '\'', '\'')
	default:
		_, to, err := t.scalar(n)
		return to, err
	}
	if length == 0 {
		return 0, fmt.Errorf("%s:%d: the end of this value was not found", t.file, n.Line)
	}
	return at + length, nil
}

// Append adds items, each a text of one line, to the list under a key of the
// root. A list that is not there is begun at the end of the file.
func (t *Text) Append(key string, items ...string) error {
	list := child(t.root, key)
	switch {
	case len(items) == 0:
		return nil
	case t.root.Kind != yaml.MappingNode || t.root.Style&yaml.FlowStyle != 0:
		return fmt.Errorf("%s: the file is not a block of keys", t.file)
	case list == nil:
		text := key + ":" + t.newline() + t.items("  ", items)
		if !bytes.HasSuffix(t.data, []byte("\n")) {
			text = t.newline() + text
		}
		t.edits = append(t.edits, edit{len(t.data), len(t.data), text})
		return nil
	}
	return t.add(list, key, "  ", items)
}

// AppendTo adds items, each a text of one line, to the list at the path, which is there.
func (t *Text) AppendTo(items []string, path ...any) error {
	list := t.node(path...)
	if list == nil {
		return fmt.Errorf("%s: there is no list at %v", t.file, path)
	}
	indent := strings.Repeat(" ", len(t.line(list.Line))-len(bytes.TrimLeft(t.line(list.Line), " "))+2)
	return t.add(list, fmt.Sprint(path[len(path)-1]), indent, items)
}

// items are the lines of items in block style.
func (t *Text) items(indent string, items []string) string {
	text := ""
	for _, item := range items {
		text += indent + "- " + item + t.newline()
	}
	return text
}

// add adds items to a list that is there; indent is for the lines of one that is empty.
func (t *Text) add(list *yaml.Node, name, indent string, items []string) error {
	switch {
	case list.Kind != yaml.SequenceNode:
		return fmt.Errorf("%s:%d: %s is not a list", t.file, list.Line, name)
	case list.Style&yaml.FlowStyle != 0 && len(list.Content) == 0:
		return t.begin(list, t.items(indent, items))
	case list.Style&yaml.FlowStyle != 0:
		end, err := t.end(list.Content[len(list.Content)-1])
		if err != nil {
			return err
		}
		t.edits = append(t.edits, edit{end, end, ", " + strings.Join(items, ", ")})
	default:
		_, to := t.item(list, len(list.Content)-1)
		text := t.items(strings.Repeat(" ", list.Column-1), items)
		if to > 0 && t.data[to-1] != '\n' {
			text = t.newline() + text
		}
		t.edits = append(t.edits, edit{to, to, text})
	}
	return nil
}

// begin puts the lines of a list in the place of [], and of the blanks before
// it. What stands behind it on its line, a comment, stays on the key's line:
//
//	cues: []  # none yet        cues:  # none yet
//	                              - {cue: 1}
func (t *Text) begin(list *yaml.Node, lines string) error {
	from, err := t.end(list)
	if err != nil {
		return err
	}
	at := t.start(list)
	line := t.line(list.Line)
	start := t.lines[list.Line-1]
	for at > start && (t.data[at-1] == ' ') {
		at--
	}
	rest := start + len(line)
	if at == start { // on a line of its own
		t.edits = append(t.edits, edit{start, rest, lines})
		return nil
	}
	text := lines
	if !bytes.HasSuffix(line, []byte("\n")) {
		text = t.newline() + text
	}
	t.edits = append(t.edits, edit{at, from, ""}, edit{rest, rest, text})
	return nil
}

// Clear takes all items out of the list under a key of the root, which stays
// and is empty.
func (t *Text) Clear(key string) error {
	list := child(t.root, key)
	if list == nil || list.Kind != yaml.SequenceNode {
		return fmt.Errorf("%s: there is no list %s", t.file, key)
	}
	if len(list.Content) == 0 {
		return nil
	}
	return t.empty(list, "[]")
}

// Remove takes items out of the list under a key of the root, with the lines
// that belong to them. A list that loses all of them goes, its key with it.
func (t *Text) Remove(key string, items ...int) error {
	list := child(t.root, key)
	if len(items) == 0 {
		return nil
	}
	if list == nil || list.Kind != yaml.SequenceNode {
		return fmt.Errorf("%s: there is no list %s", t.file, key)
	}
	gone := map[int]bool{}
	for _, i := range items {
		if i < 0 || i >= len(list.Content) {
			return fmt.Errorf("%s: %s has no item %d", t.file, key, i+1)
		}
		gone[i] = true
	}
	if len(gone) > 0 && len(gone) == len(list.Content) {
		return t.removeKey(key)
	}
	kept := false // whether an item before i stays
	for i := range list.Content {
		if !gone[i] {
			kept = true
			continue
		}
		from, to, err := t.cut(list, i, kept)
		if err != nil {
			return err
		}
		t.edits = append(t.edits, edit{from, to, ""})
	}
	return nil
}

// cut returns the bytes that go when an item goes: its lines, or in flow style
// it and the comma that parts it from one that stays. With keptBefore false a later
// item stays: the caller has seen to that.
func (t *Text) cut(list *yaml.Node, i int, keptBefore bool) (from, to int, err error) {
	if list.Style&yaml.FlowStyle == 0 {
		from, to = t.item(list, i)
		return from, to, nil
	}
	if !keptBefore {
		next := list.Content[i+1]
		return t.start(list.Content[i]), t.start(next), nil
	}
	if from, err = t.end(list.Content[i-1]); err == nil {
		to, err = t.end(list.Content[i])
	}
	return from, to, err
}

func (t *Text) start(n *yaml.Node) int { return t.offset(n.Line, n.Column) }

// removeKey takes a key of the root out, with its value. The last key stays.
func (t *Text) removeKey(key string) error {
	if t.root.Style&yaml.FlowStyle != 0 || t.Alone(key) {
		return fmt.Errorf("%s: %s is all that the file holds, or does not stand on lines of its own", t.file, key)
	}
	var name *yaml.Node
	for i := 0; i < len(t.root.Content); i += 2 {
		if t.root.Content[i].Value == key {
			name = t.root.Content[i]
		}
	}
	list := child(t.root, key)
	from, to := t.lines[name.Line-1], 0
	if list.Style&yaml.FlowStyle == 0 {
		_, to = t.item(list, len(list.Content)-1)
	} else {
		end, err := t.end(list)
		if err != nil {
			return err
		}
		to = len(t.data)
		if i := bytes.IndexByte(t.data[end:], '\n'); i >= 0 {
			to = end + i + 1
		}
	}
	t.edits = append(t.edits, edit{from, to, ""})
	return nil
}

// Alone tells whether a key is the only one of the root.
func (t *Text) Alone(key string) bool {
	return len(t.root.Content) == 2 && t.root.Content[0].Value == key
}

// Item returns an item of the list under a key of the root as it stands in the
// file, word for word, as lines of a list that is indented by two. With a
// mapping of keys to values, the single values under those keys of the item are
// others.
func (t *Text) Item(key string, i int, with map[string]string) (string, error) {
	list := child(t.root, key)
	if list == nil || list.Kind != yaml.SequenceNode || i < 0 || i >= len(list.Content) {
		return "", fmt.Errorf("%s: %s has no item %d", t.file, key, i+1)
	}
	n := list.Content[i]
	flow := list.Style&yaml.FlowStyle != 0
	from, to := 0, 0
	if flow {
		var err error
		from = t.start(n)
		if to, err = t.end(n); err != nil {
			return "", err
		}
	} else {
		from, to = t.item(list, i)
	}
	text, err := t.spliced(n, from, to, with)
	if err != nil {
		return "", err
	}
	if flow {
		return "  - " + text + t.newline(), nil
	}
	// Lines of a block lose the indent of their list, as far as they have it, and get two
	// blanks: lines of a text in quotes may be indented less.
	var b strings.Builder
	for line := range strings.Lines(text) {
		if strings.TrimSpace(line) == "" {
			b.WriteString(line)
			continue
		}
		outer := min(len(line)-len(strings.TrimLeft(line, " ")), list.Column-1)
		b.WriteString("  " + line[outer:])
	}
	if !strings.HasSuffix(text, "\n") {
		b.WriteString(t.newline())
	}
	return b.String(), nil
}

// spliced is a piece of the file with single values of the item in it replaced.
func (t *Text) spliced(item *yaml.Node, from, to int, with map[string]string) (string, error) {
	var changes []edit
	for key, value := range with {
		n := child(item, key)
		if n == nil {
			return "", fmt.Errorf("%s:%d: there is no %s here", t.file, item.Line, key)
		}
		a, b, err := t.scalar(n)
		if err != nil {
			return "", err
		}
		changes = append(changes, edit{a - from, b - from, value})
	}
	slices.SortFunc(changes, func(a, b edit) int { return b.from - a.from })
	text := string(t.data[from:to])
	for _, c := range changes {
		text = text[:c.from] + c.text + text[c.to:]
	}
	return text, nil
}

// Replace puts other items, as Item gives them, in the place of all items of
// the list under a key of the root.
func (t *Text) Replace(key string, items []string) error {
	list := child(t.root, key)
	if list == nil || list.Kind != yaml.SequenceNode || len(list.Content) == 0 || len(items) == 0 {
		return fmt.Errorf("%s: there is no list %s with items", t.file, key)
	}
	text := strings.Join(items, "")
	if list.Style&yaml.FlowStyle == 0 {
		from, _ := t.item(list, 0)
		_, to := t.item(list, len(list.Content)-1)
		t.edits = append(t.edits, edit{from, to, text})
		return nil
	}
	end, err := t.end(list)
	if err == nil {
		t.edits = append(t.edits, edit{t.start(list), end, t.newline() + strings.TrimRight(text, "\r\n")})
	}
	return err
}

// item returns the whole lines of an item: from its dash to the last line that
// is indented deeper than the dash. The value may begin below its dash, behind comments,
// so the dash is sought upwards in the list's column.
func (t *Text) item(list *yaml.Node, i int) (from, to int) {
	line := list.Content[i].Line // most often the line of its dash
	for first := line; first >= list.Line; first-- {
		if text := t.line(first); len(text) >= list.Column && text[list.Column-1] == '-' {
			line = first
			break
		}
	}
	return t.block(line, list.Column)
}

// block returns the lines from one on to the last that is indented to a column
// or deeper; blank lines and comments at its end do not belong to it: they more often
// speak of what follows.
func (t *Text) block(line, column int) (from, to int) {
	last := line
	for next := line + 1; next <= len(t.lines); next++ {
		text := t.line(next)
		trimmed := bytes.TrimLeft(text, " ")
		blank := len(bytes.TrimSpace(text)) == 0
		if !blank && len(text)-len(trimmed) < column {
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

// line is a line of the file, counted from 1, with its end.
func (t *Text) line(number int) []byte {
	end := len(t.data)
	if number < len(t.lines) {
		end = t.lines[number]
	}
	return t.data[t.lines[number-1]:end]
}

// newline is the end of line that the file uses.
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
	// The net under all of the above: whatever was cut wrongly, a file that does not read is
	// not written.
	if _, faults := OpenText(t.file, out); faults.Err() != nil {
		return nil, fmt.Errorf("change %s: it would no longer read: %w", t.file, faults.Err())
	}
	return out, nil
}

// timeColon is a colon in a time, 0:31.2: nothing that stands beside it makes it a mark.
var timeColon = regexp.MustCompile(`(\d):(\d)`)

// dash is a hyphen that may be taken for the mark of an item: none is before a digit, as in -2 m.
var dash = regexp.MustCompile(`^-(?:\D|$)`)

// Quote writes text as a YAML scalar: plain where that is safe, else in double
// quotes. Safe is what holds none of YAML's marks anywhere, not only where they would
// act (but for the colon of a time and the sign of per cent behind a number), and is none of
// the words that some reader takes for something else. A number stays plain: what it is, the
// struct decides.
func Quote(text string) string {
	printable := strings.IndexFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }) < 0
	marks := timeColon.ReplaceAllString(strings.TrimSuffix(text, " %"), "$1$2")
	plain := text != "" && printable && strings.TrimSpace(text) == text && !strings.ContainsAny(marks, "\n\r\t#:{}[],&*!|>'\"%@`\\?") && !dash.MatchString(text)
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
		// YAML's escape of eight hexadecimal digits.
		case !unicode.IsPrint(r):
			fmt.Fprintf(&b, `\U%08x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
