package manual

import (
	"slices"

	"lampblack/rig"
)

// What a person should be warned of.
const (
	DimAndStrobe    = "dimmer and strobe on one slot"
	ClosedAtZero    = "closed at zero"
	Programs        = "programs take over colours"
	SoundActive     = "sound-active"
	DeadRange       = "dead range"
	Gap             = "gap"
	Overlap         = "overlap"
	OutsideMaster   = "ultraviolet outside the master"
	NotDriven       = "emitter no slot drives"
	StrobeNoFigures = "strobe without figures"
	Restart         = "reset"
	Inverted        = "inverted dimmer"
)

// Trap is something in a table that bites those who do not know of it.
type Trap struct {
	Mode    string `json:"mode"`
	Slot    int    `json:"slot,omitempty"`
	Trap    string `json:"trap"`
	Emitter string `json:"emitter,omitempty"`
}

func (o *Reading) trap(mode string, slot int, trap string) {
	if t := (Trap{Mode: mode, Slot: slot, Trap: trap}); !slices.Contains(o.Traps, t) {
		o.Traps = append(o.Traps, t)
	}
}

// traps looks for them in every mode.
func (o *Reading) traps() {
	for i := range o.Modes {
		m := &o.Modes[i]
		drives := slices.ContainsFunc(m.Slots, func(s Slot) bool { return s.Drives != "" })
		for k := range m.Slots {
			o.slotTraps(m, &m.Slots[k], drives)
		}
		o.masterTraps(m)
		for _, e := range o.Emitters {
			if drives && !slices.ContainsFunc(m.Slots, func(s Slot) bool { return s.Drives == e }) {
				o.Traps = append(o.Traps, Trap{Mode: m.Name, Trap: NotDriven, Emitter: e})
			}
		}
	}
}

func (o *Reading) slotTraps(m *Mode, s *Slot, drives bool) {
	does := map[rig.Action]bool{}
	told := false
	program, sound, restart := false, false, false
	for i, r := range s.Ranges {
		does[r.Does] = true
		told = told || r.Told != ""
		program = program || s.told[i].program
		sound = sound || s.told[i].sound
		restart = restart || s.told[i].restart
		if i > 0 && r.From > s.Ranges[i-1].To+1 {
			o.trap(m.Name, s.Coarse, Gap)
		}
	}
	if n := len(s.Ranges); n > 0 && (s.Ranges[0].From > 0 || s.Ranges[n-1].To < 255) {
		o.trap(m.Name, s.Coarse, Gap)
	}
	for _, t := range []struct {
		holds bool
		trap  string
	}{
		{(len(s.Dims) > 0 || s.Drives != "") && (does[rig.Flash] || does[rig.FlashRandom]), DimAndStrobe},
		{s.At(0) != nil && s.At(0).Does == rig.Closed && !does[rig.Level] && !does[rig.LevelDown], ClosedAtZero},
		{program && drives, Programs},
		{sound, SoundActive},
		{does[rig.Nothing] && len(s.Ranges) > 1, DeadRange},
		{told, StrobeNoFigures},
		{restart, Restart},
		{s.inverted, Inverted},
	} {
		if t.holds {
			o.trap(m.Name, s.Coarse, t.trap)
		}
	}
}

// masterTraps finds ultraviolet that a mode's masters leave out.
func (o *Reading) masterTraps(m *Mode) {
	masters := false
	dimmed := map[string]bool{}
	for i := range m.Slots {
		for _, d := range m.Slots[i].Dims {
			masters, dimmed[d] = true, true
		}
	}
	for i := range m.Slots {
		if s := &m.Slots[i]; masters && s.Drives == "uv" && !dimmed["all"] && !dimmed["uv"] {
			o.trap(m.Name, s.Coarse, OutsideMaster)
		}
	}
}
