package finding

import (
	"fmt"
	"testing"
)

func TestWorse(t *testing.T) {
	warn := func(id, place string, value, limit float64) Finding {
		f := Finding{ID: id, Severity: Warn, Place: place, Value: value, Limit: limit}
		if limit > 0 {
			f.Margin = (limit - value) / limit
		}
		return f
	}
	dark := func(lux float64) Finding { // less is worse
		f := warn("path-dark", "path crossing", lux, 2)
		f.Margin = (lux - 2) / 2
		return f
	}
	grave := func(f Finding, s Severity) Finding { f.Severity = s; return f }
	for _, c := range []struct {
		name          string
		before, after []Finding
		want          []int // in after
	}{
		{"nothing", nil, nil, nil},
		{"the same", []Finding{warn("uv-dose", "seat a", 6, 5)}, []Finding{warn("uv-dose", "seat a", 6, 5)}, nil},
		{"better", []Finding{warn("uv-dose", "seat a", 6, 5)}, []Finding{warn("uv-dose", "seat a", 5.5, 5)}, nil},
		{"higher", []Finding{warn("uv-dose", "seat a", 6, 5)}, []Finding{warn("uv-dose", "seat a", 6.1, 5)}, []int{0}},
		{"another place", []Finding{warn("uv-dose", "seat a", 6, 5)}, []Finding{warn("uv-dose", "seat b", 5.1, 5)}, []int{0}},
		{"another kind", []Finding{warn("uv-dose", "seat a", 6, 5)}, []Finding{warn("uv-actinic", "seat a", 5.1, 5)}, []int{0}},
		{"darker", []Finding{dark(1)}, []Finding{dark(.5)}, []int{0}},
		{"lighter", []Finding{dark(1)}, []Finding{dark(1.5)}, nil},
		{"graver", []Finding{warn("blackout", "room", 6, 5)}, []Finding{grave(warn("blackout", "room", 5.5, 5), Stop)}, []int{0}},
		{"less grave", []Finding{grave(warn("blackout", "room", 6, 5), Stop)}, []Finding{warn("blackout", "room", 9, 5)}, nil},
		{"a note", nil, []Finding{grave(warn("flash-rate", "seat a", 2, 3), Note)}, nil},
		{"a note that was one", []Finding{grave(warn("flash-rate", "seat a", 2, 3), Note)}, []Finding{warn("flash-rate", "seat a", 4, 3)}, []int{0}},
		{"without a limit", []Finding{warn("lens", "unit a", 4, 0)}, []Finding{warn("lens", "unit a", 5, 0)}, []int{0}},
		{"a second of a place", []Finding{warn("blackout", "room", 6, 5)}, []Finding{warn("blackout", "room", 5.2, 5), warn("blackout", "room (2)", 6, 5)}, []int{0}},
		{"two of a place the other way round", []Finding{warn("blackout", "room", 6, 5), warn("blackout", "room (2)", 7, 5)}, []Finding{warn("blackout", "room", 7, 5), warn("blackout", "room (2)", 6, 5)}, nil},
		{"more that are not told", []Finding{warn("cue-calm", andMore, 7, 0)}, []Finding{warn("cue-calm", andMore, 8, 0)}, []int{0}},
	} {
		var want []string
		for _, i := range c.want {
			want = append(want, c.after[i].Key())
		}
		var got []string
		for _, f := range Worse(c.before, c.after) {
			got = append(got, f.Key())
		}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s: %v is worse, want %v", c.name, got, want)
		}
	}
}
