package source

import (
	"reflect"
)

// Schema returns the JSON Schema (draft 2020-12) of files that Decode reads
// into values of v's type.
func Schema(title string, v any) map[string]any {
	s := Form(v)
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = title
	return s
}

// Form is the schema of v's type for use inside another.
func Form(v any) map[string]any { return schema(reflect.TypeOf(v)) }

// Schemer is a Reader that describes its own form.
type Schemer interface{ JSONSchema() map[string]any }

// schema goes by the same order as the decoder's into. Every list may also be one item
// alone, every text a number, since unquoted 7 is one to an editor.
func schema(t reflect.Type) map[string]any {
	if t.Kind() == reflect.Pointer {
		return schema(t.Elem())
	}
	ptr := reflect.New(t)
	switch v := ptr.Interface().(type) {
	case Schemer:
		return v.JSONSchema()
	case namedList:
		return map[string]any{"type": "object", "additionalProperties": orNull(schema(v.element()))}
	case Reader:
		return map[string]any{}
	}
	switch {
	case t == refType:
		return map[string]any{"type": []string{"string", "number"}}
	case t == durationType:
		return map[string]any{"type": "string", "description": "a time: 250 ms, 6 s, 2 min, or minutes:seconds as 1:02.350"}
	case isText(ptr):
		return textSchema(ptr)
	case t.Kind() == reflect.Struct:
		return structSchema(t)
	case t.Kind() == reflect.Slice:
		item := schema(t.Elem())
		return map[string]any{"anyOf": []any{map[string]any{"type": "array", "items": item}, item}}
	case t.Kind() == reflect.Array:
		return map[string]any{"type": "array", "items": schema(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	}
	return scalarSchema(ptr.Elem())
}

// orNull lets a value be left out behind its key.
func orNull(s map[string]any) map[string]any {
	return map[string]any{"anyOf": []any{s, map[string]any{"type": "null"}}}
}

// Namer is a struct some of whose keys hold a name from a list; with others,
// names that the file itself defines may stand there too.
type Namer interface {
	NamesFor(key string) (names []string, others bool)
}

// named is the schema of a key that holds one of names; with others an editor still
// offers them but takes any.
func named(names []string, others bool) map[string]any {
	s := map[string]any{"enum": names}
	if others {
		return map[string]any{"anyOf": []any{s, map[string]any{"type": []string{"string", "number"}, "description": "or a name of this file's own"}}}
	}
	return s
}

// textSchema is that of a quantity: its units are told in words, not as a pattern, since
// an editor shows words.
func textSchema(ptr reflect.Value) map[string]any {
	s := map[string]any{"type": []string{"string", "number"}}
	if u, ok := ptr.Elem().Interface().(interface{ Units() string }); ok && u.Units() != "" {
		s["description"] = "a number with its unit: " + u.Units()
	}
	return s
}

// structSchema refuses unknown keys, as the decoder does.
func structSchema(t reflect.Type) map[string]any {
	properties := map[string]any{}
	required := []string{}
	namer, _ := reflect.New(t).Interface().(Namer)
	var word map[string]any // the form of what stands alone
	for _, f := range fields(t) {
		form := schema(t.FieldByIndex(f.index).Type)
		if f.bounds != nil {
			form["minimum"], form["maximum"] = f.bounds.from, f.bounds.to
		}
		if namer != nil {
			if names, others := namer.NamesFor(f.key); names != nil {
				form = named(names, others)
			}
		}
		properties[f.key] = form
		if f.word {
			word = form
		}
		if f.required {
			required = append(required, f.key)
		}
	}
	s := map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		s["required"] = required
	}
	if word != nil {
		return map[string]any{"anyOf": []any{s, word}}
	}
	return s
}

// scalarSchema is that of a basic kind, or of a text with choices. A yes or no may come
// quoted or as true and false.
func scalarSchema(v reflect.Value) map[string]any {
	switch v.Kind() {
	case reflect.Bool:
		return map[string]any{"type": []string{"boolean", "string"}, "description": "yes or no"}
	case reflect.Int, reflect.Int64:
		return map[string]any{"type": "integer"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	}
	if c, ok := v.Interface().(interface{ Choices() []string }); ok {
		return map[string]any{"enum": c.Choices()}
	}
	return map[string]any{"type": []string{"string", "number"}}
}
