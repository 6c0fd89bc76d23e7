package mvr_test

import (
	"archive/zip"
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"lampblack/wire/mvr"
	"lampblack/wire/outside"

	"pgregory.net/rapid"
)

func scene() *mvr.Scene {
	focus, bar := mvr.NameUUID("focus"), mvr.NameUUID("bar")
	return &mvr.Scene{
		Provider: "Lampblack", ProviderVersion: "0.1",
		Positions: []mvr.Named{{UUID: bar, Name: "front bar"}},
		Layers: []mvr.Layer{{
			UUID: mvr.NameUUID("rig"), Name: "Rig <1>",
			FocusPoints: []mvr.FocusPoint{{UUID: focus, Name: "stage centre", Matrix: mvr.Matrix{
				U: [3]float64{1, 0, 0}, V: [3]float64{0, 1, 0}, W: [3]float64{0, 0, 1}, O: [3]float64{0, 2000, 0}}}},
			Fixtures: []mvr.Fixture{{
				UUID: mvr.NameUUID("uv left"), Name: "UV left",
				Matrix:   mvr.Matrix{U: [3]float64{1, 0, 0}, V: [3]float64{0, 0.5, -0.1}, W: [3]float64{0, 0, 1}, O: [3]float64{-2000, 500.25, 3000}},
				GDTFSpec: "Own@UV bar.gdtf", GDTFMode: "7 slots", Focus: focus, Position: bar, Function: "uv",
				ID: "101", IDNumeric: 101, Unit: 1, Addresses: []mvr.Address{{Slot: mvr.Absolute(2, 17)}},
			}, {UUID: mvr.NameUUID("par"), Name: "Par & more", ID: "7", IDNumeric: 7, Unit: 2}},
		}},
		Files: map[string][]byte{"Own@UV bar.gdtf": []byte("a fixture type")},
	}
}

// A scene written by hand after the tables of DIN SPEC 15801, with what a
// reader must pass over or convert: nested groups, universe.slot, an older
// version.
const otherProgram = `<?xml version="1.0" encoding="UTF-8"?>
<GeneralSceneDescription verMajor="1" verMinor="5">
  <UserData><Data provider="x" ver="1"/></UserData>
  <Scene><Layers><Layer name="Rig" uuid="3B0D6E0C-5C59-4F7A-8B5A-6B1D2B0C9A01">
    <Matrix>{1,0,0}{0,1,0}{0,0,1}{0,0,100}</Matrix>
    <ChildList>
      <GroupObject name="bar" uuid="3B0D6E0C-5C59-4F7A-8B5A-6B1D2B0C9A02">
        <Matrix>{0,1,0}{-1,0,0}{0,0,1}{1000,0,0}</Matrix>
        <ChildList>
          <Fixture name="UV left" uuid="8bf13dd7-cbf4-415b-99e4-625fe4d2daf6">
            <Matrix>{1,0,0}{0,1,0}{0,0,1}{-2e3, 500, 3000}</Matrix>
            <GDTFSpec> Example.gdtf </GDTFSpec>
            <Gobo rotation="0"/>
            <Addresses><Address break="0">2.17</Address><Address break="1">0</Address></Addresses>
            <FixtureID>101</FixtureID><UnitNumber>1</UnitNumber>
          </Fixture>
          <Truss name="t" uuid=""><ChildList><Fixture name="on truss" uuid=""/></ChildList></Truss>
        </ChildList>
      </GroupObject>
    </ChildList>
  </Layer></Layers></Scene>
</GeneralSceneDescription>`

func TestReadsOthers(t *testing.T) {
	s, err := mvr.ParseXML([]byte(otherProgram))
	if err != nil {
		t.Fatal(err)
	}
	f := s.Layers[0].Fixtures
	if len(f) != 2 || f[1].Name != "on truss" {
		t.Fatalf("got %+v", f)
	}
	// A quarter turn of the group takes (-2000, 500) to (-500, -2000), then
	// come the places of the group and the layer.
	if want := [3]float64{500, -2000, 3100}; f[0].Matrix.O != want {
		t.Errorf("place %v, want %v", f[0].Matrix.O, want)
	}
	if u, slot := f[0].Addresses[0].Split(); u != 2 || slot != 17 || len(f[0].Addresses) != 1 {
		t.Errorf("addresses %v, want universe 2, slot 17 alone", f[0].Addresses)
	}
	if f[0].GDTFSpec != "Example.gdtf" || f[0].ID != "101" || f[0].Unit != 1 {
		t.Errorf("got %+v", f[0])
	}
	if want := []string{"Fixture/Gobo", "Truss"}; !reflect.DeepEqual(s.Skipped, want) {
		t.Errorf("skipped %v, want %v", s.Skipped, want)
	}
}

func TestRoundTrip(t *testing.T) {
	want := scene()
	b, err := want.Append([]byte("before"))
	if err != nil {
		t.Fatal(err)
	}
	got, err := mvr.Parse(b[6:])
	if err != nil {
		t.Fatal(err)
	}
	again, err := got.Append([]byte("before"))
	if err != nil || !bytes.Equal(again, b) {
		t.Errorf("written again: %d octets, want the same %d (%v)", len(again), len(b), err)
	}
	got.Layers[0].Fixtures[1].Matrix = mvr.Matrix{} // the axes of the scene, written out
	if got.Skipped = nil; !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

// Standing at the root, stored or deflated: what the standard asks of the
// archive.
func TestArchive(t *testing.T) {
	b, err := scene().Append(nil)
	if err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
		if f.Method != zip.Store {
			t.Errorf("%s: method %d", f.Name, f.Method)
		}
	}
	if want := []string{"GeneralSceneDescription.xml", "Own@UV bar.gdtf"}; !reflect.DeepEqual(names, want) {
		t.Errorf("files %v, want %v", names, want)
	}
}

func TestCheckNamesEverything(t *testing.T) {
	s := scene()
	f := s.Layers[0].Fixtures
	f[1].UUID, f[1].ID, f[1].Unit = f[0].UUID, "", -1
	f[1].Addresses = []mvr.Address{{Slot: 0}}
	f[1].GDTFSpec = "missing.gdtf"
	f[0].Matrix.O[0] = 1e12
	s.Provider = ""
	s.Files["../x"] = nil
	s.Positions[0].UUID = mvr.UUID{}
	_, err := s.Append(nil)
	if err == nil {
		t.Fatal("taken")
	}
	for _, says := range []string{"provider", "got the uuid of fixture UV left", "got no fixture ID", "unit -1", "address 0",
		`"missing.gdtf" is not among`, "at most 1e9 mm", "want a plain file name", "position front bar: got no uuid"} {
		if !strings.Contains(err.Error(), says) {
			t.Errorf("no %q in\n%v", says, err)
		}
	}
}

func TestRefuses(t *testing.T) {
	wrap := func(s string) string {
		return "<GeneralSceneDescription><Scene><Layers><Layer><ChildList>\n<Fixture>" + s + "</Fixture></ChildList></Layer></Layers></Scene></GeneralSceneDescription>"
	}
	for _, c := range []struct{ xml, says string }{
		{"", "got 0 elements"},
		{"<a/>", "want GeneralSceneDescription"},
		{"<a><b></a>", "line 1"},
		{wrap("<Matrix>{1,0,0}</Matrix>"), "line 2: element Matrix: got 1 rows"},
		{wrap("<Matrix>{1,0}{1,0,0}{1,0,0}{1,0,0}</Matrix>"), "row 1: got 2 numbers"},
		{wrap("<Matrix>{x,0,0}{1,0,0}{1,0,0}{1,0,0}</Matrix>"), `got "x"`},
		{wrap("<Matrix>{NaN,0,0}{1,0,0}{1,0,0}{1,0,0}</Matrix>"), "got NaN"},
		{wrap("<Addresses><Address>-1</Address></Addresses>"), `got "-1"`},
		{wrap("<Addresses><Address>0.600</Address></Addresses>"), "want universe.slot"},
		{wrap("<Addresses><Address>99999999999</Address></Addresses>"), "want a number"},
		{wrap("<Focus>xyz</Focus>"), "uuid"},
		{strings.Repeat("<a>", 300), "within each other"},
	} {
		if _, err := mvr.ParseXML([]byte(c.xml)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%.80s: error %v, want %q in it", c.xml, err, c.says)
		}
	}
	if _, err := mvr.Parse([]byte("no archive")); err == nil {
		t.Error("taken as an archive")
	}
}

func archive(t *testing.T, files map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range files {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprint(w, text)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestHostileArchive(t *testing.T) {
	for _, out := range []string{"../../etc/x", "/etc/x", `..\x`, "a/../../x", "C:x"} {
		if _, err := mvr.Parse(archive(t, map[string]string{"GeneralSceneDescription.xml": otherProgram, out: "bad"})); err == nil || !strings.Contains(err.Error(), "leads out") {
			t.Errorf("a file %q: %v", out, err)
		}
	}
	s, err := mvr.Parse(archive(t, map[string]string{"GeneralSceneDescription.xml": otherProgram, "a.glb": "a model", "dir/y.gdtf": "folder"}))
	if err != nil || len(s.Files) != 0 {
		t.Fatalf("got %v, %v", s.Files, err)
	}
	if want := []string{"Fixture/Gobo", "Truss", "file a.glb", "file dir/y.gdtf"}; !reflect.DeepEqual(s.Skipped, want) {
		t.Errorf("skipped %v, want %v", s.Skipped, want)
	}
	if _, err := mvr.Parse(archive(t, map[string]string{"other.xml": ""})); err == nil || !strings.Contains(err.Error(), "none of them GeneralSceneDescription.xml") {
		t.Errorf("without a scene: %v", err)
	}
	bomb := archive(t, map[string]string{"GeneralSceneDescription.xml": strings.Repeat(" ", 65<<20)})
	if _, err := mvr.Parse(bomb); err == nil || !strings.Contains(err.Error(), "unpacked") {
		t.Errorf("a file of 65 MiB in %d octets: %v", len(bomb), err)
	}
}

func TestRoundTripAny(t *testing.T) {
	name := rapid.StringMatching(`[ -~äµ]{1,9}`)
	number := rapid.Float64Range(-1e6, 1e6)
	row := rapid.Custom(func(t *rapid.T) [3]float64 {
		return [3]float64{number.Draw(t, "x") + 0, number.Draw(t, "y") + 0, number.Draw(t, "z") + 0}
	})
	rapid.Check(t, func(t *rapid.T) {
		s := &mvr.Scene{Provider: name.Draw(t, "provider"), ProviderVersion: "1", Files: map[string][]byte{}}
		l := mvr.Layer{UUID: mvr.NameUUID("l"), Name: name.Draw(t, "layer")}
		for i := range rapid.IntRange(1, 4).Draw(t, "fixtures") {
			l.Fixtures = append(l.Fixtures, mvr.Fixture{UUID: mvr.NameUUID(fmt.Sprint(i)), Name: name.Draw(t, "name"), ID: "x",
				Matrix: mvr.Matrix{U: [3]float64{1}, V: row.Draw(t, "v"), W: row.Draw(t, "w"), O: row.Draw(t, "o")}})
		}
		s.Layers = []mvr.Layer{l}
		b, err := s.Append(nil)
		if err != nil {
			t.Fatal(err)
		}
		got, err := mvr.Parse(b)
		if err != nil {
			t.Fatal(err)
		}
		if got.Skipped = nil; !reflect.DeepEqual(got, s) {
			t.Fatalf("got  %+v\nwant %+v", got, s)
		}
	})
}

// What reads and passes the checks is written in one form, which reads and
// writes the same.
func FuzzXML(f *testing.F) {
	f.Add([]byte(otherProgram))
	b, _ := scene().AppendXML(nil)
	f.Add(b)
	// Small ones, whose every change matters.
	for _, inner := range []string{"<Fixture name='a' uuid=''/>", "<Fixture><Matrix>{1,0,0}{0,1,0}{0,0,1}{0,0,1}</Matrix></Fixture>",
		"<Fixture><Addresses><Address break='1'>2.3</Address></Addresses></Fixture>", "<FocusPoint/>",
		"<GroupObject><Matrix>{0,1,0}{1,0,0}{0,0,1}{9,0,0}</Matrix><ChildList><Fixture/></ChildList></GroupObject>"} {
		f.Add([]byte("<GeneralSceneDescription provider='p' providerVersion='1'><Scene><Layers><Layer uuid='00000000-0000-0000-0000-000000000001'><ChildList>" +
			inner + "</ChildList></Layer></Layers></Scene></GeneralSceneDescription>"))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := mvr.ParseXML(b)
		if err != nil {
			return
		}
		one, err := s.AppendXML(nil)
		if err != nil {
			return
		}
		again, err := mvr.ParseXML(one)
		if err != nil {
			t.Fatalf("our own text: %v\n%s", err, one)
		}
		if two, err := again.AppendXML(nil); err != nil || !bytes.Equal(one, two) {
			t.Fatalf("%s\nis written again as\n%s, %v", one, two, err)
		}
	})
}

// FuzzArchive reads hostile archives, and good ones of hostile files: a change
// inside a packed file alone would only break its check sum. Inputs are cut to a
// length at which they are quick; unless the command says otherwise, one that
// finds something new is tried a hundred times smaller, and not for a minute.
func FuzzArchive(f *testing.F) {
	small := &mvr.Scene{Provider: "p", ProviderVersion: "1", Layers: []mvr.Layer{{UUID: mvr.NameUUID("l"), Fixtures: []mvr.Fixture{{UUID: mvr.NameUUID("f"), ID: "1"}}}}}
	whole, err := small.Append(nil)
	if err != nil {
		f.Fatal(err)
	}
	text, _ := small.AppendXML(nil)
	f.Add(whole, "x.gdtf", []byte("a fixture type"))
	f.Add([]byte("PK\x05\x06"+strings.Repeat("\x00", 18)), "../x", text) // an empty archive
	f.Add([]byte("PK"), "GeneralSceneDescription.xml", text)             // the scene twice
	if m := flag.Lookup("test.fuzzminimizetime"); m.Value.String() == m.DefValue {
		flag.Set(m.Name, "100x")
	}
	f.Fuzz(func(t *testing.T, raw []byte, name string, content []byte) {
		if s, err := mvr.Parse(raw[:min(len(raw), 2048)]); err == nil {
			s.AppendXML(nil)
		}
		s, err := mvr.Parse(pack(t, []string{"GeneralSceneDescription.xml", name}, content[:min(len(content), 2048)]))
		if err != nil {
			return
		}
		for file := range s.Files {
			if strings.ContainsAny(file, `/\`) || file == ".." {
				t.Errorf("a file is named %q", file)
			}
		}
		if b, err := s.Append(nil); err == nil {
			if _, err := mvr.Parse(b); err != nil {
				t.Errorf("written again, it does not read: %v", err)
			}
		}
	})
}

// pack makes an archive, deflated, of files with this content.
func pack(t *testing.T, names []string, content []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range names {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write(content)
		}
		if err != nil {
			return nil // a name that ends in / is a folder
		}
	}
	if err := z.Close(); err != nil {
		return nil
	}
	return b.Bytes()
}

// The schema of the standard, where it is at hand.
func TestSchema(t *testing.T) {
	schema, err := filepath.Abs("../../../shared/reference/xsd/mvr.xsd")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(schema); err != nil {
		t.Skip("outside check left out: needs the schema of DIN SPEC 15801 (mvr.xsd), which is not part of the project")
	}
	outside.Need(t, "libxml2-utils", "xmllint")
	s := scene()
	s.Layers = append(s.Layers, mvr.Layer{UUID: mvr.NameUUID("empty"), Name: "empty"})
	text, err := s.AppendXML(nil)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "scene.xml")
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	outside.Run(t, "xmllint", "--noout", "--schema", schema, path)
}

// Python's zipfile is another reader of archives; it checks every sum.
func TestPythonReadsArchive(t *testing.T) {
	outside.Need(t, "python3", "python3")
	b, err := scene().Append(nil)
	if err != nil {
		t.Fatal(err)
	}
	out := outside.RunWith(t, b, "python3", "-c", `
import io, sys, zipfile, xml.etree.ElementTree as e
z = zipfile.ZipFile(io.BytesIO(sys.stdin.buffer.read()))
assert z.testzip() is None
root = e.fromstring(z.read("GeneralSceneDescription.xml"))
print([(f.get("name"), f.findtext("Addresses/Address")) for f in root.iter("Fixture")])`)
	if want := "[('UV left', '529'), ('Par & more', None)]\n"; out != want {
		t.Errorf("got %s, want %s", out, want)
	}
}
