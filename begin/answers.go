package begin

// Question is one of the eight.
type Question int

// The questions, in the order in which they are asked.
const (
	WhatQuestion Question = iota
	SoundQuestion
	RoomQuestion
	PeopleQuestion
	UnitsQuestion
	PlacesQuestion
	GlowQuestion
	SiteQuestion
	Questions int = iota
)

// Answers are what the texts of a show say to the eight questions. Lengths and places are in metres,
// from the middle of the front edge of the stage: x to the right as the audience sees it, y away
// from the audience, z up.
type Answers struct {
	What   What     `json:"what"`
	Sound  Music    `json:"sound"`
	Room   RoomSize `json:"room"`
	People People   `json:"people"`
	Units  Units    `json:"units"`
	Places Places   `json:"places"`
	Glow   Glow     `json:"glow"`
	Site   Site     `json:"site"`

	Marks   []string `json:"marks"`   // of each answer, to say what was seen
	Said    []bool   `json:"said"`    // whether somebody has answered it
	Guesses []Guess  `json:"guesses"` // what stands in the texts and nobody said
	Drafted bool     `json:"drafted"` // there are cues
	Faults  []string `json:"faults"`  // of texts that do not read: those are for an editor
}

// What happens.
type What struct {
	Title   string `json:"title"`
	About   string `json:"about"`
	Place   string `json:"place"`
	Evening bool   `json:"evening"` // the piece stands between a look before it and one after it
}

// Music is the soundtrack, a file in the folder.
type Music struct {
	Name string `json:"name"` // "" for none
}

// RoomSize is the room: its shape and what it is made of.
type RoomSize struct {
	Width    float64 `json:"width"`
	Depth    float64 `json:"depth"`
	Height   float64 `json:"height"`
	Front    float64 `json:"front"` // of the stage, from the wall behind the audience
	Walls    string  `json:"walls"`
	Floor    string  `json:"floor"`
	Ceiling  string  `json:"ceiling"`
	Backdrop string  `json:"backdrop"` // what hangs behind the stage, "" for nothing
}

// People are who sits, plays and walks where.
type People struct {
	Seats   []Seats  `json:"seats"`
	Playing *Area    `json:"playing"` // where it is played; nil where nobody said
	Players []Player `json:"players"`
	Ways    []Way    `json:"ways"`
}

// Area is a rectangle on the floor.
type Area struct {
	Left  float64 `json:"left"` // x
	Right float64 `json:"right"`
	Near  float64 `json:"near"` // y, to the audience
	Far   float64 `json:"far"`
}

// Seats are a block of them; its eyes are in its corners and its middle.
type Seats struct {
	ID       string `json:"id"` // the name that it had
	Name     string `json:"name"`
	Area     `json:"area"`
	Children bool `json:"children"`
}

// Player is who plays there.
type Player struct {
	ID   string  `json:"id"`
	Name string  `json:"name"`
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
}

// Way is where people walk in the dark.
type Way struct {
	ID     string       `json:"id"`
	Name   string       `json:"name"`
	Points [][2]float64 `json:"points"`
	Width  float64      `json:"width"`
}

// Units are those that there are, by what they are and what they are for.
type Units struct {
	Groups []Group `json:"groups"`
}

// Group is some units that are alike.
type Group struct {
	ID     string   `json:"id"` // the first unit's name; "" for a group that is new
	Type   string   `json:"type"`
	Mode   string   `json:"mode"` // "" where nobody has looked
	System string   `json:"system"`
	Count  int      `json:"count"`
	Units  []string `json:"units"` // their names, and where they listen
	Slots  string   `json:"slots"`
}

// Places are where units stand or hang.
type Places struct {
	Units []Place `json:"units"`
}

// Place is one unit's.
type Place struct {
	Unit    string     `json:"unit"`
	System  string     `json:"system"`
	Dark    bool       `json:"dark"`    // it gives black light alone
	Placed  bool       `json:"placed"`  // somebody said so
	Guessed bool       `json:"guessed"` // it was proposed
	At      [3]float64 `json:"at"`
	Aim     [3]float64 `json:"aim"`
}

// Glow is what is to glow.
type Glow struct {
	Things []Thing `json:"things"`
}

// Thing is painted, flat, and turned to the audience.
type Thing struct {
	ID     string  `json:"id"`
	Name   string  `json:"name"`
	Paint  string  `json:"paint"`
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Z      float64 `json:"z"` // of its middle
}

// Ways out of the computer.
const (
	NothingYet  = ""
	ByE131      = "e131"   // to a node, ANSI E1.31
	ByArtNet    = "artnet" // the protocol of that name
	BySerial    = "serial" // a cable from USB to DMX512-A
	ByWidget    = "widget"
	AsItIsThere = "other" // a line that the page does not know
)

// Site is what is there already.
type Site struct {
	Out       string `json:"out"`
	To        string `json:"to"` // its address or device
	Timecode  bool   `json:"timecode"`
	Desk      bool   `json:"desk"`
	DeskSlots int    `json:"deskSlots"`
	Scenes    int    `json:"scenes"`
}

// Guess is what stands in a text and nobody said.
type Guess struct {
	File     string   `json:"file"`
	Line     int      `json:"line"`
	Question Question `json:"question"`
	What     string   `json:"what"` // the thing
	Text     string   `json:"text"` // why it stands so
}
