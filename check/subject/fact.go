package subject

import "lampblack/check/finding"

// What may not have been said of a show, in the order in which people would tell it.
var (
	Places   = finding.Fact{What: "where units hang and aim", Write: "at: and aim: in rig.yaml"}
	Sizes    = finding.Fact{What: "how large the room is", Write: "size: and stage front: in room.yaml"}
	Eyes     = finding.Fact{What: "where eyes are", Write: "audience: and performers: in room.yaml"}
	Things   = finding.Fact{What: "what looks shine on", Write: "surfaces: and objects: in room.yaml"}
	Ways     = finding.Fact{What: "where people walk", Write: "paths: in room.yaml"}
	Modes    = finding.Fact{What: "which slots units use", Write: "mode: in rig.yaml"}
	Cues     = finding.Fact{What: "when looks come", Write: "cues: in score.yaml"}
	Sound    = finding.Fact{What: "what is heard", Write: "soundtrack: in show.yaml"}
	Plugs    = finding.Fact{What: "what feeds the units", Write: "circuits: in rig.yaml, and circuit: or fed by: of each unit"}
	Breakers = finding.Fact{What: "what breaker there is", Write: "breaker: of the circuit in rig.yaml"}
	Devices  = finding.Fact{What: "what residual current device there is, which a competent person tells", Write: "residual current device: of the circuit in rig.yaml; temporary supplies want 30 mA"}
	Power    = finding.Fact{What: "what the units draw", Write: "supply: {max: 60 W, factor: 0.9} in the type's file, from its plate"}
	Leakage  = finding.Fact{What: "what the units leak to earth", Write: "leakage: behind supply: in the type's file; about 1 mA for a switching supply (common practice)"}
	Lines    = finding.Fact{What: "how data runs", Write: "lines: in rig.yaml"}
	Ends     = finding.Fact{What: "whether the last unit of a data line has a terminator", Write: "terminated: of the line in rig.yaml"}
	Outputs  = finding.Fact{What: "which way the light goes out", Write: "outputs: in show.yaml, as - {to: e131 multicast}"}
	Weights  = finding.Fact{What: "what the units weigh", Write: "weight: 4 kg in the type's file"}
	Carries  = finding.Fact{What: "what bars and stands carry", Write: "carries: of the support in rig.yaml; a competent person says what a building's bar carries"}
	Shelters = finding.Fact{What: "what the housings outdoors keep out", Write: "housing: IP65 in the type's file"}
	Losses   = finding.Fact{What: "what units do when their data stops", Write: "on data loss: in the type's file; try it by pulling the plug"}
)

// Facts lists them all.
var Facts = []finding.Fact{Places, Sizes, Eyes, Things, Ways, Modes, Cues, Sound, Plugs, Breakers, Devices, Power, Leakage, Lines, Ends, Outputs, Losses, Weights, Carries, Shelters}
