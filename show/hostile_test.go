package show_test

import (
	"maps"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// wholePlace is a place with everything that the texts of orders, waits and zones may have.
func wholePlace() map[string]string {
	return map[string]string{
		"order.yaml": `order:
  - {standing: preshow, look: look 1, up: 2 s, until: "20:30", usually: 15 min, at most: 40 min, standby: all is well}
  - {piece: p, cues: p.yaml, soundtrack: a.wav}
  - {standing: interval, look: look 2, until: after 20 s, at most: 25 min}
  - {piece: q, cues: q.yaml, standby: "and go"}
  - {standing: bows, look: look 5, until: trigger hatch, at most: 5 min}
warning: 10 s
`,
		"p.yaml": `cues:
  - {cue: 1, at: 0:01, look: look 1, up: 2 s, lands: starts}
  - {cue: 2, at: 0:06, look: look 6, up: 0.1 s, hold: 0.2 s, returns: 1 s, lands: peaks}
  - {cue: 3, follows: 2, delay: 1 s, look: look 3, up: 3 s, down: 1 s}
  - {cue: 4, at: 0:15, look: look 4, lands: completes}
  - {cue: 5, at: 0:25, look: look 0}
waits:
  - {from: 0:05, to: 0:09, usually: 16 s, at most: 1 min, until: trigger door}
  - {from: 0:09, to: 0:11, usually: 4 s, at most: 1 min}
  - {at: 0:22, until: after 5 s, standby: now}
`,
		"q.yaml": `cues:
  - {cue: 1, at: 0:01, look: look 1, up: 2 s}
  - {cue: 2, follows: 1, look: look 2}
waits:
  - {at: 0:02, usually: 20 s, at most: 2 min, standby: the moon is hung}
  - {at: 0:30, until: "21:00", usually: 20 s, at most: 2 h}
`,
		"zones.yaml": `zones:
  one: {units: [a], systems: [left], order: order.yaml, sound: 1-2}
  two: {units: [b, c], order: two.yaml, sound: 3, repeats: yes, longest stay: 6 min, re-arm: 20 s}
shared: [c]
`,
		"two.yaml": "order:\n  - {standing: rest, look: look 1, until: trigger door, at most: 12 h}\n  - {piece: own}\n",
	}
}

func TestWholePlaceIsRight(t *testing.T) {
	if faults := told(t, wholePlace()); faults.Err() != nil {
		t.Error(faults)
	}
}

var tokens = regexp.MustCompile(`[A-Za-z0-9.:"-]+|[{}\[\],]`)

// spoilt changes texts as a slip of a hand, or an enemy, would.
func spoilt(rng *rand.Rand, files map[string]string) map[string]string {
	files = maps.Clone(files)
	names := slices.Sorted(maps.Keys(files))
	var all []string
	for _, name := range names {
		all = append(all, tokens.FindAllString(files[name], -1)...)
	}
	nasty := append(all, "-1 s", "1e308 s", "NaN", "inf", "99999999 h", "0 s", "0.0000000001 s", "24 h", "48 h", "9223372036854775807", "-9223372036854775808", "after 0.001 s", "24:00", `"0:00"`, "", "~", "~", "null", "[]", "{}", "[[[[[[", "#", "&a", "*a", "\u202e", "\x00", "é", "yes", "no", "trigger trigger", "trigger ", strings.Repeat("x", 5000))
	for range 1 + rng.IntN(3) {
		name := names[rng.IntN(len(names))]
		text := files[name]
		switch rng.IntN(6) {
		case 0, 1, 2:
			at := tokens.FindAllStringIndex(text, -1)
			if len(at) > 0 {
				k := at[rng.IntN(len(at))]
				text = text[:k[0]] + nasty[rng.IntN(len(nasty))] + text[k[1]:]
			}
		case 3:
			lines := strings.SplitAfter(text, "\n")
			k := rng.IntN(len(lines))
			text = strings.Join(slices.Concat(lines[:k], lines[k:k+1], lines[k:]), "")
		case 4:
			lines := strings.SplitAfter(text, "\n")
			k := rng.IntN(len(lines))
			text = strings.Join(slices.Delete(lines, k, k+1), "")
		case 5:
			if len(text) > 0 {
				text = text[:rng.IntN(len(text))]
			}
		}
		files[name] = text
	}
	return files
}

// No text makes anything panic or hang, and whatever is told of it stands somewhere.
func TestHostileOrdersAndZones(t *testing.T) {
	runs := 250
	if os.Getenv("LAMPBLACK_LONG") != "" {
		runs = 20000
	} else if testing.Short() {
		runs = 50
	}
	for seed := range uint64(runs) {
		files := spoilt(rand.New(rand.NewPCG(seed, 8)), wholePlace())
		func() {
			defer func() {
				if p := recover(); p != nil {
					t.Errorf("seed %d: %v\n%v", seed, p, files)
					if os.Getenv("TRACE") != "" {
						panic(p)
					}
				}
			}()
			for _, f := range told(t, files) {
				if f.Pos.File == "" || f.Pos.Line < 1 {
					t.Errorf("seed %d: a fault without a place: %v", seed, f)
				}
			}
		}()
	}
}

func FuzzOrdersAndZones(f *testing.F) {
	whole := wholePlace()
	f.Add(whole["order.yaml"], whole["p.yaml"], whole["zones.yaml"], whole["two.yaml"])
	f.Fuzz(func(t *testing.T, order, piece, zones, two string) {
		files := wholePlace()
		files["order.yaml"], files["p.yaml"], files["zones.yaml"], files["two.yaml"] = order, piece, zones, two
		told(t, files)
	})
}
