package demo

// Demo is one of the demos. [Demos] lists them.
type Demo struct {
	Name string // the word that asks for it
	Dir  string // the folder that it is written into if none is named

	texts  []string // what is embedded of it, in part what another demo has too
	sounds []recording
}

// recording is a sound of a demo: what it is made from, and the SHA-256 that its file
// has on every machine. A hash changes only when a piece is changed on purpose.
type recording struct {
	file string
	hash string
	plan func() Plan
}

// The demos.
var (
	// Fish is "The Lantern Fish", a black-light puppet play in a village hall.
	Fish = Demo{
		Name: "fish", Dir: "lantern-fish", texts: []string{"show"},
		sounds: []recording{{"lantern-fish.wav", "134503ff9b3473c91e25d903398d7ea548aaf26b372a2bb0a67b6d71715face2", TheLanternFish}},
	}
	// Evening is "Three Pieces by the Sea", in the same hall, with the same lamps; a small curtain opens
	// before the moon.
	Evening = Demo{
		Name: "evening", Dir: "three-pieces",
		texts: []string{"show/fixtures", "show/rig.yaml", "evening"},
		sounds: []recording{
			{"ferry-bell.wav", "51f0905840a1ff6e3088b9e6044bd58f17aa6ccb9fc7183ff1b385ad7656a3eb", ferryBell},
			{"spring-tide.wav", "d5c86981131a694f498e2f9d51799505b435d59cf7a0ec32d6b03ea23800a194", springTide},
		},
	}
	// Walk is "The Way Down", a corridor and two caves that open by themselves. Its
	// lamps are of the types that a new show has.
	Walk = Demo{
		Name: "walk", Dir: "way-down", texts: []string{"start/fixtures", "walk"},
		sounds: []recording{{"dripping-cave.wav", "ff6bf792097e92fe477195882e67b5f70b9f8e19c89f2e709777e5c7d108e71d", drippingCave}},
	}
	// Dance is "The Harbour Dance", a minute of light that moves by itself, in the same hall
	// with the same lamps, before a sail.
	Dance = Demo{
		Name: "dance", Dir: "harbour-dance",
		texts:  []string{"show/fixtures", "show/rig.yaml", "dance"},
		sounds: []recording{{"harbour-dance.wav", "d4e7105d8dccb5bf98a444d9425df6cd300fd7c4898fe347e49bb594a8b378a1", harbourDance}},
	}
)

// Demos lists the demos, the first first.
func Demos() []Demo { return []Demo{Fish, Evening, Walk, Dance} }
