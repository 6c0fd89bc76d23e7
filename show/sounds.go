package show

import (
	"slices"

	"lampblack/source"
)

// Orders are the running orders of the folder: that of the evening, or of each zone.
func (f *Files) Orders() []*Order {
	if f.Zones == nil {
		if f.Order == nil {
			return nil
		}
		return []*Order{f.Order}
	}
	var out []*Order
	for _, z := range f.Zones.Zones {
		if z.Value != nil && z.Value.Steps() != nil {
			out = append(out, z.Value.Steps())
		}
	}
	return out
}

// Sounds are the soundtracks that the show names, each once: the folder's own, and those
// of other pieces. Extra sounds, in which nothing is listened for, are not among them.
func (f *Files) Sounds() []source.Ref {
	all := []source.Ref{f.Bill.Soundtrack}
	for _, o := range f.Orders() {
		for i := range o.Steps {
			all = append(all, o.Steps[i].Soundtrack)
		}
	}
	return once(all)
}

// Extras are the files of extra sounds, each once.
func (f *Files) Extras() []source.Ref {
	var all []source.Ref
	for i := range f.Bill.Extras {
		all = append(all, f.Bill.Extras[i].Value.File)
	}
	return once(all)
}

// once leaves out what comes again, and what is empty.
func once(all []source.Ref) []source.Ref {
	var out []source.Ref
	for _, ref := range all {
		if ref.Name != "" && !slices.ContainsFunc(out, func(o source.Ref) bool { return o.Name == ref.Name }) {
			out = append(out, ref)
		}
	}
	return out
}
