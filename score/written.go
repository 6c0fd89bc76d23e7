package score

import (
	"fmt"
	"hash/fnv"
	"io"
	"reflect"

	"lampblack/source"
)

// Digest is a short sum of what cues bring, in their order: how each comes, and all that its look asks
// for. Where they stand in the text and on the line is not in it, nor who placed them and why.
func (s *Score) Digest(cues []*Cue) string {
	h := fnv.New32a()
	for _, c := range cues {
		how := *c
		how.Number, how.At, how.On, how.Follows, how.Why, how.By = source.Ref{}, nil, nil, source.Ref{}, "", ""
		written(h, reflect.ValueOf(how))
		parts := s.Parts(c.Look.Name)
		written(h, reflect.ValueOf(parts))
	}
	return fmt.Sprintf("%08x", h.Sum32())
}

// written writes a value as text, but for positions: maps and functions are none that a score has.
func written(w io.Writer, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			fmt.Fprint(w, "-;")
			return
		}
		written(w, v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && f.Type != reflect.TypeFor[source.Pos]() {
				fmt.Fprint(w, f.Name, ":")
				written(w, v.Field(i))
			}
		}
		fmt.Fprint(w, ";")
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			written(w, v.Index(i))
		}
		fmt.Fprint(w, ";")
	default:
		fmt.Fprint(w, v, ";")
	}
}
