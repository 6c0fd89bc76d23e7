package main

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
)

// node is a text file of a random show as a tree: a single value, a list or a
// mapping. Faults are changes of the tree; print writes it in one of the many
// ways that YAML has to say the same.
type node struct {
	kind kind
	text string  // of a single value
	raw  bool    // print text as it is, even if that is no YAML
	keys []*node // of a mapping, one for each of kids
	kids []*node
}

type kind int

const (
	single kind = iota
	list
	mapping
)

func v(text string) *node         { return &node{text: text} }
func vf(f string, a ...any) *node { return v(fmt.Sprintf(f, a...)) }
func seq(kids ...*node) *node     { return &node{kind: list, kids: kids} }
func names(all []string) *node    { return seq(each(all, v)...) }
func each[T any](a []T, f func(T) *node) (out []*node) {
	for _, x := range a {
		out = append(out, f(x))
	}
	return out
}

// m builds a mapping from keys and values in turn; a nil value leaves its key out.
func m(pairs ...any) *node {
	n := &node{kind: mapping}
	for i := 0; i+1 < len(pairs); i += 2 {
		switch value := pairs[i+1].(type) {
		case *node:
			if value != nil {
				n.set(pairs[i].(string), value)
			}
		case string:
			n.set(pairs[i].(string), v(value))
		}
	}
	return n
}

func (n *node) set(key string, value *node) {
	n.keys, n.kids = append(n.keys, v(key)), append(n.kids, value)
}

func (n *node) get(key string) *node {
	for i, k := range n.keys {
		if k.text == key {
			return n.kids[i]
		}
	}
	return nil
}

func (n *node) clone() *node {
	c := *n
	c.keys, c.kids = nil, nil
	for _, k := range n.keys {
		c.keys = append(c.keys, k.clone())
	}
	for _, k := range n.kids {
		c.kids = append(c.kids, k.clone())
	}
	return &c
}

// spot is a place in a tree: the i-th child of in, under key if in is a mapping.
type spot struct {
	in  *node
	i   int
	key string // the nearest key above
}

func (s spot) node() *node { return s.in.kids[s.i] }

// spots are all places of a tree, the deepest last.
func (n *node) spots() []spot {
	var out []spot
	var walk func(n *node, key string)
	walk = func(n *node, key string) {
		for i, k := range n.kids {
			under := key
			if n.kind == mapping {
				under = n.keys[i].text
			}
			out = append(out, spot{n, i, under})
			walk(k, under)
		}
	}
	walk(n, "")
	return out
}

var plain = regexp.MustCompile(`^[\pL0-9]([\pL\pN ._/%°±²Ω+-]|[0-9]:[0-9])*$`)

// word prints a single value, plain where YAML reads it as text or as the number that is meant.
func word(r *rand.Rand, n *node) string {
	t := n.text
	switch {
	case n.raw:
		return t
	case plain.MatchString(t) && !strings.HasSuffix(t, " ") && !notText[strings.ToLower(t)] && r.IntN(12) > 0:
		return t
	case number.MatchString(t):
		return t
	case r.IntN(3) == 0 && !strings.ContainsFunc(t, func(c rune) bool { return c < ' ' || c == 0x7f || c == 0xfffd || c > 0x2000 && c < 0x2070 }):
		return "'" + strings.ReplaceAll(t, "'", "''") + "'"
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, c := range t {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteRune(c)
		case c < ' ' || c == 0x7f:
			fmt.Fprintf(&b, `\x%02x`, c)
		case c > 0x2000 && c < 0x2070 || c == 0xfeff:
			fmt.Fprintf(&b, `\u%04x`, c)
		default:
			b.WriteRune(c)
		}
	}
	return b.String() + `"`
}

var (
	number  = regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?$`)
	notText = map[string]bool{"yes": false, "no": false, "true": true, "false": true, "null": true, "on": true, "off": false}
)

// print writes a tree as YAML, with a style that r draws.
func (n *node) print(r *rand.Rand) string {
	var b strings.Builder
	if r.IntN(3) == 0 {
		b.WriteString("# drawn by a test\n")
	}
	n.block(&b, r, 0)
	text := b.String()
	switch r.IntN(14) {
	case 0:
		text = strings.ReplaceAll(text, "\n", "\r\n")
	case 1:
		text = "\uFEFF" + text
	case 2:
		text = strings.TrimRight(text, "\n")
	case 3:
		text = "---\n" + text
	}
	return text
}

func (n *node) block(b *strings.Builder, r *rand.Rand, depth int) {
	pad := strings.Repeat("  ", depth)
	switch {
	case n.kind == single:
		b.WriteString(pad + word(r, n) + "\n")
	case len(n.kids) == 0:
		b.WriteString(pad + n.flow(r) + "\n")
	case n.kind == list:
		for _, k := range n.kids {
			b.WriteString(pad + "- " + k.flow(r) + comment(r) + "\n")
		}
	default:
		for i, k := range n.kids {
			b.WriteString(pad + word(r, n.keys[i]) + ":")
			if k.kind == single || len(k.kids) == 0 || depth > 0 && r.IntN(3) > 0 {
				b.WriteString(" " + k.flow(r) + comment(r) + "\n")
				continue
			}
			b.WriteString(comment(r) + "\n")
			k.block(b, r, depth+1)
		}
	}
}

func comment(r *rand.Rand) string {
	if r.IntN(10) > 0 {
		return ""
	}
	return "   # as found, " + strconv.Itoa(r.IntN(100))
}

func (n *node) flow(r *rand.Rand) string {
	parts := make([]string, len(n.kids))
	for i, k := range n.kids {
		parts[i] = k.flow(r)
		if n.kind == mapping {
			parts[i] = word(r, n.keys[i]) + ": " + parts[i]
		}
	}
	switch n.kind {
	case list:
		return "[" + strings.Join(parts, ", ") + "]"
	case mapping:
		return "{" + strings.Join(parts, ", ") + "}"
	}
	return word(r, n)
}
