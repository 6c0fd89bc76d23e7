package gdtf

// FixtureType is a kind of lamp (Table 3 of the standard).
type FixtureType struct {
	Name            string `gdtf:"Name,must" form:"name"`
	ShortName       string `gdtf:"ShortName"`
	LongName        string `gdtf:"LongName"`
	Manufacturer    string `gdtf:"Manufacturer,must"`
	Description     string `gdtf:"Description,must"`
	ID              string `gdtf:"FixtureTypeID,must" form:"guid"`
	Thumbnail       string `gdtf:"Thumbnail"`
	RefFT           string `gdtf:"RefFT" form:"guid"`
	CanHaveChildren string `gdtf:"CanHaveChildren" form:"Yes|No"`

	Definitions Definitions `gdtf:"AttributeDefinitions/,must"`
	Wheels      []Wheel     `gdtf:"Wheels/Wheel"`
	Physical    Physical    `gdtf:"PhysicalDescriptions/"`
	Models      []Model     `gdtf:"Models/Model"`
	Geometries  []Geometry  `gdtf:"Geometries/*,must"`
	Modes       []Mode      `gdtf:"DMXModes/DMXMode,must"`
	Revisions   []Revision  `gdtf:"Revisions/Revision"`
	Presets     []struct{}  `gdtf:"FTPresets/FTPreset"`
	Protocols   Protocols   `gdtf:"Protocols/"`

	Version string // of the standard, as read
	Notes   []Note // doubts of reading
}

// Definitions are the words that channels use (Tables 4 to 10).
type Definitions struct {
	Activation []struct {
		Name string `gdtf:"Name,must" form:"name"`
	} `gdtf:"ActivationGroups/ActivationGroup"`
	Groups     []FeatureGroup `gdtf:"FeatureGroups/FeatureGroup,must"`
	Attributes []Attribute    `gdtf:"Attributes/Attribute,must"`
}

// FeatureGroup is a group of features, as Color.
type FeatureGroup struct {
	Name     string    `gdtf:"Name,must" form:"name"`
	Pretty   string    `gdtf:"Pretty,must"`
	Features []Feature `gdtf:"/Feature"`
}

// Feature is what attributes belong to, as RGB.
type Feature struct {
	Name string `gdtf:"Name,must" form:"name"`
}

// Attribute is what a channel can do, as ColorAdd_R.
type Attribute struct {
	Name       string    `gdtf:"Name,must" form:"name"`
	Pretty     string    `gdtf:"Pretty,must"`
	Activation string    `gdtf:"ActivationGroup"`
	Feature    string    `gdtf:"Feature,must" form:"nodes"` // Group.Feature
	Main       string    `gdtf:"MainAttribute" form:"name"`
	Unit       string    `gdtf:"PhysicalUnit" form:"None|Percent|Length|Mass|Time|Temperature|LuminousIntensity|Angle|Force|Frequency|Current|Voltage|Power|Energy|Area|Volume|Speed|Acceleration|AngularSpeed|AngularAccc|WaveLength|ColorComponent"`
	Color      CIE       `gdtf:"Color"`
	Sub        []SubUnit `gdtf:"/SubPhysicalUnit"`
}

// SubUnit is a further unit of an attribute, as how long a flash lasts.
type SubUnit struct {
	Type string `gdtf:"Type" form:"PlacementOffset|Amplitude|AmplitudeMin|Duration|DutyCycle|TimeOffset|MinimumOpening|Value|RatioHorizontal|RatioVertical|AmplitudeMax"`
	Unit string `gdtf:"PhysicalUnit"`
	From Figure `gdtf:"PhysicalFrom"`
	To   Figure `gdtf:"PhysicalTo"`
}

// Wheel is a wheel of filters, or a list of colours that a lamp mixes instead.
type Wheel struct {
	Name  string      `gdtf:"Name" form:"name"`
	Slots []WheelSlot `gdtf:"/Slot"`
}

// WheelSlot is a place on a wheel; its colour is relative to the light without it.
type WheelSlot struct {
	Name   string `gdtf:"Name,must"`
	Color  CIE    `gdtf:"Color"`
	Filter string `gdtf:"Filter" form:"name"`
	Media  string `gdtf:"MediaFileName"`
}

// Physical is what measurement says (Tables 17 to 36).
type Physical struct {
	Emitters   []Emitter    `gdtf:"Emitters/Emitter"`
	Filters    []Filter     `gdtf:"Filters/Filter"`
	Space      ColorSpace   `gdtf:"ColorSpace/"`
	Spaces     []ColorSpace `gdtf:"AdditionalColorSpaces/ColorSpace"`
	Gamuts     []Gamut      `gdtf:"Gamuts/Gamut"`
	Profiles   []Profile    `gdtf:"DMXProfiles/DMXProfile"`
	Rendering  []Rendering  `gdtf:"CRIs/CRIGroup"`
	Connectors []Connector  `gdtf:"Connectors/Connector"`
	Properties Properties   `gdtf:"Properties/"`
}

// Emitter is one colour of light. The colour of what cannot be seen is left out, and
// its wavelength is told.
type Emitter struct {
	Name         string        `gdtf:"Name,must" form:"name"`
	Color        CIE           `gdtf:"Color"` // Y relative to the flux of the beam
	Wavelength   Figure        `gdtf:"DominantWaveLength"`
	Diode        string        `gdtf:"DiodePart"`
	Measurements []Measurement `gdtf:"/Measurement"`
}

// Measurement is light at a drive of Physical per cent; below the first it falls to dark at 0.
type Measurement struct {
	Physical     Figure  `gdtf:"Physical,must"`
	Intensity    Figure  `gdtf:"LuminousIntensity,must"` // cd
	To           string  `gdtf:"InterpolationTo" form:"Linear|Step|Log"`
	Transmission Figure  `gdtf:"Transmission"`
	WaveLengths  []Point `gdtf:"/MeasurementPoint"`
}

// Point is spectral irradiance, W/m2/nm, at a wavelength in nm.
type Point struct {
	WaveLength Figure `gdtf:"WaveLength,must"`
	Energy     Figure `gdtf:"Energy,must"`
}

// Filter is what a wheel's slot lets through.
type Filter struct {
	Name         string              `gdtf:"Name,must" form:"name"`
	Color        CIE                 `gdtf:"Color"`
	Measurements []FilterMeasurement `gdtf:"/Measurement"`
}

// FilterMeasurement is what a filter lets through at a share of its travel.
type FilterMeasurement struct {
	Physical     Figure  `gdtf:"Physical,must"`
	Transmission Figure  `gdtf:"Transmission,must"`
	To           string  `gdtf:"InterpolationTo" form:"Linear|Step|Log"`
	WaveLengths  []Point `gdtf:"/MeasurementPoint"`
}

// ColorSpace is what colours of mixed channels mean.
type ColorSpace struct {
	Name  string `gdtf:"Name" form:"name"`
	Mode  string `gdtf:"Mode" form:"Custom|sRGB|ProPhoto|ANSI"`
	Red   CIE    `gdtf:"Red"`
	Green CIE    `gdtf:"Green"`
	Blue  CIE    `gdtf:"Blue"`
	White CIE    `gdtf:"WhitePoint"`
}

// Gamut is an area of colours.
type Gamut struct {
	Name   string `gdtf:"Name" form:"name"`
	Points string `gdtf:"Points"`
}

// Profile is a dimmer's response: at x the sum of CFCk·(x - DMXPercentage)^k, of the last point
// that is not above x.
type Profile struct {
	Name   string         `gdtf:"Name" form:"name"`
	Points []ProfilePoint `gdtf:"/Point"`
}

// ProfilePoint begins a piece of a profile.
type ProfilePoint struct {
	At Figure `gdtf:"DMXPercentage"`
	C0 Figure `gdtf:"CFC0"`
	C1 Figure `gdtf:"CFC1"`
	C2 Figure `gdtf:"CFC2"`
	C3 Figure `gdtf:"CFC3"`
}

// Rendering is colour rendering at a colour temperature.
type Rendering struct {
	Temperature Figure `gdtf:"ColorTemperature"`
	Samples     []struct {
		CES   string `gdtf:"CES"`
		Index Whole  `gdtf:"ColorRenderingIndex"`
	} `gdtf:"/CRI"`
}

// Connector is a socket or a plug.
type Connector struct {
	Name   string `gdtf:"Name,must" form:"name"`
	Type   string `gdtf:"Type,must" form:"name"`
	Break  Whole  `gdtf:"DMXBreak"`
	Gender Whole  `gdtf:"Gender"`
	Length Figure `gdtf:"Length"`
}

// Properties are of the lamp as a whole. Temperatures are in °C, weight in kg, the leg in m.
type Properties struct {
	Temperature []struct {
		Low  Figure `gdtf:"Low"`
		High Figure `gdtf:"High"`
	} `gdtf:"/OperatingTemperature"`
	Weight []struct {
		Value Figure `gdtf:"Value"`
	} `gdtf:"/Weight"`
	Power []PowerConsumption `gdtf:"/PowerConsumption"`
	Leg   []struct {
		Value Figure `gdtf:"Value"`
	} `gdtf:"/LegHeight"`
}

// PowerConsumption is what is drawn at a connector, in W (until version 1.1; later files have a
// WiringObject).
type PowerConsumption struct {
	Value         Figure `gdtf:"Value"`
	Factor        Figure `gdtf:"PowerFactor"`
	Connector     string `gdtf:"Connector,must" form:"name"`
	VoltageLow    Figure `gdtf:"VoltageLow"`
	VoltageHigh   Figure `gdtf:"VoltageHigh"`
	FrequencyLow  Figure `gdtf:"FrequencyLow"`
	FrequencyHigh Figure `gdtf:"FrequencyHigh"`
}

// Model is the size of a part, in m.
type Model struct {
	Name      string `gdtf:"Name,must" form:"name"`
	Length    Figure `gdtf:"Length"` // along x
	Width     Figure `gdtf:"Width"`  // along y
	Height    Figure `gdtf:"Height"` // along z
	Primitive string `gdtf:"PrimitiveType" form:"Undefined|Cube|Cylinder|Sphere|Base|Yoke|Head|Scanner|Conventional|Pigtail|Base1_1|Scanner1_1|Conventional1_1"`
	File      string `gdtf:"File"`
}

// Revision is one change of a description.
type Revision struct {
	Text string `gdtf:"Text"`
	Date string `gdtf:"Date" form:"date"`
	User Whole  `gdtf:"UserID"`
	By   string `gdtf:"ModifiedBy"`
}

// Protocols are what the lamp answers to beside DMX512.
type Protocols struct {
	RDM RDM `gdtf:"FTRDM/"`
}

// RDM is how the lamp calls itself by ANSI E1.20, and which of its personalities a mode is.
type RDM struct {
	Manufacturer string `gdtf:"ManufacturerID" form:"hex"`
	Model        string `gdtf:"DeviceModelID" form:"hex"`
	Software     []struct {
		Value         string `gdtf:"Value" form:"hex"`
		Personalities []struct {
			Value string `gdtf:"Value" form:"hex"`
			Mode  string `gdtf:"DMXMode" form:"name"`
		} `gdtf:"/DMXPersonality"`
	} `gdtf:"/SoftwareVersionID"`
}
