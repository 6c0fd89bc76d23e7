package soundtrack

import (
	"cmp"
	"slices"
	"time"
)

// Kind says what sort of thing was heard.
type Kind string

// The kinds of moment.
const (
	Hit   Kind = "hit"
	Beat  Kind = "beat"
	Bar   Kind = "bar"
	Turn  Kind = "turn"
	Swell Kind = "swell"
	Hush  Kind = "hush"
	Voice Kind = "voice"
)

// Kinds lists all kinds in the order in which moments of one instant are
// written.
var Kinds = []Kind{Turn, Hush, Voice, Swell, Bar, Beat, Hit}

// Moment is something heard at a time. End is after Time for what lasts
// (hush, swell, voice, turn: to the end of the section; hit: to the end of
// its decay) and equal to Time for a beat or bar.
type Moment struct {
	Kind     Kind
	Time     time.Duration
	End      time.Duration
	Strength float64 // 0..1
	Why      string  // the reason, for a person

	// Of a hit; zero otherwise.
	Low, High     time.Duration // the attack began within this interval
	Band          [2]float64    // Hz: the middle 80 % of what the hit added
	Attack, Decay time.Duration // 10 % to 90 % of the rise; fall by 20 dB, as far as it was heard
	Before, After float64       // LUFS, 50 ms windows either side; of a swell, at its two ends
	Sort          string        // one of Sorts
	Rank          int           // 1 is the first to be lit

	Bar, Beat int    // of a beat or bar, both counted from 1
	Label     string // of a turn: sections that sound alike share one
}

// Sorts lists the sorts of hit.
var Sorts = []string{"struck low", "struck bright", "tonal", "noise burst"}

// sortMoments orders by time, then kind.
func sortMoments(ms []Moment) {
	slices.SortStableFunc(ms, func(a, b Moment) int {
		return cmp.Or(cmp.Compare(a.Time, b.Time),
			cmp.Compare(slices.Index(Kinds, a.Kind), slices.Index(Kinds, b.Kind)))
	})
}
