package calendar

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"time"
	_ "time/tzdata" // for machines that hold no time zones

	"lampblack/source"
)

// Zone is a time zone of the IANA database by its name, as Europe/Berlin.
type Zone struct {
	source.Pos
	Name string

	at *time.Location
}

// The names of the database, of all its releases: old names stay good.
//
//go:embed zones.txt
var zoneText string

func zones() []string { return strings.Fields(zoneText) }

// ReadSource reads a name of the database.
func (z *Zone) ReadSource(v source.Value) {
	z.Pos = v.Pos()
	z.Name = v.Name().Name
	if z.Name == "" {
		return
	}
	if !slices.Contains(zones(), z.Name) {
		v.Fault(zoneHint(z.Name), "there is no time zone %q", z.Name)
		return
	}
	at, err := time.LoadLocation(z.Name)
	if err != nil {
		v.Fault("", "the time zone %q cannot be read: %v", z.Name, err)
		return
	}
	z.at = at
}

// JSONSchema describes the form.
func (Zone) JSONSchema() map[string]any {
	return map[string]any{"type": "string", "enum": zones()}
}

// zoneHint suggests the zone that was meant: by the name of its city alone, or the
// nearest. Abbreviations and offsets name no rule by which clocks change.
func zoneHint(name string) string {
	for _, z := range zones() {
		if city := z[strings.LastIndexByte(z, '/')+1:]; strings.EqualFold(strings.ReplaceAll(name, " ", "_"), city) || strings.EqualFold(name, z) {
			return fmt.Sprintf("did you mean %q?", z)
		}
	}
	if !strings.Contains(name, "/") && (strings.ToUpper(name) == name || strings.ContainsAny(name, "+-")) {
		return "write a city of the zone, as Europe/Berlin: only that says when clocks change"
	}
	if hint := source.Suggest(name, zones()); hint != "" {
		return hint
	}
	return "write a city of the zone, as Europe/Berlin"
}

// location is the zone's rules; those of UTC where the name was not understood.
func (z Zone) location() *time.Location {
	if z.at == nil {
		return time.UTC
	}
	return z.at
}

// shown is what the clocks show at an instant, written in UTC.
func shown(t time.Time) time.Time {
	_, offset := t.Zone()
	return t.UTC().Add(time.Duration(offset) * time.Second)
}

// dayAt returns the date that the clocks show at an instant.
func dayAt(at *time.Location, t time.Time) day {
	y, m, d := t.In(at).Date()
	return dayOf(y, m, d)
}
