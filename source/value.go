package source

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Value is one value in a file, for types that implement Reader. It holds the reading
// that it came from, and is of use only as long as that lasts.
type Value struct {
	node *yaml.Node
	read *reading
}

// Reader is a type with a form of its own in a file. ReadSource takes the
// value apart and reports what is wrong with Fault.
type Reader interface{ ReadSource(v Value) }

// Ref is a name together with the place where it was written.
type Ref struct {
	Name string
	Pos  Pos
}

func (r Ref) String() string { return r.Name }

// Pos returns where the value begins.
func (v Value) Pos() Pos { return v.read.pos(v.node) }

// Fault reports something wrong with the value.
func (v Value) Fault(hint, format string, args ...any) {
	v.read.faults.Add(v.Pos(), hint, format, args...)
}

// IsMap tells whether the value is a mapping.
func (v Value) IsMap() bool { return v.node.Kind == yaml.MappingNode }

// IsList tells whether the value is a sequence.
func (v Value) IsList() bool { return v.node.Kind == yaml.SequenceNode }

// IsText tells whether the value is a scalar that is not empty.
func (v Value) IsText() bool { return v.node.Kind == yaml.ScalarNode && v.node.Tag != "!!null" }

// Text returns the scalar's text; for a mapping or list it reports a fault.
func (v Value) Text() string {
	if !v.IsText() {
		v.Fault("", "this should be a single value, not %s", kind(v.node))
		return ""
	}
	v.seen(false)
	return strings.TrimSpace(v.node.Value)
}

// Name is Text for a name, which stands on one line.
func (v Value) Name() Ref {
	if !v.IsText() {
		return Ref{v.Text(), v.Pos()}
	}
	v.seen(true)
	return Ref{strings.TrimSpace(v.node.Value), v.Pos()}
}

// seen reports control characters: nothing of a show means any, and on a
// terminal they act instead of being seen. In a text they are mild, and lines
// and tabs are none; a name that holds one could pass for several lines.
func (v Value) seen(name bool) {
	text := strings.TrimSpace(v.node.Value)
	i := strings.IndexFunc(text, func(r rune) bool { return unicode.IsControl(r) && (name || r != '\n' && r != '\t') })
	if i < 0 {
		return
	}
	r, _ := utf8.DecodeRuneInString(text[i:])
	const reason = "%q holds %s, a control character, which is not seen"
	if name {
		v.Fault("leave it out", reason, text, Visible(string(r)))
		return
	}
	v.read.mild(v.Pos(), reason+"; leave it out", text, Visible(string(r)))
}

// Each calls f for every entry of a mapping, in order; a value of another kind
// is a fault. Repeated keys are faults too.
func (v Value) Each(f func(key Ref, value Value)) {
	if !v.IsMap() {
		v.Fault("", "this should be a mapping of names to values, not %s", kind(v.node))
		return
	}
	seen := map[string]int{}
	for i := 0; i < len(v.node.Content); i += 2 {
		k := v.node.Content[i]
		key := Ref{strings.TrimSpace(k.Value), v.read.pos(k)}
		Value{k, v.read}.seen(true)
		if k.Kind != yaml.ScalarNode {
			v.read.faults.Add(key.Pos, "", "a key should be a plain name")
			continue
		}
		if line, twice := seen[key.Name]; twice {
			v.read.faults.Add(key.Pos, fmt.Sprintf("the first is on line %d", line), "%q stands here twice", key.Name)
			continue
		}
		seen[key.Name] = key.Pos.Line
		f(key, Value{v.node.Content[i+1], v.read})
	}
}

// List returns the items of a sequence; a single scalar is a list of one, and
// nothing is an empty list.
func (v Value) List() []Value {
	switch {
	case v.IsList():
		out := make([]Value, len(v.node.Content))
		for i, n := range v.node.Content {
			out[i] = Value{n, v.read}
		}
		return out
	case v.node.Tag == "!!null":
		return nil
	}
	return []Value{v}
}

// Into decodes the value into dst, a pointer, by the rules of Decode.
func (v Value) Into(dst any) { v.read.into(v.node, pointer(dst), "") }

// kind is what a fault calls a value that is of the wrong kind.
func kind(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "a mapping"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case n.Tag == "!!null":
		return "nothing"
	}
	return fmt.Sprintf("%q", n.Value)
}
