package rig

import (
	"lampblack/si"
	"lampblack/source"
)

// Type is a fixture type: one kind of lamp.
type Type struct {
	source.Pos
	ID       string                // the file's name without its ending; units name it
	Name     string                `key:"name,required"`
	Size     [3]si.Length          `key:"size"`      // along its cells, across, in depth
	Lens     [2]si.Length          `key:"lens"`      // of one light opening, along its cells and across; zero when absent
	Cells    int                   `key:"cells"`     // light openings along the first size; 1 when absent
	Beam     Beam                  `key:"beam"`      // or an intensity table
	Table    source.Ref            `key:"intensity"` // a file of ANSI/IES LM-63 beside the type's own
	Supply   Supply                `key:"supply"`
	Weight   si.Mass               `key:"weight"`
	Clear    si.Length             `key:"keeps clear"` // least distance of its housing to things that burn, by the maker
	Lit      si.Length             `key:"lights from"` // least distance of its front to what it lights, by the maker
	Hot      si.Temperature        `key:"gets hot"`    // the hottest of its housing, by the maker
	Shelter  *Shelter              `key:"housing"`     // IP code
	OnLoss   DataLoss              `key:"on data loss"`
	Loads    si.Ratio              `key:"unit loads"` // of an EIA-485 receiver; 1 when absent
	Pins     DataConnector         `key:"data connector"`
	Emitters source.Named[Emitter] `key:"emitters,required"`
	Modes    source.Named[Mode]    `key:"modes,required"`
	Notes    string                `key:"notes"`

	generic bool // built in
}

// Beam gives full angles: Half where intensity is 50 % of the peak (beam
// angle), Tenth where it is 10 % (field angle; from Half when absent).
type Beam struct {
	source.Pos
	Half  si.Angle  `key:"half,required"`
	Tenth si.Angle  `key:"tenth"`
	Shape BeamShape `key:"shape"`

	measured *Measured // outranks the rest
}

// BeamShape names a model of intensity against angle.
type BeamShape string

// Choices lists the beam shapes.
func (BeamShape) Choices() []string { return []string{"cosine power", "gaussian", "flat"} }

// DataConnector is the kind of connector that a unit has for its data: 5-pin by ANSI E1.11, 3-pin on many
// cheap units.
type DataConnector string

// Choices lists the connectors.
func (DataConnector) Choices() []string { return []string{"3-pin", "5-pin"} }

// DataLoss is what a unit does when no data arrives.
type DataLoss string

// What a unit does when no data arrives.
const (
	LossUnknown DataLoss = ""
	LossHold    DataLoss = "hold"
	LossDark    DataLoss = "dark"
	LossProgram DataLoss = "runs a program"
)

// Choices lists what units do on data loss.
func (DataLoss) Choices() []string { return []string{"hold", "dark", "runs a program"} }

// Emitter is one colour of light in a fixture type. Either Peak and Width
// give its line, or Like names a known spectrum, or Spectrum tabulates one.
type Emitter struct {
	source.Pos
	Peak     si.Wavelength `key:"peak"`
	Width    si.Wavelength `key:"width"` // full width at half maximum
	Like     string        `key:"like"`  // "phosphor 6500 K"
	Spectrum []SpectrumRow `key:"spectrum"`
	Output   Output        `key:"output,required"` // of the whole unit, all cells at full
	Beam     *Beam         `key:"beam"`            // when it differs from the unit's

	Light Light // set by ReadType
}

// SpectrumRow is one row of a tabulated spectrum: wavelength, relative power.
type SpectrumRow struct {
	At    si.Wavelength `key:"at,required"`
	Power float64       `key:"power,required"`
}

// Output is the light of an emitter at full: radiant watts or lumens, with an
// interval. Exactly one of the two is set.
type Output struct {
	Radiant  si.Estimate[si.Power]
	Luminous si.Estimate[si.LuminousFlux]
	lumens   bool
}

// InLumens tells which of the two fields holds the value.
func (o Output) InLumens() bool { return o.lumens }

// UnmarshalText reads "4.2 W ± 40 %" or "520 lm".
func (o *Output) UnmarshalText(b []byte) error {
	if err := o.Luminous.UnmarshalText(b); err == nil {
		o.lumens = true
		return nil
	}
	return o.Radiant.UnmarshalText(b)
}

// Units lists the unit symbols that an output may be written with.
func (Output) Units() string { return "W (radiant) or lm, with ± and a spread if it is uncertain" }

// CellCount returns the number of light openings, at least 1.
func (t *Type) CellCount() int { return max(t.Cells, 1) }
