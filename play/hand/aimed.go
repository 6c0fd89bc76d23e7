package hand

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lampblack/folder"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// FocusFile holds, in a show's folder, which units are aimed.
const FocusFile = "focus.yaml"

// Aimed is that a unit was aimed: at the point that stood in the rig's file then.
type Aimed struct {
	Unit string       `json:"unit"`
	At   [3]si.Length `json:"at"`
	On   time.Time    `json:"on"`
	Note string       `json:"note"`
}

// Chart is the text of focus.yaml.
type Chart struct {
	source.Pos
	Aimed []aimedText `key:"aimed,required"`
}

type aimedText struct {
	source.Pos
	Unit source.Ref   `key:"unit,required"`
	At   [3]si.Length `key:"at,required"`
	On   string       `key:"on"`
	Note string       `key:"note"`
}

// ReadChart reads which units are aimed.
func ReadChart(data []byte) ([]Aimed, source.Faults) {
	var c Chart
	faults := source.Decode(FocusFile, data, &c)
	var out []Aimed
	for i := range c.Aimed {
		a := &c.Aimed[i]
		on, err := time.Parse(time.RFC3339, a.On)
		if err != nil && a.On != "" {
			faults.Add(a.Pos, "as 2026-03-14T16:30:00Z", "%q is no instant", a.On)
		}
		out = append(out, Aimed{a.Unit.Name, a.At, on, a.Note})
	}
	return out, faults
}

// WriteChart is the text of which units are aimed.
func WriteChart(list []Aimed) []byte {
	var b strings.Builder
	b.WriteString("# Which units are aimed, at the points that rig.yaml had for them then.\naimed:\n")
	if len(list) == 0 {
		return []byte(strings.Replace(b.String(), "aimed:\n", "aimed: []\n", 1))
	}
	for _, a := range list {
		fmt.Fprintf(&b, "  - {unit: %s, at: [%s, %s, %s]", source.Quote(a.Unit), a.At[0], a.At[1], a.At[2])
		if !a.On.IsZero() {
			fmt.Fprintf(&b, ", on: %s", source.Quote(a.On.Format(time.RFC3339)))
		}
		if a.Note != "" {
			fmt.Fprintf(&b, ", note: %s", source.Quote(a.Note))
		}
		b.WriteString("}\n")
	}
	return []byte(b.String())
}

// Still leaves those of a list whose aim is that of the rig.
func Still(r *rig.Rig, list []Aimed) []Aimed {
	return slices.DeleteFunc(slices.Clone(list), func(a Aimed) bool {
		u := r.Index(a.Unit)
		if u < 0 {
			return true
		}
		for k, v := range r.Units[u].Aim {
			if math.Abs(float64(v-a.At[k])) > .01 {
				return true
			}
		}
		return false
	})
}

// LoadChart reads which units are aimed; of a folder where none is noted, none.
func LoadChart(ctx context.Context, dir string) ([]Aimed, error) {
	if err := folder.Within(dir, FocusFile); err != nil {
		return nil, fmt.Errorf("read %s: %w", FocusFile, err)
	}
	data, err := folder.ReadFile(ctx, filepath.Join(dir, FocusFile), folder.MaxText)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", FocusFile, err)
	}
	list, faults := ReadChart(data)
	return list, faults.Err()
}

// Note notes in a show's folder that a unit is aimed, or is not.
func Note(ctx context.Context, dir string, r *rig.Rig, unit string, done bool, note string, now time.Time) ([]Aimed, error) {
	u := r.Index(unit)
	if u < 0 {
		return nil, fmt.Errorf("there is no unit %q: %s", unit, source.OneOf(unit, r.UnitNames()))
	}
	list, err := LoadChart(ctx, dir)
	if err != nil {
		return nil, err
	}
	list = slices.DeleteFunc(list, func(a Aimed) bool { return a.Unit == unit })
	if done {
		list = append(list, Aimed{unit, r.Units[u].Aim, now.Round(time.Second), note})
	}
	return list, folder.WriteFile(ctx, filepath.Join(dir, FocusFile), WriteChart(list))
}
