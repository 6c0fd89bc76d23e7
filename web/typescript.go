package web

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"lampblack/begin"
	"lampblack/play/hand"
	"lampblack/web/page"
)

// TypeScript returns the text of ui/api.ts: the types of all answers, written from the
// Go structs so that both sides speak of the same things. A test holds the file against
// it, so that the two sides cannot part.
func TypeScript() string {
	var b strings.Builder
	b.WriteString("// Written by go generate from the Go structs. Do not edit.\n")
	seen := map[reflect.Type]bool{}
	for _, root := range []reflect.Type{
		reflect.TypeFor[page.Contents](),
		reflect.TypeFor[page.Span](),
		reflect.TypeFor[page.Look](),
		reflect.TypeFor[page.Rig](),
		reflect.TypeFor[page.Room](),
		reflect.TypeFor[page.Reading](),
		reflect.TypeFor[Playhead](),
		reflect.TypeFor[Lamps](),
		reflect.TypeFor[hand.Order](),
		reflect.TypeFor[SoundOrder](),
		reflect.TypeFor[page.Aim](),
		reflect.TypeFor[page.Reach](),
		reflect.TypeFor[page.Pointed](),
		reflect.TypeFor[Round](),
		reflect.TypeFor[Tick](),
		reflect.TypeFor[Paired](),
		reflect.TypeFor[Invitation](),
		reflect.TypeFor[Entered](),
		reflect.TypeFor[NightReport](),
		reflect.TypeFor[Edits](),
		reflect.TypeFor[Checks](),
		reflect.TypeFor[Sought](),
		reflect.TypeFor[Orders](),
		reflect.TypeFor[RunNow](),
		reflect.TypeFor[Ticket](),
		reflect.TypeFor[SeatsNow](),
		reflect.TypeFor[SeatTake](),
		reflect.TypeFor[page.Loss](),
		reflect.TypeFor[Shows](),
		reflect.TypeFor[Asking](),
		reflect.TypeFor[begin.Table](),
		reflect.TypeFor[Begun](),
		reflect.TypeFor[page.Stood](),
	} {
		declare(&b, root, seen)
	}
	return b.String()
}

// declare writes a struct after those that it is made of. Columns are readonly on the
// other side: the book's slices are for reading there too.
func declare(b *strings.Builder, t reflect.Type, seen map[reflect.Type]bool) {
	if seen[t] {
		return
	}
	seen[t] = true
	var fields strings.Builder
	for i := range t.NumField() {
		f := t.Field(i)
		if !f.IsExported() || f.Tag.Get("json") == "-" {
			continue
		}
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		mark := ""
		if strings.Contains(options, "omitempty") {
			mark = "?"
		}
		fmt.Fprintf(&fields, "  %s%s: %s;\n", name, mark, typeName(b, f.Type, seen))
	}
	fmt.Fprintf(b, "\nexport type %s = {\n%s};\n", t.Name(), fields.String())
}

// typeName is a type as TypeScript writes it. Kinds that no answer has yet panic here,
// when the file is written, and not in a page.
func typeName(b *strings.Builder, t reflect.Type, seen map[reflect.Type]bool) string {
	switch t.Kind() {
	case reflect.Pointer:
		return typeName(b, t.Elem(), seen)
	case reflect.String:
		return "string"
	case reflect.Bool:
		return "boolean"
	case reflect.Int, reflect.Float32, reflect.Float64:
		return "number"
	case reflect.Slice:
		if t.Elem().Kind() == reflect.Uint8 {
			return "string" // base64, as encoding/json writes bytes
		}
		item := typeName(b, t.Elem(), seen)
		if strings.Contains(item, " ") {
			item = "(" + item + ")"
		}
		return "readonly " + item + "[]"
	case reflect.Array:
		item := typeName(b, t.Elem(), seen)
		return "readonly [" + strings.TrimSuffix(strings.Repeat(item+", ", t.Len()), ", ") + "]"
	case reflect.Struct:
		if t == reflect.TypeFor[time.Time]() {
			return "string" // as RFC 3339, as encoding/json writes it
		}
		declare(b, t, seen)
		return t.Name()
	}
	panic("web: no TypeScript for " + t.String())
}
