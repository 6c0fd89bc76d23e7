package source

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Plain is a value as a file has it, without its place: a text, a list, or keys with values in
// their order. As JSON it is a string, an array or an object whose keys keep their order; null is
// a value that is left out. All single values are texts: "3 s", "60 %", "12".
type Plain struct {
	Kind  PlainKind
	Text  string
	List  []Plain
	Pairs []Pair
}

// Pair is a key with its value.
type Pair struct {
	Key   string
	Value Plain
}

// PlainKind is what a value is.
type PlainKind byte

// What a value is.
const (
	PlainNothing PlainKind = iota
	PlainText
	PlainList
	PlainPairs
)

// TextOf is a single value.
func TextOf(text string) Plain { return Plain{Kind: PlainText, Text: text} }

// Get is the value of a key; nothing where it has none.
func (p Plain) Get(key string) Plain {
	for i := range p.Pairs {
		if p.Pairs[i].Key == key {
			return p.Pairs[i].Value
		}
	}
	return Plain{}
}

// With is the value with a key that has another value, behind the others where it is new; nothing
// takes it away.
func (p Plain) With(key string, value Plain) Plain {
	p.Kind, p.Pairs = PlainPairs, slices.Clone(p.Pairs)
	i := slices.IndexFunc(p.Pairs, func(one Pair) bool { return one.Key == key })
	switch {
	case i >= 0 && value.Kind == PlainNothing:
		p.Pairs = slices.Delete(p.Pairs, i, i+1)
	case i >= 0:
		p.Pairs[i].Value = value
	case value.Kind != PlainNothing:
		p.Pairs = append(p.Pairs, Pair{key, value})
	}
	return p
}

// Same tells whether two values say the same: the order of keys does not count, nor does the way
// in which they are written.
func (p Plain) Same(q Plain) bool {
	if p.Kind != q.Kind || p.Text != q.Text || len(p.List) != len(q.List) || len(p.Pairs) != len(q.Pairs) {
		return false
	}
	for i := range p.List {
		if !p.List[i].Same(q.List[i]) {
			return false
		}
	}
	for i := range p.Pairs {
		if !p.Pairs[i].Value.Same(q.Get(p.Pairs[i].Key)) {
			return false
		}
	}
	return true
}

// String is the value in flow style, on one line.
func (p Plain) String() string {
	var parts []string
	switch p.Kind {
	case PlainText:
		if p.Text == "yes" || p.Text == "no" { // which are texts in YAML 1.2
			return p.Text
		}
		return Quote(p.Text)
	case PlainList:
		for _, v := range p.List {
			parts = append(parts, v.String())
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case PlainPairs:
		for _, one := range p.Pairs {
			parts = append(parts, Quote(one.Key)+": "+one.Value.String())
		}
		return "{" + strings.Join(parts, ", ") + "}"
	}
	return "null"
}

// plainOf is a node without its place.
func plainOf(n *yaml.Node) Plain {
	switch {
	case n.Kind == yaml.SequenceNode:
		p := Plain{Kind: PlainList}
		for _, c := range n.Content {
			p.List = append(p.List, plainOf(c))
		}
		return p
	case n.Kind == yaml.MappingNode:
		p := Plain{Kind: PlainPairs}
		for i := 0; i < len(n.Content); i += 2 {
			p.Pairs = append(p.Pairs, Pair{n.Content[i].Value, plainOf(n.Content[i+1])})
		}
		return p
	case n.Tag == "!!null" && n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) == 0:
		return Plain{}
	}
	return TextOf(strings.TrimSpace(n.Value))
}

// MarshalJSON writes the form that the type's comment shows.
func (p Plain) MarshalJSON() ([]byte, error) {
	switch p.Kind {
	case PlainText:
		return json.Marshal(p.Text)
	case PlainList:
		if p.List == nil {
			return []byte("[]"), nil
		}
		return json.Marshal(p.List)
	case PlainPairs:
		var b bytes.Buffer
		for i, one := range p.Pairs {
			key, err := json.Marshal(one.Key)
			if err != nil {
				return nil, err
			}
			value, err := json.Marshal(one.Value)
			if err != nil {
				return nil, err
			}
			fmt.Fprintf(&b, "%s%s:%s", [2]string{"{", ","}[min(i, 1)], key, value)
		}
		if len(p.Pairs) == 0 {
			b.WriteByte('{')
		}
		b.WriteByte('}')
		return b.Bytes(), nil
	}
	return []byte("null"), nil
}

// deepestPlain bounds how far values lie in one another; no file of a show needs ten.
const deepestPlain = 20

// UnmarshalJSON reads that form; numbers and truths are taken as texts.
func (p *Plain) UnmarshalJSON(data []byte) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	v, err := readPlain(d, 0)
	*p = v
	return err
}

func readPlain(d *json.Decoder, depth int) (Plain, error) {
	if depth > deepestPlain {
		return Plain{}, fmt.Errorf("values lie in one another more than %d deep", deepestPlain)
	}
	token, err := d.Token()
	if err != nil {
		return Plain{}, err
	}
	switch token := token.(type) {
	case string:
		return TextOf(token), nil
	case json.Number:
		return TextOf(token.String()), nil
	case bool:
		return TextOf(strconv.FormatBool(token)), nil
	case json.Delim:
		p := Plain{Kind: PlainList}
		if token == '{' {
			p.Kind = PlainPairs
		}
		for d.More() {
			var key string
			if p.Kind == PlainPairs {
				name, err := d.Token()
				if err != nil {
					return p, err
				}
				key, _ = name.(string)
				if slices.ContainsFunc(p.Pairs, func(one Pair) bool { return one.Key == key }) {
					return p, fmt.Errorf("the key %q is there twice", key)
				}
			}
			v, err := readPlain(d, depth+1)
			if err != nil {
				return p, err
			}
			if p.Kind == PlainPairs {
				p.Pairs = append(p.Pairs, Pair{key, v})
			} else {
				p.List = append(p.List, v)
			}
		}
		_, err := d.Token()
		return p, err
	}
	return Plain{}, nil
}
