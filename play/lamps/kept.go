package lamps

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"lampblack/wire/rdm"
)

// Kept is what lamps said when they were asked, oldest first.
type Kept struct {
	Readings []Reading `json:"readings"`
}

// Reading is what lamps said at a time.
type Reading struct {
	Time  time.Time `json:"time"`
	Asked []int     `json:"asked"` // universes
	Rows  []Row     `json:"rows"`
}

// mostKept bounds the readings that are kept: one a night for a year would be much more than
// anybody looks at.
const mostKept = 40

// ParseKept reads what Add and JSON wrote.
func ParseKept(b []byte) (Kept, error) {
	var k Kept
	if err := json.Unmarshal(b, &k); err != nil {
		return Kept{}, fmt.Errorf("readings of lamps: %w", err)
	}
	return k, nil
}

// Add adds a reading, and lets the oldest go.
func (k *Kept) Add(r Reading) {
	k.Readings = append(k.Readings, r)
	k.Readings = slices.Clone(k.Readings[max(0, len(k.Readings)-mostKept):])
}

// Since is how long a device was on since it was asked before, by its own count, and when
// that was; of a reading of the same evening, which would be nothing, the one before counts.
func (k *Kept) Since(d *Device, now time.Time) (hours uint32, when time.Time, ok bool) {
	const evening = 12 * time.Hour
	if d.Hours == nil {
		return 0, time.Time{}, false
	}
	for _, r := range slices.Backward(k.Readings) {
		was := r.hours(d.UID)
		if was == nil || now.Sub(r.Time) < evening {
			continue
		}
		if *was > *d.Hours {
			return 0, r.Time, false // it was set back, or another lamp has its identifier
		}
		return *d.Hours - *was, r.Time, true
	}
	return 0, time.Time{}, false
}

func (r *Reading) hours(u rdm.UID) *uint32 {
	for i := range r.Rows {
		if d := r.Rows[i].Device; d != nil && d.UID == u {
			return d.Hours
		}
	}
	return nil
}
