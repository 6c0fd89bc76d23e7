package measure

import (
	"fmt"
	"strings"

	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
)

// Sheet is the text of readings.yaml.
type Sheet struct {
	source.Pos
	Meters   Meters    `key:"meters"`
	Readings []Reading `key:"readings"`
}

// Meters says how good the meters are.
type Meters struct {
	source.Pos
	Lux *LuxMeter `key:"lux"`
	UVA *UVAMeter `key:"uv-a"`
}

// LuxMeter is an illuminance meter, or a phone used as one.
type LuxMeter struct {
	source.Pos
	Error       si.Ratio       `key:"error"`
	Calibration si.Ratio       `key:"calibration"`
	Smallest    si.Illuminance `key:"smallest"`
}

// UVAMeter is a meter of UV-A irradiance.
type UVAMeter struct {
	source.Pos
	Error       si.Ratio      `key:"error"`
	Calibration si.Ratio      `key:"calibration"`
	Smallest    si.Irradiance `key:"smallest"`
}

// Reading is one value taken in the room. Without Emitter the whole unit was
// at full. Exactly one of Lux and UVA holds the value; a reading without any
// is still to be taken.
//
// One that Matches another unit is a match by eye: the unit's emitter at full looks as
// bright as the other unit's at Level, both on one sheet and as far from it.
type Reading struct {
	source.Pos
	Unit    source.Ref      `key:"unit,required"`
	Emitter source.Ref      `key:"emitter"`
	At      source.Ref      `key:"at"`
	Lux     *si.Illuminance `key:"lux"`
	UVA     *si.Irradiance  `key:"uv-a"`

	Matches source.Ref             `key:"matches"`
	Level   *si.Estimate[si.Ratio] `key:"at level"`

	// Sense is set for readings that Plan proposes, with what is expected.
	Sense    room.Sense
	Expected si.Estimate[si.Ratio]
}

// meter is a meter as the fit takes it.
type meter struct {
	err, gain, smallest float64
}

// Usual meters: a lux meter of the cheap kind or a phone (common practice, no
// source), and a UV-A meter that was calibrated at 365 nm and reads the longer
// waves of LEDs wrongly.
var (
	usualLux = meter{.05, .15, .1}
	usualUVA = meter{.05, .25, .01}
)

// of returns the meter for a sense.
func (m *Meters) of(s room.Sense) meter {
	if s == room.UVA {
		if m.UVA == nil {
			return usualUVA
		}
		return meter{float64(m.UVA.Error), float64(m.UVA.Calibration), float64(m.UVA.Smallest)}
	}
	if m.Lux == nil {
		return usualLux
	}
	return meter{float64(m.Lux.Error), float64(m.Lux.Calibration), float64(m.Lux.Smallest)}
}

// value is what was read, of which sense.
func (r *Reading) value() (v float64, s room.Sense, taken bool) {
	switch {
	case r.Lux != nil:
		return float64(*r.Lux), room.Photopic, true
	case r.UVA != nil:
		return float64(*r.UVA), room.UVA, true
	case r.Level != nil:
		return float64(r.Level.Best), r.Sense, true
	}
	return 0, r.Sense, false
}

// Taken counts the readings that have a value.
func (s *Sheet) Taken() int {
	n := 0
	for i := range s.Readings {
		if _, _, taken := s.Readings[i].value(); taken {
			n++
		}
	}
	return n
}

// mostReadings bounds the matrices of the fit, which are of readings squared.
const mostReadings = 2000

// Read reads readings.yaml.
func Read(file string, data []byte) (*Sheet, source.Faults) {
	s := &Sheet{}
	faults := source.Decode(file, data, s)
	if len(s.Readings) > mostReadings {
		faults.Add(s.Pos, "", "%d readings are more than %d", len(s.Readings), mostReadings)
		s.Readings = s.Readings[:mostReadings]
	}
	s.checkMeters(&faults)
	for i := range s.Readings {
		s.Readings[i].check(&faults)
	}
	faults.Sort()
	return s, faults
}

// checkMeters puts the usual meters in the place of impossible ones: errors are shares,
// from 0 to 1.
func (s *Sheet) checkMeters(faults *source.Faults) {
	for _, m := range []struct {
		what     string
		pos      source.Pos
		settings meter
	}{{"lux", meterPos(s.Meters.Lux), s.Meters.of(room.Photopic)}, {"uv-a", s.uvaPos(), s.Meters.of(room.UVA)}} {
		if m.settings.err < 0 || m.settings.err > 1 || m.settings.gain < 0 || m.settings.gain > 1 || m.settings.smallest < 0 {
			faults.Add(m.pos, "error: 5 %, calibration: 10 %", "the %s meter's error, calibration or smallest value lies outside what a meter has", m.what)
			s.Meters = Meters{}
		}
	}
}

// check holds a value inside what meters show, up to ten million lx; a value that it
// refuses counts as still to be taken.
func (r *Reading) check(faults *source.Faults) {
	v, _, taken := r.value()
	r.checkMatch(faults)
	if r.Lux != nil && r.UVA != nil {
		faults.Add(r.Pos, "write two readings", "a reading is either of lux or of UV-A, not of both")
	}
	if taken && !(v >= 0 && v <= 1e7) {
		faults.Add(r.Pos, "", "a reading of %v lies outside what a meter shows", v)
		r.Lux, r.UVA, r.Level = nil, nil, nil
	}
}

// checkMatch holds a match by eye to what it needs, and other readings to a place.
func (r *Reading) checkMatch(faults *source.Faults) {
	l := r.Level
	switch {
	case r.Unit.Name == "":
		// its fault is told
	case r.Matches.Name == "" && r.Level == nil && r.At.Name == "":
		faults.Add(r.Pos, "at: and a surface, an object or a seat", "a reading does not say where it was taken")
	case r.Matches.Name == "" && r.Level == nil:
		return
	case r.Matches.Name == "" || r.Level == nil || r.Emitter.Name == "":
		faults.Add(r.Pos, "{unit: a, emitter: red, matches: b, at level: 62 %}", "a match by eye names its emitter, the other unit and the level of that")
	case r.At.Name != "" || r.Lux != nil || r.UVA != nil:
		faults.Add(r.Pos, "write two readings", "a match by eye is no reading of a meter at a place")
	case !(l.Best > 0 && l.Low > 0 && l.High <= 10):
		faults.Add(r.Pos, "the weaker unit comes first, so that the other is at no more than 100 %", "a level of %.4g %% lies outside what two lamps may be apart by", 100*float64(l.Best))
	default:
		return
	}
	r.Level, r.Lux, r.UVA, r.Matches = nil, nil, nil, source.Ref{}
}

func meterPos(m *LuxMeter) source.Pos {
	if m == nil {
		return source.Pos{}
	}
	return m.Pos
}

func (s *Sheet) uvaPos() source.Pos {
	if s.Meters.UVA == nil {
		return source.Pos{}
	}
	return s.Meters.UVA.Pos
}

// Text prints readings as readings.yaml, with the values left out that are to
// be taken.
func Text(list []Reading) string {
	var b strings.Builder
	b.WriteString("# In the dark, the unit's emitter alone at full, warm for five minutes. Hold the\n" +
		"# meter flat against the middle of what is named, or at the eyes of a seat\n" +
		"# toward where it looks. Write the value with its unit behind lux: or uv-a:.\n" +
		"meters:\n" +
		"  lux: {error: 5 %, calibration: 15 %, smallest: 0.1 lx}       # a phone: calibration 30 %\n" +
		"  uv-a: {error: 5 %, calibration: 25 %, smallest: 1 uW/cm2}    # most are made for 365 nm\n" +
		"readings:\n")
	for _, r := range list {
		what := "lux"
		if r.Sense == room.UVA {
			what = "uv-a"
		}
		emitter := ""
		if r.Emitter.Name != "" {
			emitter = ", emitter: " + quoted(r.Emitter.Name)
		}
		fmt.Fprintf(&b, "  - {unit: %s%s, at: %s, %s: }   # expected %s to %s\n",
			quoted(r.Unit.Name), emitter, quoted(r.At.Name), what, si.Say(float64(r.Expected.Low), r.Sense.Unit()), si.Say(float64(r.Expected.High), r.Sense.Unit()))
	}
	return b.String()
}

// quoted puts quotation marks about names that YAML would take apart.
func quoted(name string) string {
	if strings.Trim(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 ") == "" && strings.Trim(name, "0123456789. ") != "" {
		return name
	}
	return fmt.Sprintf("%q", name)
}
