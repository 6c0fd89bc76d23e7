package gdtf_test

import (
	"archive/zip"
	"bytes"
	"flag"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"lampblack/wire/gdtf"
)

// A bar of two cells as an older program may write it (our own invention, after the tables of DIN
// SPEC 15800): version 1.0 with the default on the channel, no defaults of functions, a comma for the
// decimal point, words in another case, attributes of another kind of part, cells by reference,
// a function that a mode master switches.
const older = `<?xml version="1.0" encoding="ISO-8859-1"?>
<GDTF DataVersion="1.0">
<FixtureType Name="Zweier" Manufacturer="Eigenbau" Description="" FixtureTypeID="kein" New="1">
<AttributeDefinitions><FeatureGroups/><Attributes/></AttributeDefinitions>
<PhysicalDescriptions><Emitters>
 <Emitter Name="Blau" Color="0,15;0.06;7"><Measurement Physical="0.000000" LuminousIntensity="3"/><Measurement Physical="100" LuminousIntensity="0"/></Emitter>
</Emitters></PhysicalDescriptions>
<Geometries>
 <Geometry Name="Bar" LuminousFlux="5">
  <GeometryReference Name="L" Geometry="Cell" Position="{1,0,0,-0,25} {0,1,0,0}{0,0,1,0}{0,0,0,1}"><Break DMXBreak="1" DMXOffset="1"/></GeometryReference>
  <GeometryReference Name="R" Geometry="Cell"><Break DMXBreak="1" DMXOffset="4"/></GeometryReference>
 </Geometry>
 <Beam Name="Cell" BeamAngle="20,5" LampType="led"/>
</Geometries>
<DMXModes><DMXMode Name="8" Geometry="Bar"><DMXChannels>
 <DMXChannel Offset="1,2" Geometry="Cell" Default="32768/2"><LogicalChannel Attribute="Dimmer"><ChannelFunction Attribute="Dimmer" PhysicalFrom="0" PhysicalTo="1"/></LogicalChannel></DMXChannel>
 <DMXChannel Offset="7" Geometry="Bar"><LogicalChannel Attribute="Shutter1">
   <ChannelFunction Name="a" DMXFrom="0/1"/><ChannelFunction Name="c" DMXFrom="128"/>
   <ChannelFunction Name="b" DMXFrom="10/1" ModeMaster="Bar_x" ModeFrom="1/1" ModeTo="9/1"/></LogicalChannel></DMXChannel>
 <DMXChannel Offset="1,x" Geometry="Nowhere"/>
</DMXChannels></DMXMode></DMXModes>
</FixtureType></GDTF>`

func TestReadsOlder(t *testing.T) {
	f, err := gdtf.ParseXML([]byte(older))
	if err != nil {
		t.Fatal(err)
	}
	var notes []string
	for _, n := range f.Notes {
		notes = append(notes, n.String())
	}
	all := strings.Join(notes, "\n")
	for _, says := range []string{
		`line 3: FixtureType: attribute FixtureTypeID: got "kein"`, `attribute New is passed over`, `got "0,15;0.06;7"`, "want 3 numbers",
		`emitter "Blau": a measurement at 0 %`, "LuminousFlux does not belong", `got "1,x"`, `mode "8": some functions have no default`,
	} {
		if !strings.Contains(all, says) {
			t.Errorf("no %q in the notes\n%s", says, all)
		}
	}
	m := &f.Modes[0]
	if d := m.Channels[0].Logical[0].Functions[0].Default; d.At(2) != 32768 {
		t.Errorf("the default of the channel became %v", d)
	}
	if e := f.Physical.Emitters[0]; len(e.Measurements) != 1 || e.Measurements[0].Intensity.Told {
		t.Errorf("an intensity of 0 is one that is not told: %+v", e)
	}
	l := f.Layout(m)
	var slots []string
	for _, c := range l.Channels {
		slots = append(slots, fmt.Sprint(c.Slots, c.Path, c.Openings))
	}
	want := "[1 2]/Bar/L/Cell[0] [4 5]/Bar/R/Cell[1] [7]/Bar[0 1] []/Nowhere[0 1]"
	if got := strings.Join(slots, " "); got != want {
		t.Errorf("channels %s, want %s", got, want)
	}
	if b := l.Openings[0]; b.Beam.BeamAngle != gdtf.Is(20.5) || b.Beam.Lamp != "LED" || b.Beam.Flux.Told || b.Place.Told {
		t.Errorf("opening %+v", b)
	}
	// Functions end before the next of the same condition.
	got := ""
	for _, s := range m.Channels[1].Spans() {
		got += fmt.Sprintf("%s %d-%d, ", s.Function.Name, s.From, s.To)
	}
	if want := "a 0-127, b 10-255, c 128-255, "; got != want {
		t.Errorf("spans %s, want %s", got, want)
	}
}

// Table 1 of DIN SPEC 15800: octets are repeated, or shifted.
func TestValues(t *testing.T) {
	for _, c := range []struct {
		v     gdtf.Value
		bytes int
		want  uint64
	}{
		{gdtf.Value{N: 255, Bytes: 1}, 2, 65535}, {gdtf.Value{N: 255, Bytes: 1, Shift: true}, 2, 65280},
		{gdtf.Value{N: 128, Bytes: 1}, 2, 0x8080}, {gdtf.Value{N: 128, Bytes: 1, Shift: true}, 2, 0x8000},
		{gdtf.Value{N: 0x1234, Bytes: 2}, 1, 0x12}, {gdtf.Value{N: 0x1234, Bytes: 2}, 3, 0x123412}, {gdtf.Value{}, 2, 0},
	} {
		if got := c.v.At(c.bytes); got != c.want {
			t.Errorf("%v in %d octets is %#x, want %#x", c.v, c.bytes, got, c.want)
		}
	}
}

// Sets cut a function, and what is between their ends is linear.
func TestParts(t *testing.T) {
	c := gdtf.Channel{Offset: gdtf.Offsets{1}, Logical: []gdtf.LogicalChannel{{Attribute: "Dimmer", Functions: []gdtf.Function{
		{From: gdtf.Value{N: 0, Bytes: 1}, PhysFrom: gdtf.Is(0), PhysTo: gdtf.Is(1), Sets: []gdtf.ChannelSet{
			{Name: "full", From: gdtf.Octet(250), PhysFrom: gdtf.Is(1), PhysTo: gdtf.Is(1)}, {Name: "dark", From: gdtf.Octet(0), PhysTo: gdtf.Is(0)}, {From: gdtf.Octet(51)}}}}}}}
	s := c.Spans()[0]
	got := ""
	for _, p := range s.Parts(1) {
		got += fmt.Sprintf("%s %d-%d %.2f to %.2f, ", p.Name, p.From, p.To, p.PhysFrom.Value, p.PhysTo.Value)
	}
	if want := "dark 0-50 0.00 to 0.00,  51-249 0.20 to 0.98, full 250-255 1.00 to 1.00, "; got != want {
		t.Errorf("parts %s, want %s", got, want)
	}
}

// What the schema refuses, or cannot refuse, is named.
func TestCheck(t *testing.T) {
	f := &gdtf.FixtureType{Name: "a.b", ID: "x", Geometries: []gdtf.Geometry{{Kind: "Lamp", Name: "A", Flux: gdtf.Is(1)}, {Kind: gdtf.Reference, Name: "A", Refers: "none"}}}
	f.Physical.Emitters = []gdtf.Emitter{{Name: "UV"}}
	f.Physical.Profiles = []gdtf.Profile{{Points: make([]gdtf.ProfilePoint, 2)}}
	f.Definitions.Attributes = []gdtf.Attribute{{Name: "Dimmer", Feature: "No.Such"}}
	ch := gdtf.Channel{Geometry: "B", Initial: "B_Dimmer.Dimmer.none", Logical: []gdtf.LogicalChannel{{Attribute: "Dimmer", Functions: []gdtf.Function{{Attribute: "Dimmer", Emitter: "red", Master: "nowhere"}}}}}
	f.Modes = []gdtf.Mode{{Name: "m", Geometry: "C", Channels: []gdtf.Channel{ch, ch}}}
	err := f.Check()
	if err == nil {
		t.Fatal("taken")
	}
	for _, says := range []string{`Name: got "a.b"`, `FixtureTypeID: got "x"`, `kind "Lamp"`, "LuminousFlux does not belong", `two of the parts are called "A"`, `no part "none"`,
		"tells neither a colour", "2 points", `the features has no "No.Such"`, `the parts has no "B"`, `no part "C"`, `two of the channels of mode m are called "B_Dimmer"`,
		`no function "B_Dimmer.Dimmer.none"`, `the emitters has no "red"`, `no channel or function "nowhere"`} {
		if !strings.Contains(err.Error(), says) {
			t.Errorf("no %q in\n%v", says, err)
		}
	}
}

func TestName(t *testing.T) {
	if got, want := gdtf.Name("  Größe 2.5, é°\x00日 "), "Groesse 2 5; edeg"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// packed makes an archive of files, deflated.
func packed(t testing.TB, files ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		w, err := z.Create(files[i])
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprint(w, files[i+1])
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Files that are made to do harm are refused with a word that says why, and cost little: 100 MB and a
// second at the most (the limits that this project sets itself; with time for slow machines the test
// takes five).
func TestHostile(t *testing.T) {
	many := func(n int, text string) string {
		return "<GDTF><FixtureType>" + strings.Repeat(text, n) + "</FixtureType></GDTF>"
	}
	entries := packed(t, "a", "")
	directory := entries[bytes.Index(entries, []byte("PK\x01\x02")):bytes.Index(entries, []byte("PK\x05\x06"))]
	long := append(bytes.Repeat(directory, 100_000), entries...)
	bomb := `<!DOCTYPE a [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]><GDTF>&b;</GDTF>`
	for _, c := range []struct {
		what, says string
		b          []byte
	}{
		{"nothing", "archive", nil},
		{"half an archive", "archive", packed(t, "description.xml", older)[:200]},
		{"a bomb", "unpacked", packed(t, "description.xml", strings.Repeat(" ", 300<<20))},
		{"a name that leads out", "leads out", packed(t, "../description.xml", older)},
		{"a name that leads out by another sign", "leads out", packed(t, `a\..\..\description.xml`, older)},
		{"no description", "there is no description.xml", packed(t, "a.xml", older)},
		{"a hundred thousand files", "files", long},
		{"entities", "document type", packed(t, "description.xml", bomb)},
		{"an entity of nobody", "entity", []byte("<GDTF>&lol;</GDTF>")},
		{"deep", "within each other", []byte(strings.Repeat("<a>", 1000))},
		{"many elements", "tags", packed(t, "description.xml", many(1_000_000, "<a/>"))},
		{"many attributes", "attributes", packed(t, "description.xml", many(1, "<a "+strings.Repeat(`a="" `, 1_000_000)+"/>"))},
		{"another document", "want GDTF", []byte("<a/>")},
		{"no document", "syntax", []byte("<GDTF")},
		{"another alphabet", "character set", []byte(`<?xml version="1.0" encoding="shift_jis"?><GDTF/>`)},
	} {
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		start := time.Now()
		_, err := gdtf.Parse(c.b)
		took := time.Since(start)
		runtime.ReadMemStats(&after)
		t.Logf("%s: %d octets, %.3f s, %.1f MB: %.80s", c.what, len(c.b), took.Seconds(), float64(after.TotalAlloc-before.TotalAlloc)/(1<<20), fmt.Sprint(err))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want %q in it", c.what, err, c.says)
		}
		if took > 5*time.Second || after.TotalAlloc-before.TotalAlloc > 100<<20 {
			t.Errorf("%s: took %v and %d MB", c.what, took, (after.TotalAlloc-before.TotalAlloc)>>20)
		}
	}
}

// The most that is read at all stays within the limits too: nothing that is let through by the
// counts costs more than 100 MB that stay.
func TestLargest(t *testing.T) {
	text := "<GDTF DataVersion='1.2'><FixtureType><Geometries>" + strings.Repeat("<Beam Name='aaaaaaaa' Position='' BeamAngle='1'/>", 49_000) + "</Geometries></FixtureType></GDTF>"
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	f, err := gdtf.ParseXML([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	t.Logf("%d octets: %d MB stay of %d MB in all", len(text), (after.HeapAlloc-before.HeapAlloc)>>20, (after.TotalAlloc-before.TotalAlloc)>>20)
	if len(f.Geometries) != 49_000 || after.HeapAlloc-before.HeapAlloc > 100<<20 {
		t.Errorf("%d parts, %d MB", len(f.Geometries), (after.HeapAlloc-before.HeapAlloc)>>20)
	}
}

// References that refer to themselves end.
func TestLoops(t *testing.T) {
	text := `<GDTF><FixtureType><Geometries><Geometry Name="A">` + strings.Repeat(`<GeometryReference Name="r" Geometry="A"/>`, 9) +
		`</Geometry></Geometries><DMXModes><DMXMode Name="m" Geometry="A"><DMXChannels>` + strings.Repeat(`<DMXChannel Geometry="r" Offset="1"/>`, 9) + `</DMXChannels></DMXMode></DMXModes></FixtureType></GDTF>`
	f, err := gdtf.ParseXML([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	l := f.Layout(&f.Modes[0])
	if len(l.Notes) == 0 || !strings.Contains(l.Notes[0], "refer to each other") {
		t.Errorf("notes %v", l.Notes)
	}
}

// What reads and passes the checks is written in one form, which reads and writes the same; no text
// makes any part of reading fall over.
func FuzzXML(f *testing.F) {
	f.Add([]byte(older))
	for _, seed := range []int{1, 2, 3, 4, 5, 6} {
		b, _ := anyType.Example(seed).AppendXML(nil)
		f.Add(b)
	}
	quick(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		one, err := gdtf.ParseXML(b[:min(len(b), 1<<14)])
		if err != nil {
			return
		}
		for i := range one.Modes {
			one.Layout(&one.Modes[i]).Footprint()
			for j := range one.Modes[i].Channels {
				for _, s := range one.Modes[i].Channels[j].Spans() {
					s.Parts(max(len(one.Modes[i].Channels[j].Offset), 1))
				}
			}
		}
		text, err := one.AppendXML(nil)
		if err != nil {
			return
		}
		two, err := gdtf.ParseXML(text)
		if err != nil {
			t.Fatalf("our own text: %v\n%s", err, text)
		}
		if again, err := two.AppendXML(nil); err != nil || !bytes.Equal(text, again) {
			t.Fatalf("%s\nis written again as\n%s, %v", text, again, err)
		}
	})
}

// quick tries what finds something new a hundred times smaller, and not for a minute, unless the command says
// otherwise.
func quick(f *testing.F) {
	if m := flag.Lookup("test.fuzzminimizetime"); m.Value.String() == m.DefValue {
		if err := flag.Set(m.Name, "100x"); err != nil {
			f.Fatal(err)
		}
	}
}

// FuzzArchive reads hostile archives, and good ones of hostile files, cut to a length at which they are
// quick.
func FuzzArchive(f *testing.F) {
	whole, err := anyType.Example(1).Append(nil)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole[:min(len(whole), 2048)], "x")
	f.Add(packed(f, "description.xml", older), "../x")
	f.Add([]byte("PK\x05\x06"+strings.Repeat("\x00", 18)), "description.xml")
	quick(f)
	f.Fuzz(func(t *testing.T, b []byte, name string) {
		gdtf.Parse(b[:min(len(b), 4096)])
		if !strings.HasSuffix(name, "/") {
			gdtf.Parse(packed(t, name, string(b[:min(len(b), 4096)])))
		}
	})
}
