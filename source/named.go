package source

import (
	"fmt"
	"reflect"
	"strings"
)

// Entry is one entry of a mapping whose keys are names.
type Entry[T any] struct {
	Name  string
	Pos   Pos
	Value T
}

// Named is a mapping whose keys are names, in the file's order. Names are
// unique and not empty.
type Named[T any] []Entry[T]

// Get returns the entry with the name, or nil.
func (n Named[T]) Get(name string) *T {
	for i := range n {
		if n[i].Name == name {
			return &n[i].Value
		}
	}
	return nil
}

// Index returns the place of the name in the list, or -1.
func (n Named[T]) Index(name string) int {
	for i := range n {
		if n[i].Name == name {
			return i
		}
	}
	return -1
}

// namedList lets the decoder fill any Named by reflection, which cannot name a generic
// type without its argument.
type namedList interface {
	add(key Ref) reflect.Value
	element() reflect.Type
}

func (n *Named[T]) add(key Ref) reflect.Value {
	*n = append(*n, Entry[T]{Name: key.Name, Pos: key.Pos})
	return reflect.ValueOf(&(*n)[len(*n)-1].Value)
}

func (n *Named[T]) element() reflect.Type { return reflect.TypeFor[T]() }

// First joins at most n names, and counts the others.
func First(names []string, n int) string {
	out := strings.Join(names[:min(n, len(names))], ", ")
	if len(names) > n {
		out += fmt.Sprintf(" and %d more", len(names)-n)
	}
	return out
}
