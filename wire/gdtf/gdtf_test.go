package gdtf_test

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"lampblack/wire/gdtf"
	"lampblack/wire/outside"

	"pgregory.net/rapid"
)

// What is read of what was written is what was written, for every field of every table.
func TestRoundTripAny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyType.Draw(t, "type")
		b, err := want.Append(nil)
		if err != nil {
			t.Fatal(err)
		}
		got, err := gdtf.Parse(b)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range got.Notes {
			t.Errorf("a doubt about our own file: %v", n)
		}
		if got.Notes = nil; !reflect.DeepEqual(got, want) {
			one, _ := got.AppendXML(nil)
			two, _ := want.AppendXML(nil)
			t.Fatalf("got\n%s\nwant\n%s", one, two)
		}
	})
}

// schema is the standard's, where it is at hand.
func schema(t testing.TB) string {
	t.Helper()
	path, err := filepath.Abs("../../../shared/reference/xsd/gdtf.xsd")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err != nil {
		t.Skip("outside check left out: needs the schema of DIN SPEC 15800 (gdtf.xsd), which is not part of the project")
	}
	outside.Need(t, "libxml2-utils", "xmllint")
	return path
}

// Descriptions with every construct of the tables are valid by the schema of DIN SPEC 15800.
func TestSchemaAny(t *testing.T) {
	xsd, dir := schema(t), t.TempDir()
	args := []string{"--noout", "--schema", xsd}
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		text, err := anyType.Draw(t, "type").AppendXML(nil)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, fmt.Sprintf("%d.xml", n))
		n++
		if err := os.WriteFile(path, text, 0o644); err != nil {
			t.Fatal(err)
		}
		args = append(args, path)
	})
	outside.Run(t, "xmllint", args...)
}
