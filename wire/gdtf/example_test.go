package gdtf_test

import (
	"fmt"

	"lampblack/wire/gdtf"
)

// A lamp of one slot, written and read.
func Example() {
	lamp := gdtf.FixtureType{
		Name: "Night lamp", Manufacturer: "own", Description: "", ID: "7B1B8A0E-6B1C-4C0B-9B3B-0D1E6C2F3A41",
		Definitions: gdtf.Definitions{
			Groups:     []gdtf.FeatureGroup{{Name: "Dimmer", Pretty: "Dimmer", Features: []gdtf.Feature{{Name: "Dimmer"}}}},
			Attributes: []gdtf.Attribute{{Name: "Dimmer", Pretty: "Dim", Feature: "Dimmer.Dimmer"}},
		},
		Geometries: []gdtf.Geometry{{Kind: gdtf.Beam, Name: "Lens", BeamAngle: gdtf.Is(40)}},
		Modes: []gdtf.Mode{{Name: "one slot", Geometry: "Lens", Channels: []gdtf.Channel{{
			Offset: gdtf.Offsets{1}, Geometry: "Lens",
			Logical: []gdtf.LogicalChannel{{Attribute: "Dimmer", Functions: []gdtf.Function{{Attribute: "Dimmer", PhysFrom: gdtf.Is(0), PhysTo: gdtf.Is(1)}}}},
		}}}},
	}
	archive, err := lamp.Append(nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	got, err := gdtf.Parse(archive)
	if err != nil {
		fmt.Println(err)
		return
	}
	beam := got.Geometries[0]
	fmt.Println(got.Name, "has a beam of", beam.BeamAngle.Value, "degrees; its lumens are told:", beam.Flux.Told)
	span := got.Modes[0].Channels[0].Spans()[0]
	fmt.Println(span.Function.Does(), "from", span.From, "to", span.To)
	// Output:
	// Night lamp has a beam of 40 degrees; its lumens are told: false
	// Dimmer from 0 to 255
}
