package described_test

import (
	"fmt"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/rig/described"
	"lampblack/wire/gdtf"
)

// lamp is a description of our own invention around channels and physical descriptions.
func lamp(physical, geometries, channels string) string {
	if geometries == "" {
		geometries = `<Geometry Name="Body"><Beam Name="Lens" BeamAngle="20" FieldAngle="40"/></Geometry>`
	}
	return `<GDTF DataVersion="1.2"><FixtureType Name="Lamp" Manufacturer="own" Description="" FixtureTypeID="7B1B8A0E-6B1C-4C0B-9B3B-0D1E6C2F3A41">
<AttributeDefinitions><FeatureGroups/><Attributes/></AttributeDefinitions><PhysicalDescriptions>` + physical + `</PhysicalDescriptions>
<Geometries>` + geometries + `</Geometries><DMXModes><DMXMode Name="m" Geometry="Body"><DMXChannels>` + channels + `</DMXChannels></DMXMode></DMXModes></FixtureType></GDTF>`
}

// ch is a channel of one logical channel; functions are as written, with Default filled in.
func ch(offset, geometry, attribute string, functions ...string) string {
	out := fmt.Sprintf(`<DMXChannel Offset="%s" Geometry="%s"><LogicalChannel Attribute="%s">`, offset, geometry, attribute)
	for _, f := range functions {
		out += `<ChannelFunction Default="0/1" ` + f + `</ChannelFunction>`
	}
	if len(functions) == 0 {
		out += fmt.Sprintf(`<ChannelFunction Default="0/1" Attribute="%s"/>`, attribute)
	}
	return out + `</LogicalChannel></DMXChannel>`
}

func read(t *testing.T, text string) (*rig.Type, string, string) {
	t.Helper()
	d, err := gdtf.Parse([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	r, err := described.Read(d)
	if err != nil {
		t.Fatal(err)
	}
	y := string(r.YAML())
	ty, faults := rig.ReadType("lamp", "lamp.yaml", []byte(y))
	if err := faults.Err(); err != nil {
		t.Fatalf("%v\n%s", err, y)
	}
	var notes []string
	for _, n := range r.Notes {
		notes = append(notes, n.String())
	}
	return ty, y, strings.Join(notes, "\n")
}

// Slots as makers' descriptions have them, and what a type says of each.
func TestSlots(t *testing.T) {
	const red = `<DMXChannel Offset="2" Geometry="Body"><LogicalChannel Attribute="ColorAdd_R"><ChannelFunction Attribute="ColorAdd_R" Default="0/1"/></LogicalChannel></DMXChannel>`
	for _, c := range []struct{ what, channels, slot, note string }{
		{"a dimmer over colour", ch("1", "Body", "Dimmer"), "1: {dims: all}", ""},
		{"two octets", ch("3,1", "Body", "Dimmer"), "3-1: {dims: all}", ""},
		{"three octets", ch("1,3,4", "Body", "Dimmer"), "4: {idle: finer than slot 1}", "third octet"},
		{"open and strobe", ch("1", "Body", "Shutter1", `Attribute="Shutter1" PhysicalFrom="1" PhysicalTo="1">`, `Attribute="Shutter1Strobe" DMXFrom="10/1" PhysicalFrom="1" PhysicalTo="20">`),
			"1: {0-9: open, 10-255: flash 1 Hz to 20 Hz}", ""},
		{"names of sets", ch("1", "Body", "Shutter1", `Attribute="Shutter1"><ChannelSet Name="Closed" DMXFrom="0/1"/><ChannelSet Name="Open" DMXFrom="16/1"/>`, `Attribute="Shutter1Strobe" DMXFrom="32/1" Name="Strobe slow to fast">`),
			"1: {0-15: closed, 16-31: open, 32-255: flash slow to fast}", "no rates are told"},
		{"a shutter that tells nothing", ch("1", "Body", "Shutter1", `Attribute="Shutter1" PhysicalFrom="0" PhysicalTo="1">`), "1: {idle: shutter1}", "not told whether it is open"},
		{"defaults for rates", ch("1", "Body", "Shutter1", `Attribute="Shutter1" Name="Open" PhysicalFrom="0" PhysicalTo="1">`, `Attribute="Shutter1Strobe" DMXFrom="8/1" PhysicalFrom="0" PhysicalTo="1">`),
			"1: {0-7: open, 8-255: flash unknown}", "no rates are told"},
		{"pulses", ch("1", "Body", "Shutter1", `Attribute="Shutter1" PhysicalFrom="1" PhysicalTo="1">`, `Attribute="Shutter1StrobePulse" DMXFrom="8/1">`), "1: {0-7: open, 8-255: never}", ""},
		{"random", ch("1", "Body", "Shutter1", `Attribute="Shutter1" PhysicalFrom="1" PhysicalTo="1">`, `Attribute="Shutter1StrobeRandom" DMXFrom="8/1" PhysicalFrom="2" PhysicalTo="9">`), "1: {0-7: open, 8-255: flash random 2 Hz to 9 Hz}", ""},
		{"macros", ch("1", "Body", "ColorMacro1", `Attribute="ColorMacro1"><ChannelSet Name="No function" DMXFrom="0/1"/><ChannelSet Name="Red" DMXFrom="8/1"/>`), "1: {0-7: nothing, 8-255: never}", ""},
		{"macros without a rest", `<DMXChannel Offset="1" Geometry="Body"><LogicalChannel Attribute="Effects1"><ChannelFunction Attribute="Effects1" Default="3/1"/></LogicalChannel></DMXChannel>`, "1: {idle: effects1, set: 3}", "held at 3"},
		{"dimmer and strobe on one slot", `<DMXChannel Offset="1" Geometry="Body"><LogicalChannel Attribute="Dimmer"><ChannelFunction Attribute="Dimmer" Default="0/1" PhysicalFrom="0" PhysicalTo="1"/></LogicalChannel><LogicalChannel Attribute="Shutter1"><ChannelFunction Attribute="Shutter1Strobe" Default="0/1" DMXFrom="128/1" PhysicalFrom="1" PhysicalTo="15"/><ChannelFunction Attribute="Shutter1" Default="0/1" DMXFrom="251/1" PhysicalFrom="1" PhysicalTo="1"/></LogicalChannel></DMXChannel>`,
			"1: {dims: all, curve: {full from: 127}, 128-250: flash 1 Hz to 15 Hz, 251-255: open}", ""},
		{"a mode master", ch("1", "Body", "Dimmer", `Attribute="Dimmer" Name="D">`, `Attribute="Effects1" ModeMaster="Body_Function.Function.On" ModeFrom="100/1" ModeTo="255/1">`) + ch("3", "Body", "Function", `Attribute="NoFeature" Name="Off">`, `Attribute="NoFeature" Name="On" DMXFrom="100/1">`),
			"3: {0-99: nothing, 100-255: never}", "those values are kept out of"},
		{"an inverted dimmer", ch("1", "Body", "Dimmer", `Attribute="Dimmer" PhysicalFrom="1" PhysicalTo="0">`), "1: {dims: all, 0-255: level falling}", ""},
		{"per cent", ch("1", "Body", "Dimmer", `Attribute="Dimmer" PhysicalFrom="0" PhysicalTo="100">`), "1: {dims: all}", ""},
		{"a dead foot", ch("1", "Body", "Dimmer", `Attribute="Dimmer" PhysicalFrom="0" PhysicalTo="1"><ChannelSet Name="Off" DMXFrom="0/1" PhysicalFrom="0" PhysicalTo="0"/><ChannelSet DMXFrom="9/1" PhysicalFrom="0" PhysicalTo="1"/>`), "1: {dims: all, curve: {dark to: 9}}", ""},
		{"a profile by shares", ch("1", "Body", "Dimmer", `Attribute="Dimmer" DMXProfile="Q">`), "1: {dims: all, curve: {then: square}}", ""},
		{"a profile by per cent", ch("1", "Body", "Dimmer", `Attribute="Dimmer" DMXProfile="P">`), "1: {dims: all, curve: {then: square}}", ""},
		{"a profile that is not there", ch("1", "Body", "Dimmer", `Attribute="Dimmer" DMXProfile="X">`), "1: {dims: all}", `profile "X" is not there`},
		{"a fan", ch("1", "Body", "Fans", `Attribute="Fans"><ChannelSet Name="Off" DMXFrom="0/1"/><ChannelSet Name="Fan" DMXFrom="1/1"/>`), "1: {0: fan off, 1-255: fan}", ""},
		{"nothing", ch("1", "Body", "NoFeature"), "1: {idle: no function}", ""},
		{"another data input", `<DMXChannel DMXBreak="2" Offset="1" Geometry="Body"><LogicalChannel Attribute="Dimmer"><ChannelFunction Attribute="Dimmer" Default="0/1"/></LogicalChannel></DMXChannel>`, "2: {drives: red}", "data input 2"},
		{"a virtual dimmer", ch("None", "Body", "Dimmer"), "2: {drives: red}", "no slot of its own"},
		{"a slot twice", ch("1", "Body", "Dimmer") + ch("1", "Body", "NoFeature"), "1: {dims: all}", "stands twice"},
	} {
		_, y, notes := read(t, lamp(`<DMXProfiles><DMXProfile Name="Q"><Point DMXPercentage="0" CFC2="1"/></DMXProfile><DMXProfile Name="P"><Point DMXPercentage="0" CFC2="0.01"/></DMXProfile></DMXProfiles>`, "", c.channels+red))
		if !strings.Contains(y, "\n    "+c.slot+"\n") {
			t.Errorf("%s: no %q in\n%s", c.what, c.slot, y)
		}
		if !strings.Contains(notes, c.note) {
			t.Errorf("%s: no %q in\n%s", c.what, c.note, notes)
		}
	}
}

// What is not told is the usual light in a wide interval, and not the standard's default; what is told
// is taken.
func TestLight(t *testing.T) {
	drive := ch("1", "Body", "ColorAdd_R", `Attribute="ColorAdd_R" Emitter="Rot">`) + ch("2", "Body", "ColorAdd_UV", `Attribute="ColorAdd_UV" Emitter="UV">`)
	emitters := `<Emitters><Emitter Name="Rot" Color="0.69,0.31,40"/><Emitter Name="UV" DominantWaveLength="395"/></Emitters>`
	ty, y, notes := read(t, lamp(emitters, "", drive))
	if e := ty.Emitters.Get("UV"); e.Peak != 395 || e.Output.Radiant.High < 10*e.Output.Radiant.Low {
		t.Errorf("ultraviolet of which only the wavelength is told: %+v\n%s", e.Output, y)
	}
	for _, says := range []string{"spectrum of red is not told", "output of red is not told", "output of UV is not told", "what it draws is not told"} {
		if !strings.Contains(notes, says) {
			t.Errorf("no %q in\n%s", says, notes)
		}
	}
	// The flux of the beam, of which red has 40 parts of a hundred.
	beam := `<Geometry Name="Body"><Beam Name="Lens" BeamAngle="20" LuminousFlux="1000" PowerConsumption="55" BeamRadius="0.03"/></Geometry>`
	ty, y, _ = read(t, lamp(emitters, beam, drive))
	if l := ty.Emitters.Get("red").Output.Luminous; l.Best != 400 || l.Low != 280 || l.High != 520 {
		t.Errorf("red has %v of 1000 lm\n%s", l, y)
	}
	if ty.Supply.Max != 55 || ty.Lens[0] < .053 || ty.Lens[0] > .0535 {
		t.Errorf("supply %v, lens %v", ty.Supply.Max, ty.Lens)
	}
	// The standard's defaults, as programs write them.
	beam = `<Geometry Name="Body"><Beam Name="Lens" BeamAngle="25" FieldAngle="25" LuminousFlux="10000" PowerConsumption="1000"/></Geometry>`
	ty, _, notes = read(t, lamp(emitters, beam, drive))
	if l := ty.Emitters.Get("red").Output.Luminous; l.High > 1000 || ty.Supply.Max != 0 || !strings.Contains(notes, "the standard's defaults") {
		t.Errorf("red has %v, supply %v\n%s", l, ty.Supply.Max, notes)
	}
	// A spectrum with an intensity: of a lamp of 10 cd and a beam of 20° (cosⁿ: n = 45.1, 7.34 /sr).
	measured := `<Emitters><Emitter Name="Rot" Color="0.69,0.31,0"><Measurement Physical="100" LuminousIntensity="734"><MeasurementPoint WaveLength="620" Energy="0"/><MeasurementPoint WaveLength="630" Energy="2"/><MeasurementPoint WaveLength="650" Energy="0"/></Measurement></Emitter></Emitters>`
	ty, y, _ = read(t, lamp(measured, `<Geometry Name="Body"><Beam Name="Lens" BeamAngle="20"/></Geometry>`, ch("1", "Body", "ColorAdd_R", `Attribute="ColorAdd_R" Emitter="Rot">`)))
	if e := ty.Emitters.Get("red"); e.Light.Colour.Y < 98 || e.Light.Colour.Y > 102 || len(e.Spectrum) != 3 {
		t.Errorf("red has %.2f lm, want 100\n%s", e.Light.Colour.Y, y)
	}
	if _, err := described.Read(&gdtf.FixtureType{}); err == nil {
		t.Error("an empty description is a type")
	}
}

// Whites of which the colour is told are phosphors of its temperature: those of CIE standard illuminants A (2856 K) and D65
// (6504 K), CIE 015:2018. Ultraviolet of which irradiance is told is taken for 1 m, from a third to three times.
func TestWhiteAndUltraviolet(t *testing.T) {
	for _, c := range []struct{ xy, like string }{{"0.44758,0.40745", "phosphor 2900 K"}, {"0.3127,0.3290", "phosphor 6500 K"}} {
		ty, y, _ := read(t, lamp(`<Emitters><Emitter Name="Lamp" Color="`+c.xy+`,100"/></Emitters>`, "", ch("1", "Body", "ColorAdd_W", `Attribute="ColorAdd_W" Emitter="Lamp">`)))
		if got := ty.Emitters[0].Value.Like; got != c.like {
			t.Errorf("%s is %q, want %q\n%s", c.xy, got, c.like, y)
		}
	}
	// 1 W/m2/nm over 390 nm to 400 nm, a triangle of 5 W/m2; a beam of 20° has 7.34 /sr.
	uv := `<Emitters><Emitter Name="UV" DominantWaveLength="395"><Measurement Physical="100" LuminousIntensity="0"><MeasurementPoint WaveLength="390" Energy="0"/><MeasurementPoint WaveLength="395" Energy="1"/><MeasurementPoint WaveLength="400" Energy="0"/></Measurement></Emitter></Emitters>`
	ty, y, notes := read(t, lamp(uv, `<Geometry Name="Body"><Beam Name="Lens" BeamAngle="20"/></Geometry>`, ch("1", "Body", "ColorAdd_UV", `Attribute="ColorAdd_UV" Emitter="UV">`)))
	r := ty.Emitters[0].Value.Output.Radiant
	near := func(got, want float64) bool { return got > .99*want && got < 1.01*want }
	if !near(float64(r.Best), 5/7.34) || !near(float64(r.Low), float64(r.Best)/3) || !near(float64(r.High), float64(r.Best)*3) {
		t.Errorf("ultraviolet has %v, want %.3f W\n%s", r, 5/7.34, y)
	}
	if !strings.Contains(notes, "without a distance") {
		t.Errorf("notes %s", notes)
	}
}

// Cells: by reference, in the order of their places; several at one place are one; groups that go
// together are one; a plane of them is told.
func TestCells(t *testing.T) {
	at := func(x, y string) string { return `Position="{1,0,0,` + x + `}{0,1,0,` + y + `}{0,0,1,0}{0,0,0,1}"` }
	reference := `<Geometry Name="Body">` +
		`<GeometryReference Name="B" Geometry="Cell" ` + at("-0.2", "0") + `><Break DMXOffset="3"/></GeometryReference>` +
		`<GeometryReference Name="A" Geometry="Cell" ` + at("0.2", "0") + `><Break DMXOffset="1"/></GeometryReference></Geometry><Beam Name="Cell" BeamAngle="30"/>`
	two := ch("1", "Cell", "ColorAdd_R") + ch("2", "Cell", "Dimmer")
	ty, y, _ := read(t, lamp("", reference, two))
	for _, says := range []string{"cells: 2\n", "size: [0.8 m,", "1: {drives: red, cell: 2}", "3: {drives: red, cell: 1}", "2: {dims: all, cell: 2}", "4: {dims: all, cell: 1}"} {
		if !strings.Contains(y, says) {
			t.Errorf("no %q in\n%s", says, y)
		}
	}
	if ty.CellCount() != 2 {
		t.Errorf("%d cells", ty.CellCount())
	}
	apart := `<Geometry Name="Body"><Beam Name="R" BeamAngle="30"/><Beam Name="G" BeamAngle="40"/></Geometry>`
	ty, y, _ = read(t, lamp("", apart, ch("1", "R", "ColorAdd_R")+ch("2", "G", "ColorAdd_G")+ch("3", "Body", "Dimmer")))
	if ty.CellCount() != 1 || ty.Emitters.Get("green").Beam == nil || !strings.Contains(y, "3: {dims: all}") {
		t.Errorf("openings at one place are %d cells\n%s", ty.CellCount(), y)
	}
	groups, slots := `<Geometry Name="Body">`, ""
	for _, g := range []string{"A", "B"} {
		groups += `<Geometry Name="` + g + `">`
		for i := range 3 {
			groups += fmt.Sprintf(`<Beam Name="%s%d" BeamAngle="30" %s/>`, g, i, at(fmt.Sprintf("%.1f", float64(i)*.1+map[string]float64{"A": 0, "B": .3}[g]), "0"))
		}
		groups += `</Geometry>`
		slots += ch(map[string]string{"A": "1", "B": "2"}[g], g, "ColorAdd_R")
	}
	ty, y, notes := read(t, lamp("", groups+`</Geometry>`, slots))
	if ty.CellCount() != 2 || !strings.Contains(y, "2: {drives: red, cell: 2}") || !strings.Contains(notes, "6 light openings are driven in 2 groups") {
		t.Errorf("groups are %d cells\n%s", ty.CellCount(), y)
	}
	plane := `<Geometry Name="Body"><Beam Name="A" BeamAngle="30"/><Beam Name="B" BeamAngle="30" ` + at("0.1", "0") + `/><Beam Name="C" BeamAngle="30" ` + at("0", "0.1") + `/></Geometry>`
	if _, _, notes := read(t, lamp("", plane, ch("1", "A", "ColorAdd_R")+ch("2", "B", "ColorAdd_R")+ch("3", "C", "ColorAdd_R"))); !strings.Contains(notes, "do not stand in a row") {
		t.Errorf("a plane of cells: %s", notes)
	}
}

// Any description that reads can be made a type of, or is refused; what is made reads.
func FuzzRead(f *testing.F) {
	f.Add([]byte(lamp("", "", ch("1", "Body", "Dimmer")+ch("2,3", "Lens", "ColorAdd_R"))))
	f.Add([]byte(lamp(`<Emitters><Emitter Name="U V" DominantWaveLength="395"><Measurement Physical="50" LuminousIntensity="7"><MeasurementPoint WaveLength="390" Energy="1"/><MeasurementPoint WaveLength="400" Energy="2"/></Measurement></Emitter></Emitters>`,
		`<Geometry Name="Body"><GeometryReference Name="A" Geometry="C"><Break DMXOffset="2"/></GeometryReference></Geometry><Beam Name="C" BeamAngle="9" LuminousFlux="3"/>`,
		ch("1", "C", "ColorAdd_UV", `Attribute="ColorAdd_UV" Emitter="U V" DMXFrom="9/1">`)+ch("7", "Body", "Shutter1", `Attribute="Shutter1"><ChannelSet Name="Open" DMXFrom="3/1"/>`, `Attribute="Shutter1Strobe" DMXFrom="99/1" PhysicalFrom="1" PhysicalTo="9">`))))
	for _, e := range rig.Generic()[:3] {
		d, _ := described.Write(e.Value)
		text, _ := d.AppendXML(nil)
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		d, err := gdtf.ParseXML(b[:min(len(b), 1<<14)])
		if err != nil {
			return
		}
		r, err := described.Read(d)
		if err != nil {
			return
		}
		ty, faults := rig.ReadType("x", "x.yaml", r.YAML())
		if err := faults.Err(); err != nil {
			t.Fatalf("%v\n%s", err, r.YAML())
		}
		r.Words()
		out, _ := described.Write(ty)
		if _, err := out.AppendXML(nil); err != nil {
			t.Fatalf("%v\n%s", err, r.YAML())
		}
	})
}
