package check

import "slices"

// catalogue says in a sentence what each finding is about. Its identifiers are
// promises: signatures and other programs name them.
var catalogue = map[string]string{
	"file": "something is wrong with a file of the show",

	"address-overlap": "two units listen to the same slots",
	"address-shared":  "units of one type share an address and do the same",

	"colour-apart":     "unlike units asked for one colour show two, since their dimmers step so coarsely",
	"colour-unmatched": "a colour that a unit cannot mix",
	"unit-dark":        "a unit is asked for less light than its dimmer's first step",

	"cue-calm":       "a flash, a bump or a snap in a span that wants calm",
	"cue-density":    "more cues in a minute than the brief allows",
	"cue-off":        "a cue lands off its moment",
	"cue-seat":       "light and sound of a cue do not meet at a seat",
	"cue-unreached":  "a cue that nobody will see",
	"fade-crosses":   "a fade passes values at which the unit strobes or runs a program",
	"fade-jumps":     "the light of a unit leaps, or turns back, within a fade",
	"glow-low":       "an object glows less over its background than was asked for",
	"goal-missed":    "a look cannot be had as it was asked for",
	"lens-in-eye":    "an eye of the audience sees into a lens",
	"slot-never":     "a slot stands in a range that is never to be entered",
	"spill-on-black": "visible light falls where the look wants darkness",
	"strobe-unable":  "a look asks a unit to flash that cannot, or not at that rate",

	"flash-long":  "flashing goes on for long",
	"flash-rate":  "general flashes in one second, as one eye sees them",
	"flash-red":   "red flashes in one second, as one eye sees them",
	"flash-union": "flashes in one second over all units together",

	"blue-gaze":       "blue-light radiance of a lens that an eye sees",
	"blue-room":       "blue-light exposure of an eye over the day",
	"uv-actinic":      "weighted ultraviolet dose of an eye over the day",
	"uv-dose":         "UV-A dose of an eye over the day",
	"uv-irradiance":   "UV-A irradiance at an eye beside the limit of the lamp standard",
	"uv-keep-out":     "distance to keep from a lamp that gives ultraviolet",
	"uv-look-ceiling": "a look's own limit of ultraviolet at the eyes",

	"supply-breaker": "a cable is weaker than the breaker before it",
	"supply-chain":   "current through a link chain against its weakest part",
	"supply-dimmed":  "LED units on a dimmed feed",
	"supply-drop":    "voltage drop at the end of a run",
	"supply-inrush":  "surge at switching on against the breaker",
	"supply-leakage": "standing leakage against the residual current device",
	"supply-link":    "more units in a chain than the maker allows",
	"supply-load":    "load of a circuit against its breaker",
	"supply-loop":    "units that feed one another in a ring",
	"supply-phase":   "balance of three phases and current in the neutral",
	"supply-shared":  "sound or heavy loads on the circuit of the lights",
	"supply-unknown": "something about the supply that was not said",

	"line-adaptors":   "3-pin connectors on a data line",
	"line-branch":     "a data line that branches without a splitter",
	"line-cable":      "cable that is not made for data",
	"line-length":     "length of a data line",
	"line-loads":      "unit loads on a data line",
	"line-loss":       "what a unit does when its data stops",
	"line-refresh":    "how often the slots of a universe are refreshed",
	"line-terminator": "the terminator at the end of a data line",
	"line-universe":   "a unit on the data line of another universe",
	"line-unknown":    "something about the data lines that was not said",
	"line-wireless":   "data by radio",

	"alarm-input":  "the alarm that ends the dark",
	"blackout":     "how long it is dark",
	"escape-light": "what the lights-up look gives on the floor",
	"exit-sign":    "an exit sign under the show's control",
	"path-dark":    "light on a path that people walk",

	"signature": "a signature that no longer holds",
}

// Identifiers lists all identifiers of findings, sorted.
func Identifiers() []string {
	out := make([]string, 0, len(catalogue))
	for id := range catalogue {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}

// about returns the sentence of an identifier.
func about(id string) string { return catalogue[id] }
