package gdtf

// Geometry is a part of the lamp (Tables 38 to 58). Kind is its element: Geometry, Beam,
// GeometryReference, WiringObject, and others; only some attributes belong to each.
type Geometry struct {
	Kind     string `gdtf:"element"`
	Name     string `gdtf:"Name,must" form:"name"`
	Model    string `gdtf:"Model" form:"name"`
	Position Matrix `gdtf:"Position"`

	// Of a Beam, a light opening.
	Lamp        string `gdtf:"LampType" form:"Discharge|Tungsten|Halogen|LED" of:"Beam"`
	Power       Figure `gdtf:"PowerConsumption" of:"Beam"` // W
	Flux        Figure `gdtf:"LuminousFlux" of:"Beam"`     // lm
	Temperature Figure `gdtf:"ColorTemperature" of:"Beam"` // K
	BeamAngle   Figure `gdtf:"BeamAngle" of:"Beam"`        // full, in degrees
	FieldAngle  Figure `gdtf:"FieldAngle" of:"Beam"`
	ThrowRatio  Figure `gdtf:"ThrowRatio" of:"Beam"`
	Rectangle   Figure `gdtf:"RectangleRatio" of:"Beam"`
	Radius      Figure `gdtf:"BeamRadius" of:"Beam"` // of the opening, m
	BeamType    string `gdtf:"BeamType" form:"Wash|Spot|None|Rectangle|PC|Fresnel|Glow" of:"Beam"`
	Rendering   Whole  `gdtf:"ColorRenderingIndex" of:"Beam"`
	Spectrum    string `gdtf:"EmitterSpectrum" form:"nodes" of:"Beam"`

	// Of a GeometryReference, which puts a part at the top level here once more.
	Refers string `gdtf:"Geometry" form:"name" of:"GeometryReference|Inventory|Structure|Support"`

	// Of a WiringObject, a plug, a socket or a wire within.
	Connector    string `gdtf:"ConnectorType" of:"WiringObject"`
	Component    string `gdtf:"ComponentType" form:"Input|Output|PowerSource|Consumer|Fuse|NetworkProvider|NetworkInput|NetworkOutput|NetworkInOut" of:"WiringObject"`
	Signal       string `gdtf:"SignalType" of:"WiringObject"`
	Pins         Whole  `gdtf:"PinCount" of:"WiringObject"`
	Load         Figure `gdtf:"ElectricalPayLoad" of:"WiringObject"` // W
	VoltageMax   Figure `gdtf:"VoltageRangeMax" of:"WiringObject"`
	VoltageMin   Figure `gdtf:"VoltageRangeMin" of:"WiringObject"`
	FrequencyMax Figure `gdtf:"FrequencyRangeMax" of:"WiringObject"`
	FrequencyMin Figure `gdtf:"FrequencyRangeMin" of:"WiringObject"`
	MaxLoad      Figure `gdtf:"MaxPayLoad" of:"WiringObject"` // VA
	Voltage      Figure `gdtf:"Voltage" of:"WiringObject"`
	Layer        Whole  `gdtf:"SignalLayer" of:"WiringObject"`
	CosPhi       Figure `gdtf:"CosPhi" of:"WiringObject"`
	Fuse         Figure `gdtf:"FuseCurrent" of:"WiringObject"` // A
	FuseRating   string `gdtf:"FuseRating" form:"B|C|D|K|Z" of:"WiringObject"`
	Side         string `gdtf:"Orientation" form:"Left|Right|Top|Bottom" of:"WiringObject"`
	WireGroup    string `gdtf:"WireGroup" of:"WiringObject"`

	Parts   []Geometry `gdtf:"/*"`
	Breaks  []RefBreak `gdtf:"/Break" of:"GeometryReference|Inventory|Structure|Support"`
	Patches []PinPatch `gdtf:"/PinPatch" of:"WiringObject"`
}

// RefBreak says where the slots of a part that is referred to begin.
type RefBreak struct {
	Offset Whole `gdtf:"DMXOffset"`
	Break  Whole `gdtf:"DMXBreak"`
}

// PinPatch is a wire from a pin to one of another plug.
type PinPatch struct {
	To      string `gdtf:"ToWiringObject" form:"nodes"`
	FromPin Whole  `gdtf:"FromPin"`
	ToPin   Whole  `gdtf:"ToPin"`
}

// kinds lists the elements that are parts. Those that only a lamp with moving parts, or none, has
// are read for what is within them.
var kinds = []string{"Geometry", "Axis", "FilterBeam", "FilterColor", "FilterGobo", "FilterShaper", "Beam", "MediaServerLayer", "MediaServerCamera",
	"MediaServerMaster", "Display", "Laser", "GeometryReference", "WiringObject", "Inventory", "Structure", "Support", "Magnet"}

// Kinds of parts.
const (
	Plain     = "Geometry"
	Beam      = "Beam"
	Reference = "GeometryReference"
	Wiring    = "WiringObject"
)
