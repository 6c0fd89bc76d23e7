package amend

import (
	"errors"
	"fmt"
	"slices"

	"lampblack/source"
)

// takeOut takes a unit away, and wherever it is spoken of: out of lists of units and the orders of lines; parts of looks that
// are of it alone go with it, and what it fed is fed by what fed it.
func (c *Change) takeOut(t Texts, text *source.Text) (string, error) {
	at, err := c.resolve(text)
	if err != nil {
		return "", err
	}
	item, ok := c.At[len(c.At)-1].(Item)
	if !ok || len(c.At) != 2 || c.At[0] != "units" || item.Key != "unit" {
		return "", errors.New("units are taken out, each by its name; other things are cut")
	}
	is, there := text.At(at...)
	if !there || c.Was != nil && !c.Was.Same(is) {
		return "", &Conflict{c.File, c.At, is}
	}
	if err := text.CutAt(at...); err != nil {
		return "", err
	}
	if err := put(t, c.File, text); err != nil {
		return "", err
	}
	o := &leaving{name: item.Value, fed: feedOf(is)}
	for _, name := range t.Names() {
		if err := o.leave(t, name); err != nil {
			return "", err
		}
	}
	said := fmt.Sprintf("unit %s taken out", item.Value)
	switch {
	case o.parts == 1:
		said += ", with the part of a look that was of it alone"
	case o.parts > 1:
		said += fmt.Sprintf(", with %d parts of looks that were of it alone", o.parts)
	}
	return said, nil
}

// feedOf is what feeds a unit: the key, and what it says.
func feedOf(unit source.Plain) (out source.Pair) {
	for _, p := range unit.Pairs {
		if p.Key == "fed by" || p.Key == "circuit" {
			out = p
		}
	}
	return out
}

// leaving is a unit that is taken out.
type leaving struct {
	name  string
	fed   source.Pair
	parts int
	cuts  [][]any // places that go, in the order of the file
	fedBy [][]any // units that it fed
}

func (o *leaving) leave(t Texts, name string) error {
	text, faults := source.OpenText(name, t.Read(name))
	if faults.Err() != nil {
		return nil // it speaks of nothing as it is
	}
	o.cuts, o.fedBy = nil, nil
	root, _ := text.At()
	if err := o.walk(root, nil); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if len(o.cuts)+len(o.fedBy) == 0 {
		return nil
	}
	for _, at := range o.fedBy {
		if err := o.feed(text, at); err != nil {
			return err
		}
	}
	for _, at := range slices.Backward(o.cuts) {
		if err := text.CutAt(at...); err != nil {
			return err
		}
	}
	return put(t, name, text)
}

// feed has a unit fed by what fed the one that goes.
func (o *leaving) feed(text *source.Text, unit []any) error {
	key := append(slices.Clone(unit), "fed by")
	if o.fed.Key == "fed by" {
		return text.PutAt(o.fed.Value, key...)
	}
	if err := text.CutAt(key...); err != nil || o.fed.Key == "" {
		return err
	}
	return text.PutAt(o.fed.Value, append(slices.Clone(unit), o.fed.Key)...)
}

// walk finds where the unit is spoken of.
func (o *leaving) walk(p source.Plain, at []any) error {
	down := func(step any) []any { return append(slices.Clone(at), step) }
	for i, item := range p.List {
		if err := o.walk(item, down(i)); err != nil {
			return err
		}
	}
	for _, one := range p.Pairs {
		here := one.Value.Kind == source.PlainText && one.Value.Text == o.name
		switch {
		case one.Key == "fed by" && here:
			o.fedBy = append(o.fedBy, at)
		case one.Key == "units" && here, one.Key == "units" && o.isAll(one.Value):
			if len(at) < 2 || at[len(at)-2] != "parts" {
				return fmt.Errorf("%s is of unit %s alone: give it others, or take it away first", Path(at), o.name)
			}
			o.parts++
			o.cuts = append(o.cuts, at)
		case one.Key == "units" && len(at) > 0, one.Key == "order" && len(at) == 2 && at[0] == "lines":
			for i, item := range one.Value.List {
				if item.Kind == source.PlainText && item.Text == o.name {
					o.cuts = append(o.cuts, append(down(one.Key), i))
				}
			}
		default:
			if err := o.walk(one.Value, down(one.Key)); err != nil {
				return err
			}
		}
	}
	return nil
}

// isAll tells whether a list is of the unit alone.
func (o *leaving) isAll(p source.Plain) bool {
	return p.Kind == source.PlainList && len(p.List) == 1 && p.List[0].Kind == source.PlainText && p.List[0].Text == o.name
}
