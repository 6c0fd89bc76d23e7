package source

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// At returns the value at a path; false where there is none.
func (t *Text) At(path ...any) (Plain, bool) {
	n := t.node(path...)
	if n == nil {
		return Plain{}, false
	}
	return plainOf(n), true
}

// PutAt puts a value in the place of the one at a path. A key that is not there is added behind
// the others of its mapping, which must be there.
func (t *Text) PutAt(value Plain, path ...any) error {
	if len(path) == 0 {
		return fmt.Errorf("%s: the whole file is not put in place", t.file)
	}
	parent, last := path[:len(path)-1], path[len(path)-1]
	if key, ok := last.(string); ok {
		if n := t.node(parent...); n != nil && n.Kind == yaml.MappingNode && child(n, key) == nil {
			return t.addKey(n, Quote(key)+": "+value.String())
		}
		if n := t.node(path...); n != nil && n.Kind == yaml.ScalarNode && n.Tag == "!!null" && n.Value == "" {
			return t.nothingTo(value.String(), key, parent)
		}
		return t.Put(key, value.String(), parent...)
	}
	list := t.node(parent...)
	i, ok := last.(int)
	if !ok || list == nil || list.Kind != yaml.SequenceNode || i < 0 || i >= len(list.Content) {
		return fmt.Errorf("%s: there is nothing at %v", t.file, path)
	}
	// What stands behind an item on its line stays.
	if n := list.Content[i]; list.Style&yaml.FlowStyle != 0 || n.Kind == yaml.ScalarNode || n.Style&yaml.FlowStyle != 0 {
		end, err := t.end(n)
		if err == nil {
			t.edits = append(t.edits, edit{t.start(n), end, value.String()})
		}
		return err
	}
	from, to := t.item(list, i)
	t.edits = append(t.edits, edit{from, to, strings.Repeat(" ", list.Column-1) + "- " + value.String() + t.newline()})
	return nil
}

// addKey adds a pair behind all others of a mapping.
func (t *Text) addKey(n *yaml.Node, pair string) error {
	if n.Style&yaml.FlowStyle != 0 {
		at := t.start(n) + 1
		if t.data[at-1] != '{' {
			return fmt.Errorf("%s:%d: one pair in a list takes no other key", t.file, n.Line)
		}
		if len(n.Content) > 0 {
			end, err := t.end(n.Content[len(n.Content)-1])
			if err != nil {
				return err
			}
			at, pair = end, ", "+pair
		}
		t.edits = append(t.edits, edit{at, at, pair})
		return nil
	}
	if len(n.Content) == 0 {
		return fmt.Errorf("%s:%d: there is no mapping here", t.file, n.Line)
	}
	_, to := t.entry(n, len(n.Content)-2)
	t.edits = append(t.edits, edit{to, to, t.ownLine(to, strings.Repeat(" ", n.Content[0].Column-1)+pair)})
	return nil
}

// ownLine is a line that is put in at a place, behind the end of the last line where that is
// missing.
func (t *Text) ownLine(at int, line string) string {
	if at > 0 && t.data[at-1] != '\n' {
		return t.newline() + line
	}
	return line + t.newline()
}

// InsertAt puts an item into a list, before the one at the path's last step, or behind all where
// that is how many there are. A list that is not there is begun, in a mapping that is.
func (t *Text) InsertAt(item Plain, path ...any) error {
	if len(path) == 0 {
		return fmt.Errorf("%s: the file itself is no item", t.file)
	}
	parent := path[:len(path)-1]
	i, ok := path[len(path)-1].(int)
	list := t.node(parent...)
	switch {
	case list == nil || list.Kind == yaml.ScalarNode && list.Tag == "!!null":
		return t.beginAt(list, item, parent)
	case !ok || list.Kind != yaml.SequenceNode || i < 0 || i > len(list.Content):
		return fmt.Errorf("%s: there is no list with a place %v", t.file, path)
	case len(list.Content) == 0:
		return t.begin(list, t.items("  ", []string{item.String()}))
	case list.Style&yaml.FlowStyle != 0 && i == 0:
		at := t.start(list.Content[0])
		t.edits = append(t.edits, edit{at, at, item.String() + ", "})
	case list.Style&yaml.FlowStyle != 0:
		at, err := t.end(list.Content[i-1])
		if err != nil {
			return err
		}
		t.edits = append(t.edits, edit{at, at, ", " + item.String()})
	default:
		// Behind the item before: a comment above the one that follows speaks of that.
		at, _ := t.item(list, 0)
		if i > 0 {
			_, at = t.item(list, i-1)
		}
		t.edits = append(t.edits, edit{at, at, t.ownLine(at, strings.Repeat(" ", list.Column-1)+"- "+item.String())})
	}
	return nil
}

// beginAt begins a list with one item, where there is none or nothing behind its key.
func (t *Text) beginAt(list *yaml.Node, item Plain, path []any) error {
	key, ok := "", false
	if len(path) > 0 {
		key, ok = path[len(path)-1].(string)
	}
	switch {
	case !ok:
		return fmt.Errorf("%s: there is no list at %v", t.file, path)
	case len(path) == 1 && list == nil && t.root.Style&yaml.FlowStyle == 0:
		return t.AppendKey(Quote(key), "- "+item.String())
	case list != nil: // a key with nothing behind it
		return t.nothingTo("["+item.String()+"]", key, path[:len(path)-1])
	}
	return t.PutAt(Plain{Kind: PlainList, List: []Plain{item}}, path...)
}

// nothingTo puts a value behind a key that has none.
func (t *Text) nothingTo(value, key string, parent []any) error {
	n := t.node(parent...)
	for i := 0; i < len(n.Content); i += 2 {
		if name := n.Content[i]; name.Value == key {
			_, end, err := t.scalar(name)
			if err != nil {
				return err
			}
			colon := bytes.IndexByte(t.data[end:], ':')
			if colon < 0 {
				return fmt.Errorf("%s:%d: the end of this key was not found", t.file, name.Line)
			}
			t.edits = append(t.edits, edit{end + colon + 1, end + colon + 1, " " + value})
			return nil
		}
	}
	return fmt.Errorf("%s: there is no key %s", t.file, key)
}

// CutAt takes away what is at a path: an item of a list, or a key with its value. What loses all
// that it holds becomes {} or [].
func (t *Text) CutAt(path ...any) error {
	if len(path) == 0 {
		return fmt.Errorf("%s: the whole file is not taken away", t.file)
	}
	parent, last := path[:len(path)-1], path[len(path)-1]
	if key, ok := last.(string); ok {
		if t.node(path...) == nil {
			return fmt.Errorf("%s: there is no %v", t.file, path)
		}
		return t.RemoveKeys([]string{key}, parent...)
	}
	list := t.node(parent...)
	i, ok := last.(int)
	if !ok || list == nil || list.Kind != yaml.SequenceNode || i < 0 || i >= len(list.Content) {
		return fmt.Errorf("%s: there is nothing at %v", t.file, path)
	}
	if len(list.Content) == 1 {
		return t.empty(list, "[]")
	}
	from, to, err := t.cut(list, i, i > 0)
	if err == nil {
		t.edits = append(t.edits, edit{from, to, ""})
	}
	return err
}

// Index finds the item of the list at a path whose key has a value, -1 where none has.
func (t *Text) Index(key, value string, path ...any) int {
	list := t.node(path...)
	if list == nil || list.Kind != yaml.SequenceNode {
		return -1
	}
	return slices.IndexFunc(list.Content, func(n *yaml.Node) bool {
		c := child(n, key)
		return c != nil && c.Kind == yaml.ScalarNode && strings.TrimSpace(c.Value) == value
	})
}

// Count is how many items the list at a path has; 0 where there is none.
func (t *Text) Count(path ...any) int {
	if list := t.node(path...); list != nil && list.Kind == yaml.SequenceNode {
		return len(list.Content)
	}
	return 0
}

// MoveAt moves an item of a list to another place in it, word for word; items are counted from 0, and
// to is the place that it then has. What stands on its lines goes with it, comments above it stay.
func (t *Text) MoveAt(from, to int, path ...any) error {
	list := t.node(path...)
	if list == nil || list.Kind != yaml.SequenceNode || min(from, to) < 0 || max(from, to) >= len(list.Content) {
		return fmt.Errorf("%s: there is no list at %v with the places %d and %d", t.file, path, from, to)
	}
	if from == to {
		return nil
	}
	if list.Style&yaml.FlowStyle != 0 {
		return t.moveInFlow(list, from, to)
	}
	a, b := t.item(list, from)
	at, _ := t.item(list, to)
	if to > from {
		_, at = t.item(list, to)
	}
	text := strings.TrimRight(string(t.data[a:b]), "\r\n")
	t.edits = append(t.edits, edit{at, at, t.ownLine(at, text)}, edit{a, b, ""})
	return nil
}

// moveInFlow gives each place between the two the text of the item that it then has.
func (t *Text) moveInFlow(list *yaml.Node, from, to int) error {
	order := make([]int, len(list.Content))
	for i := range order {
		order[i] = i
	}
	order = slices.Insert(slices.Delete(order, from, from+1), to, from)
	for place, item := range order {
		if place == item {
			continue
		}
		end, err := t.end(list.Content[place])
		if err != nil {
			return err
		}
		stop, err := t.end(list.Content[item])
		if err != nil {
			return err
		}
		t.edits = append(t.edits, edit{t.start(list.Content[place]), end, string(t.data[t.start(list.Content[item]):stop])})
	}
	return nil
}
