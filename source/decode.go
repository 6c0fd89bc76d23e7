package source

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"go.yaml.in/yaml/v4"

	"lampblack/si"
)

// reading is one pass over one file.
type reading struct {
	file   string
	faults Faults
}

// Decode reads the file's text into dst, a pointer to a struct, and returns
// all that is wrong with it. What could be read is filled in even then.
func Decode(file string, data []byte, dst any) Faults {
	r := &reading{file: file}
	if root := r.parse(data); root != nil {
		r.into(root, pointer(dst), "")
	}
	r.faults.Sort()
	return r.faults
}

func pointer(dst any) reflect.Value {
	v := reflect.ValueOf(dst)
	if v.Kind() != reflect.Pointer {
		panic("source: destination is not a pointer")
	}
	return v
}

func (r *reading) pos(n *yaml.Node) Pos { return Pos{r.file, n.Line, n.Column} }

func (r *reading) fault(n *yaml.Node, hint, format string, args ...any) {
	r.faults.Add(r.pos(n), hint, format, args...)
}

var (
	durationType = reflect.TypeFor[time.Duration]()
	refType      = reflect.TypeFor[Ref]()
	posType      = reflect.TypeFor[Pos]()
)

// into decodes n into what ptr points to; options are those of the field's
// tag. What a type says of itself goes before its kind: a form of its own, then a
// mapping of names, then a place, a time or a text with units; only what is left is
// taken apart as struct, list or scalar. Each step adds its faults and goes on, so
// that one wrong value does not hide the next.
func (r *reading) into(n *yaml.Node, ptr reflect.Value, options string) {
	if reader, ok := ptr.Interface().(Reader); ok {
		reader.ReadSource(Value{n, r})
		return
	}
	if list, ok := ptr.Interface().(namedList); ok {
		r.named(n, list)
		return
	}
	dst := ptr.Elem()
	switch {
	case dst.Type() == refType:
		dst.Set(reflect.ValueOf(Value{n, r}.Name()))
	case dst.Type() == durationType, isText(ptr):
		r.text(n, ptr)
	case dst.Kind() == reflect.Pointer:
		dst.Set(reflect.New(dst.Type().Elem()))
		r.into(n, dst, options)
	case dst.Kind() == reflect.Struct:
		r.structure(n, dst)
	case dst.Kind() == reflect.Slice:
		r.list(n, dst)
	case dst.Kind() == reflect.Array:
		r.array(n, dst)
	default:
		r.scalar(n, dst)
	}
}

// isText tells whether a type reads itself from a text, as quantities do.
func isText(ptr reflect.Value) bool {
	_, ok := ptr.Interface().(encoding.TextUnmarshaler)
	return ok
}

// named fills a mapping of names. A name whose value was left out is an entry all the
// same when that is a struct: all of whose keys may be optional.
func (r *reading) named(n *yaml.Node, list namedList) {
	if n.Tag == "!!null" {
		return
	}
	Value{n, r}.Each(func(key Ref, v Value) {
		if key.Name == "" {
			r.faults.Add(key.Pos, "", "a name is empty")
			return
		}
		ptr := list.add(key)
		if v.node.Tag == "!!null" && ptr.Elem().Kind() == reflect.Struct {
			return
		}
		r.into(v.node, ptr, "")
	})
}

// text fills a value that reads itself. The error's own words are the fault.
func (r *reading) text(n *yaml.Node, ptr reflect.Value) {
	text := Value{n, r}.Text()
	if text == "" {
		return
	}
	var err error
	if d, ok := ptr.Interface().(*time.Duration); ok {
		*d, err = si.ParseTime(text)
	} else {
		err = ptr.Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(text))
	}
	if err != nil {
		r.fault(n, "", "%v", err)
	}
}

// field is one key that a struct takes; index is its path for reflection, through
// embedded structs.
type field struct {
	key      string
	index    []int
	required bool
	word     bool    // a word alone, in place of the mapping, is this key's
	bounds   *bounds // of a whole number; nil for none
}

// bounds are what a whole number may lie between, as the tag within says:
// `within:"1 to 512"`.
type bounds struct{ from, to int }

// boundsOf reads the tag. One that does not read is a mistake in the struct, and panics.
func boundsOf(tag reflect.StructTag) *bounds {
	text, ok := tag.Lookup("within")
	if !ok {
		return nil
	}
	b := &bounds{}
	if _, err := fmt.Sscanf(text, "%d to %d", &b.from, &b.to); err != nil {
		panic(fmt.Sprintf("source: tag within:%q: %v", text, err))
	}
	return b
}

// fields lists the keys of a struct, those of embedded structs among them.
func fields(t reflect.Type) []field {
	var out []field
	for i := range t.NumField() {
		f := t.Field(i)
		tag, tagged := f.Tag.Lookup("key")
		switch {
		case tagged:
			options := strings.Split(tag, ",")
			out = append(out, field{options[0], f.Index, slices.Contains(options[1:], "required"), slices.Contains(options[1:], "word"), boundsOf(f.Tag)})
		case f.Anonymous && f.Type.Kind() == reflect.Struct && f.Type != posType:
			for _, inner := range fields(f.Type) {
				inner.index = append(slices.Clone(f.Index), inner.index...)
				out = append(out, inner)
			}
		}
	}
	return out
}

// structure fills a struct from a mapping, key by key in the file's order. An embedded
// Pos gets the place where the mapping begins. A key without a value counts as left
// out, unless it is required. A word alone is the key's that takes one.
func (r *reading) structure(n *yaml.Node, dst reflect.Value) {
	known := fields(dst.Type())
	word := slices.IndexFunc(known, func(f field) bool { return f.word })
	lone := n.Kind == yaml.ScalarNode && word >= 0
	if n.Kind != yaml.MappingNode && !lone {
		r.fault(n, "it takes "+keyList(dst.Type()), "this should be a mapping, not %s", kind(n))
		return
	}
	for i := range dst.NumField() {
		if dst.Type().Field(i).Type == posType && dst.Type().Field(i).Anonymous {
			dst.Field(i).Set(reflect.ValueOf(r.pos(n)))
		}
	}
	if lone {
		r.into(n, dst.FieldByIndex(known[word].index).Addr(), "")
		return
	}
	seen := map[string]bool{}
	Value{n, r}.Each(func(key Ref, v Value) {
		i := slices.IndexFunc(known, func(f field) bool { return f.key == key.Name })
		if i < 0 {
			r.faults.Add(key.Pos, unknownHint(key.Name, dst.Type()), "unknown key %q", key.Name)
			return
		}
		seen[key.Name] = true
		if v.node.Tag == "!!null" {
			if known[i].required {
				r.faults.Add(key.Pos, "", "%q has no value", key.Name)
			}
			return
		}
		value := dst.FieldByIndex(known[i].index)
		if known[i].bounds != nil {
			r.within(v.node, key.Name, value, known[i].bounds)
			return
		}
		r.into(v.node, value.Addr(), "")
	})
	for _, f := range known {
		if f.required && !seen[f.key] {
			r.fault(n, "", "%q is missing here", f.key)
		}
	}
}

// within reads a whole number that has bounds. One that lies outside, however
// long it is, is one fault, and what is filled in lies inside, so that nobody
// finds the same fault again.
func (r *reading) within(n *yaml.Node, key string, dst reflect.Value, b *bounds) {
	text := Value{n, r}.Text()
	v, err := strconv.Atoi(text)
	switch {
	case err == nil && v >= b.from && v <= b.to:
		dst.SetInt(int64(v))
		return
	case err == nil || errors.Is(err, strconv.ErrRange):
		r.fault(n, fmt.Sprintf("it runs from %d to %d", b.from, b.to), "there is no %s %s", key, text)
	case text != "":
		r.fault(n, "", "%q should be a whole number", text)
	}
	dst.SetInt(int64(b.from))
}

// unknownHint names the key that was most likely meant, or all that there are.
func unknownHint(name string, t reflect.Type) string {
	if s := Suggest(name, keys(t)); s != "" {
		return s
	}
	return "it takes " + keyList(t)
}

// keys lists what may stand in a mapping, in the order of the struct.
func keys(t reflect.Type) []string {
	var out []string
	for _, f := range fields(t) {
		out = append(out, f.key)
	}
	return out
}

func keyList(t reflect.Type) string { return strings.Join(keys(t), ", ") }

// list fills a slice. One value alone is a list of one, so that most lists need no
// brackets; a mapping alone is one item only where items are mappings.
func (r *reading) list(n *yaml.Node, dst reflect.Value) {
	if n.Kind == yaml.MappingNode && dst.Type().Elem().Kind() != reflect.Struct {
		r.fault(n, "", "this should be a list, not a mapping")
		return
	}
	items := Value{n, r}.List()
	dst.Set(reflect.MakeSlice(dst.Type(), len(items), len(items)))
	for i, item := range items {
		r.into(item.node, dst.Index(i).Addr(), "")
	}
}

// array fills an array, which wants exactly as many values.
func (r *reading) array(n *yaml.Node, dst reflect.Value) {
	if n.Kind != yaml.SequenceNode || len(n.Content) != dst.Len() {
		r.fault(n, "", "this should be a list of %d values", dst.Len())
		return
	}
	for i, item := range n.Content {
		r.into(item, dst.Index(i).Addr(), "")
	}
}

// scalar fills a basic kind from a single value. Text is told by what the struct wants,
// not by YAML's own idea of types: a name may be 7, and yes is a word where a word is
// wanted (YAML 1.1 made it true; the 1.2 core schema does not). What a value
// that does not fit leaves in dst is of no use: it is a fault, and the file does not
// count. A kind that no file can fill is a mistake in the struct, and panics.
func (r *reading) scalar(n *yaml.Node, dst reflect.Value) {
	text := Value{n, r}.Text()
	if !(Value{n, r}).IsText() {
		return
	}
	switch dst.Kind() {
	case reflect.String:
		dst.SetString(text)
		if c, ok := dst.Interface().(interface{ Choices() []string }); ok && !slices.Contains(c.Choices(), text) {
			r.fault(n, OneOf(text, c.Choices()), "%q is none of the words that may stand here", text)
		}
	case reflect.Bool:
		dst.SetBool(r.yes(n, text))
	case reflect.Int, reflect.Int64:
		if v, ok := r.whole(n, text); ok {
			dst.SetInt(int64(v))
		}
	case reflect.Float64:
		if v, ok := r.number(n, text); ok {
			dst.SetFloat(v)
		}
	default:
		panic(fmt.Sprintf("source: a file cannot fill a %v", dst.Type()))
	}
}

// yes reads a decision. Only these four words are one; a capital letter is a fault.
func (r *reading) yes(n *yaml.Node, text string) bool {
	yes := slices.Contains([]string{"yes", "true"}, text)
	if !yes && text != "no" && text != "false" {
		r.fault(n, "write yes or no", "%q is neither yes nor no", text)
	}
	return yes
}

// whole reads a whole number, decimal and with a sign if need be; YAML's 0x10 is none.
// What is no number at all counts as 0; one too large is left out, as it is not 0.
func (r *reading) whole(n *yaml.Node, text string) (v int, ok bool) {
	v, err := strconv.Atoi(text)
	switch {
	case errors.Is(err, strconv.ErrRange):
		r.fault(n, "", "%q is larger than anything that can be counted here", text)
	case err != nil:
		r.fault(n, "", "%q should be a whole number", text)
	}
	return v, !errors.Is(err, strconv.ErrRange)
}

// number reads a number that has no unit. What the standard library takes for infinity or
// for no number is nothing that a file may hold.
func (r *reading) number(n *yaml.Node, text string) (v float64, ok bool) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		r.fault(n, "", "%q should be a number", text)
		return 0, false
	}
	return v, true
}
