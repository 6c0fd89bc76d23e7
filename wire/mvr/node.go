package mvr

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

// node is an element: small trees are easier to read leniently than streams. Name spaces
// are left off; chars is all text directly in it, comments left out.
type node struct {
	name     string
	line     int
	attr     map[string]string
	children []*node
	chars    strings.Builder
}

// child is the first child of a name, or nil: of what may stand once, others are ignored.
func (n *node) child(name string) *node {
	for _, c := range n.children {
		if c.name == name {
			return c
		}
	}
	return nil
}

func (n *node) text() string { return strings.TrimSpace(n.chars.String()) }

// parseNodes reads a document into a tree. open is the way down to where it reads; the
// decoder itself makes sure that ends match. There are no entities beyond XML's own five, so
// that a small file cannot unfold into a large one.
func parseNodes(b []byte) (*node, error) {
	d := xml.NewDecoder(bytes.NewReader(b))
	top := &node{}
	open := []*node{top}
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		in := open[len(open)-1]
		switch t := token.(type) {
		case xml.StartElement:
			// Go's own stack would grow with what reads the tree.
			if len(open) > maxDepth {
				line, _ := d.InputPos()
				return nil, fmt.Errorf("line %d: got more than %d elements within each other", line, maxDepth)
			}
			n := &node{name: t.Name.Local, attr: map[string]string{}}
			n.line, _ = d.InputPos()
			for _, a := range t.Attr {
				n.attr[a.Name.Local] = a.Value
			}
			in.children = append(in.children, n)
			open = append(open, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			in.chars.Write(t)
		}
	}
	if len(top.children) != 1 {
		return nil, fmt.Errorf("got %d elements at the top, want 1", len(top.children))
	}
	return top.children[0], nil
}
