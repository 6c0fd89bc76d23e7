package archive

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Limits of a document from elsewhere, beside that of its elements: octets of text, attributes of an
// element on the mean, and elements within each other. Descriptions of lamps with hundreds of cells stay
// under half of them (common practice, no source).
const (
	MostText  = 8 << 20
	mostAttr  = 8
	mostDepth = 200
)

// Node is an element of a document: small trees are easier to read leniently than streams.
// Name spaces are left off.
type Node struct {
	Name     string
	Line     int
	Attr     []Attr
	Children []*Node
	chars    []byte
}

// Attr is an attribute of an element.
type Attr struct{ Name, Value string }

// Child is the first child of a name, or nil: of what may stand once, others are ignored.
func (n *Node) Child(name string) *Node {
	for _, c := range n.Children {
		if c.Name == name {
			return c
		}
	}
	return nil
}

// Get returns the value of an attribute, "" for one that is not there.
func (n *Node) Get(name string) string {
	for _, a := range n.Attr {
		if a.Name == name {
			return a.Value
		}
	}
	return ""
}

// Text is all text directly in the element, without spaces around it.
func (n *Node) Text() string { return strings.TrimSpace(string(n.chars)) }

// Parse makes a tree of a document with so many elements at most. There are no entities beyond XML's own five, so that a
// small file cannot unfold into a large one: a document type is refused.
func Parse(b []byte, elements int) (*Node, error) {
	if err := bounded(b, elements); err != nil {
		return nil, err
	}
	p := parser{d: xml.NewDecoder(bytes.NewReader(b)), names: map[string]string{}, open: []*Node{{}}}
	p.d.CharsetReader = latin
	for {
		token, err := p.d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil {
			err = p.take(token)
		}
		if err != nil {
			return nil, err
		}
	}
	top := p.open[0]
	if len(top.Children) != 1 {
		return nil, fmt.Errorf("got %d elements at the top, want 1", len(top.Children))
	}
	return top.Children[0], nil
}

// bounded counts what a parser would take memory for before there is one. Marks inside
// comments and values count too, which is few.
func bounded(b []byte, elements int) error {
	if len(b) > MostText {
		return fmt.Errorf("got %d octets of text, want at most %d", len(b), MostText)
	}
	if n := bytes.Count(b, []byte("<")); n > 2*elements {
		return fmt.Errorf("got %d tags, want at most %d", n, 2*elements)
	}
	if n := bytes.Count(b, []byte("=")); n > mostAttr*elements {
		return fmt.Errorf("got %d attributes, want at most %d", n, mostAttr*elements)
	}
	return nil
}

// parser keeps the way down to where it reads; the decoder itself makes sure that ends
// match.
type parser struct {
	d     *xml.Decoder
	names map[string]string // each name once, however often it stands
	open  []*Node
}

func (p *parser) take(token xml.Token) error {
	in := p.open[len(p.open)-1]
	line, _ := p.d.InputPos()
	switch t := token.(type) {
	case xml.Directive:
		if bytes.HasPrefix(bytes.ToUpper(bytes.TrimSpace(t)), []byte("DOCTYPE")) {
			return fmt.Errorf("line %d: got a document type, which may hide what unfolds without end; the standard has none", line)
		}
	case xml.StartElement:
		// Go's own stack would grow with what reads the tree.
		if len(p.open) > mostDepth {
			return fmt.Errorf("line %d: got more than %d elements within each other", line, mostDepth)
		}
		n := &Node{Name: p.once(t.Name.Local), Line: line, Attr: make([]Attr, len(t.Attr))}
		for i, a := range t.Attr {
			n.Attr[i] = Attr{p.once(a.Name.Local), a.Value}
		}
		in.Children = append(in.Children, n)
		p.open = append(p.open, n)
	case xml.EndElement:
		p.open = p.open[:len(p.open)-1]
	case xml.CharData:
		if len(in.chars) > 0 || len(bytes.TrimSpace(t)) > 0 {
			in.chars = append(in.chars, t...)
		}
	}
	return nil
}

func (p *parser) once(name string) string {
	if known, ok := p.names[name]; ok {
		return known
	}
	p.names[name] = name
	return name
}

// latin reads documents in ISO 8859-1, whose octets are the code points; other character
// sets than that and UTF-8 are met too seldom.
func latin(name string, in io.Reader) (io.Reader, error) {
	switch strings.ToLower(name) {
	case "iso-8859-1", "latin1", "us-ascii", "ascii", "windows-1252":
	default:
		return nil, fmt.Errorf("got the character set %.40q, want UTF-8", name)
	}
	b, err := io.ReadAll(in)
	var out strings.Builder
	for _, c := range b {
		out.WriteRune(rune(c))
	}
	return strings.NewReader(out.String()), err
}
