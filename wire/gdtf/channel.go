package gdtf

// Mode is one slot table (Tables 59 to 69).
type Mode struct {
	Name        string     `gdtf:"Name,must" form:"name"`
	Description string     `gdtf:"Description"`
	Geometry    string     `gdtf:"Geometry,must" form:"name"` // at the top level
	Channels    []Channel  `gdtf:"DMXChannels/DMXChannel,must"`
	Relations   []Relation `gdtf:"Relations/Relation"`
	Macros      []Macro    `gdtf:"FTMacros/FTMacro"`
}

// Channel is one slot, or several that count together.
type Channel struct {
	Break     Break            `gdtf:"DMXBreak"`
	Offset    Offsets          `gdtf:"Offset"`
	Default   Value            `gdtf:"Default,read"` // only in version 1.0
	Initial   string           `gdtf:"InitialFunction" form:"nodes"`
	Highlight Value            `gdtf:"Highlight"`
	Geometry  string           `gdtf:"Geometry,must" form:"name"`
	Logical   []LogicalChannel `gdtf:"/LogicalChannel"`
}

// LogicalChannel is what a channel controls.
type LogicalChannel struct {
	Attribute string     `gdtf:"Attribute,must" form:"name"`
	Snap      string     `gdtf:"Snap" form:"Yes|No|On|Off"`
	Master    string     `gdtf:"Master" form:"None|Grand|Group"`
	MibFade   Figure     `gdtf:"MibFade"`
	Limit     Figure     `gdtf:"DMXChangeTimeLimit"`
	Functions []Function `gdtf:"/ChannelFunction"`
}

// Function is a range of slot values: it begins at From, and ends before the next that holds under
// the same condition. It holds only while the channel, or the function, Master has a value from
// ModeFrom to ModeTo, if Master is told.
type Function struct {
	Name       string          `gdtf:"Name" form:"name"`
	Attribute  string          `gdtf:"Attribute" form:"name"`
	Original   string          `gdtf:"OriginalAttribute"`
	From       Value           `gdtf:"DMXFrom"`
	Default    Value           `gdtf:"Default,must"`
	PhysFrom   Figure          `gdtf:"PhysicalFrom"`
	PhysTo     Figure          `gdtf:"PhysicalTo"`
	RealFade   Figure          `gdtf:"RealFade"`
	RealAccel  Figure          `gdtf:"RealAcceleration"`
	Wheel      string          `gdtf:"Wheel" form:"name"`
	Emitter    string          `gdtf:"Emitter" form:"name"`
	Filter     string          `gdtf:"Filter" form:"name"`
	ColorSpace string          `gdtf:"ColorSpace" form:"name"`
	Gamut      string          `gdtf:"Gammut|Gamut" form:"name"` // the schema has it with two m
	Master     string          `gdtf:"ModeMaster" form:"nodes"`
	ModeFrom   Value           `gdtf:"ModeFrom"`
	ModeTo     Value           `gdtf:"ModeTo"`
	Profile    string          `gdtf:"DMXProfile" form:"nodes"`
	Min        Figure          `gdtf:"Min"`
	Max        Figure          `gdtf:"Max"`
	CustomName string          `gdtf:"CustomName"`
	Sets       []ChannelSet    `gdtf:"/ChannelSet"`
	SubSets    []SubChannelSet `gdtf:"/SubChannelSet"`
}

// ChannelSet is a part of a function's range, with a name.
type ChannelSet struct {
	Name     string `gdtf:"Name" form:"name"`
	From     Value  `gdtf:"DMXFrom"`
	PhysFrom Figure `gdtf:"PhysicalFrom"`
	PhysTo   Figure `gdtf:"PhysicalTo"`
	Slot     Whole  `gdtf:"WheelSlotIndex"`
}

// SubChannelSet is a further quantity of a function, as how long its flashes last.
type SubChannelSet struct {
	Name     string `gdtf:"Name" form:"name"`
	PhysFrom string `gdtf:"PhysicalFrom"`
	PhysTo   string `gdtf:"PhysicalTo"`
	Unit     string `gdtf:"SubPhysicalUnit" form:"nodes"`
	Profile  string `gdtf:"DMXProfile" form:"nodes"`
}

// Relation says that a channel multiplies a function, or overrides it.
type Relation struct {
	Name     string `gdtf:"Name,must" form:"name"`
	Master   string `gdtf:"Master,must" form:"nodes"`
	Follower string `gdtf:"Follower|Slave,must" form:"nodes"` // Slave until version 1.0 (from memory)
	Type     string `gdtf:"Type,must" form:"Multiply|Override"`
}

// Macro is a list of values that the maker made ready.
type Macro struct {
	Name     string `gdtf:"Name,must" form:"name"`
	Function string `gdtf:"ChannelFunction" form:"nodes"`
	Steps    []struct {
		Duration Figure `gdtf:"Duration"`
		Values   []struct {
			Value   Value  `gdtf:"Value,must"`
			Channel string `gdtf:"DMXChannel,must" form:"nodes"`
		} `gdtf:"/MacroDMXValue"`
	} `gdtf:"MacroDMX/MacroDMXStep"`
}
