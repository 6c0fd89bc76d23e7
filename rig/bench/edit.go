package bench

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/source"
)

// Edit makes the changes in the type's file, by its name for findings and its text; all
// comments stay. It returns the text as it was where there is nothing to change.
func (r *Report) Edit(file, mode string, data []byte) ([]byte, error) {
	if len(r.edits) == 0 && r.lost == "" {
		return data, nil
	}
	if r.lost != "" { // a key before the others, so by itself: places move
		t, faults := source.OpenText(file, data)
		if err := faults.Err(); err != nil {
			return nil, err
		}
		if err := t.SetKey("on data loss", r.lost); err != nil {
			return nil, err
		}
		out, err := t.Bytes()
		if err != nil {
			return nil, err
		}
		data = out
	}
	for _, c := range r.edits {
		out, err := c.make(file, mode, data)
		if err != nil {
			return nil, err
		}
		data = out
	}
	id := strings.TrimSuffix(file, ".yaml")
	if _, faults := rig.ReadType(id, file, data); faults.Err() != nil {
		return nil, fmt.Errorf("the corrected type does not read: %w", faults.Err())
	}
	return data, nil
}

// make makes one change. Each is made on the text that the one before left, as two may be of
// one slot.
func (c *change) make(file, mode string, data []byte) ([]byte, error) {
	path := []any{"modes", mode, slotKey(file, mode, data, c.slot)}
	for _, kv := range c.set {
		t, faults := source.OpenText(file, data)
		if err := faults.Err(); err != nil {
			return nil, err
		}
		var err error
		switch key := kv[0]; {
		case key == "":
			err = t.RenameKey(path[2].(string), kv[1], path[:2]...)
		default:
			if slices.Contains([]string{"dims", "curve"}, key) { // may be no scalar
				if data, err = cleared(file, data, path, key); err != nil {
					return nil, err
				}
				if t, faults = source.OpenText(file, data); faults.Err() != nil {
					return nil, faults.Err()
				}
			}
			err = t.SetKey(writtenKey(file, data, path, key), quoted(kv[1]), path...)
		}
		if err != nil {
			return nil, err
		}
		if data, err = t.Bytes(); err != nil {
			return nil, err
		}
	}
	if slices.ContainsFunc(c.set, func(kv [2]string) bool { return kv[0] == "dims" }) && c.slot.Set == nil {
		c.gone = append(c.gone, "set")
	}
	for _, key := range c.gone {
		var err error
		if slices.ContainsFunc(c.set, func(kv [2]string) bool { return kv[0] == key }) {
			continue
		}
		if data, err = without(file, data, path, key); err != nil {
			return nil, err
		}
	}
	return data, nil
}

func quoted(value string) string {
	if strings.HasPrefix(value, "[") || strings.HasPrefix(value, "{") {
		return value
	}
	return source.Quote(value)
}

// cleared takes a key out of the slot, where it is there, also if it is the only one: "set: 0",
// which changes nothing, then stands in its place.
func cleared(file string, data []byte, path []any, key string) ([]byte, error) {
	if keys := keysAt(file, data, path); len(keys) != 1 || keys[0] != key {
		return without(file, data, path, key)
	}
	t, faults := source.OpenText(file, data)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if err := t.SetKey("set", "0", path...); err != nil {
		return nil, err
	}
	data, err := t.Bytes()
	if err != nil {
		return nil, err
	}
	return without(file, data, path, key)
}

// without takes a key out of the slot, where it is there and not the only one.
func without(file string, data []byte, path []any, key string) ([]byte, error) {
	keys := keysAt(file, data, path)
	key = sameKey(keys, key)
	if key == "" || len(keys) < 2 {
		return data, nil
	}
	t, faults := source.OpenText(file, data)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if err := t.RemoveKeys([]string{key}, path...); err != nil {
		return nil, err
	}
	return t.Bytes()
}

// slotKey is the slot's key as the file has it: "5", "5-6", "5 - 6".
func slotKey(file, mode string, data []byte, s *rig.Slot) string {
	for _, k := range keysAt(file, data, []any{"modes", mode}) {
		a, b, _ := strings.Cut(k, "-")
		if strings.TrimSpace(a) == fmt.Sprint(s.Coarse) && (s.Fine == 0) == (strings.TrimSpace(b) == "") {
			return k
		}
	}
	return fmt.Sprint(s.Coarse)
}

func writtenKey(file string, data []byte, path []any, key string) string {
	if k := sameKey(keysAt(file, data, path), key); k != "" {
		return k
	}
	return key
}

// sameKey finds a key however its blanks are.
func sameKey(keys []string, key string) string {
	for _, k := range keys {
		if strings.ReplaceAll(k, " ", "") == strings.ReplaceAll(key, " ", "") {
			return k
		}
	}
	return ""
}

// keysAt lists the keys of the mapping at a path.
func keysAt(file string, data []byte, path []any) []string {
	t, faults := source.OpenText(file, data)
	if faults.Err() != nil {
		return nil
	}
	return t.Keys(path...)
}
