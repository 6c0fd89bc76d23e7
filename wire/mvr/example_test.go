package mvr_test

import (
	"fmt"

	"lampblack/wire/mvr"
)

// One unit as other programs read it, and back.
func Example() {
	scene := mvr.Scene{
		Provider: "lampblack", ProviderVersion: "1",
		Layers: []mvr.Layer{{
			UUID: mvr.NameUUID("layer"), Name: "stage",
			Fixtures: []mvr.Fixture{{
				UUID: mvr.NameUUID("front left"), Name: "front left", ID: "1",
				Matrix:    mvr.Matrix{U: [3]float64{1, 0, 0}, V: [3]float64{0, 1, 0}, W: [3]float64{0, 0, 1}, O: [3]float64{-2000, -500, 3000}},
				Addresses: []mvr.Address{{Slot: mvr.Absolute(2, 21)}},
			}},
		}},
	}
	archive, err := scene.Append(nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	got, err := mvr.Parse(archive)
	if err != nil {
		fmt.Println(err)
		return
	}
	unit := got.Layers[0].Fixtures[0]
	universe, slot := unit.Addresses[0].Split()
	fmt.Println(unit.Name, "hangs at", unit.Matrix.O, "mm and listens to universe", universe, "from slot", slot)

	scene.Layers[0].Fixtures[0].ID = ""
	fmt.Println(scene.Check())
	// Output:
	// front left hangs at [-2000 -500 3000] mm and listens to universe 2 from slot 21
	// scene: fixture front left: got no fixture ID
}
