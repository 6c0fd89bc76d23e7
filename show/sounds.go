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
// of other pieces.
func (f *Files) Sounds() []source.Ref {
	all := []source.Ref{f.Bill.Soundtrack}
	for _, o := range f.Orders() {
		for i := range o.Steps {
			all = append(all, o.Steps[i].Soundtrack)
		}
	}
	var out []source.Ref
	for _, ref := range all {
		if ref.Name != "" && !slices.ContainsFunc(out, func(o source.Ref) bool { return o.Name == ref.Name }) {
			out = append(out, ref)
		}
	}
	return out
}
