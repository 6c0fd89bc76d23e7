package room_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"lampblack/room"
	"lampblack/source"
)

// All names that a room may give a material are published: in the document of
// the files, and in the schema; and each is a material once only.
func TestMaterialNamesArePublished(t *testing.T) {
	doc, err := os.ReadFile("../docs/files.md")
	if err != nil {
		t.Fatal(err)
	}
	schema, err := json.Marshal(source.Schema("room", room.Room{}))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, name := range room.MaterialNames() {
		if seen[name] {
			t.Errorf("%s is there twice", name)
		}
		seen[name] = true
		if !strings.Contains(string(doc), "`"+name+"`") {
			t.Errorf("docs/files.md does not list %s", name)
		}
		// Walls, floor, ceiling, a surface, a box, an object and its background.
		if n := strings.Count(string(schema), `"`+name+`"`); n < 7 {
			t.Errorf("the schema lists %s %d times", name, n)
		}
		text := "size: [9 m, 9 m, 4 m]\nstage front: 5 m\nwalls: " + name + "\nobjects: {thing: {paint: " + name +
			", centre: [0 m, 2 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m], background: " + name + "}}\n"
		r, faults := room.Read("room.yaml", []byte(text))
		if faults.Err() != nil {
			t.Errorf("%s: %v", name, faults)
			continue
		}
		ok, paint, instead := r.Fluoresces("thing")
		if glows := strings.HasPrefix(name, "fluorescent") || strings.HasPrefix(name, "optical"); ok != glows || paint != name || (instead == "") != ok {
			t.Errorf("%s fluoresces: %v, paint %s, instead %s", name, ok, paint, instead)
		}
		if name == "white cloth" && instead != "optical white cloth" {
			t.Errorf("in place of white cloth: %s", instead)
		}
	}
	if len(seen) < 30 {
		t.Errorf("%d names", len(seen))
	}
}
