package show_test

import (
	"fmt"
	"maps"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/show"
	"lampblack/soundtrack"
	"lampblack/source"
)

// told is all that is wrong with a folder of the bare rig: as it is read, and as its
// evening and its place are made, of which a.wav and none.wav have been heard, of 20 s.
func told(t testing.TB, files map[string]string) (all source.Faults) {
	t.Helper()
	_, looks := simLooks()
	dir := fstest.MapFS{"score.yaml": {Data: []byte(looks + "cues: [{cue: 1, at: 0:01, look: look 0}]\n")}}
	for _, texts := range []map[string]string{bare, files} {
		for name, text := range texts {
			dir[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	dir["a.wav"] = &fstest.MapFile{Data: []byte("not read here")}
	f, all := show.Read(dir)
	base, err := bareShow()
	if err != nil {
		t.Fatal(err)
	}
	if f.Score == nil {
		return all
	}
	heard := &soundtrack.Track{Duration: 20 * time.Second, Rate: 48000, Channels: 2}
	copied := *base
	if f.Bill.Soundtrack.Name != "" {
		copied.Track = heard
	}
	s, faults := copied.With(f.Score)
	all = append(all, faults...)
	tracks := map[string]*soundtrack.Track{"a.wav": heard}
	if f.Order != nil {
		e, faults := s.Evening(f.Order, tracks)
		all = append(all, faults...)
		used(e)
	}
	if f.Zones != nil {
		p, faults := s.Place(f.Zones, tracks)
		all = append(all, faults...)
		if p != nil {
			for i := range p.Zones {
				used(p.Zones[i].Evening)
			}
		}
	}
	return all
}

// used asks an evening for light here and there, faults and all.
func used(e *show.Evening) {
	if e == nil {
		return
	}
	for i := range e.Steps {
		s := e.Steps[i].Show
		if s == nil {
			continue
		}
		f := s.NewFrame()
		for _, at := range []time.Duration{-time.Hour, 0, time.Second, s.Length, 1 << 62} {
			s.At(f, at)
			s.Waited(nil, time.Second).At(f, at)
		}
		s.UsualGaps(len(s.Waits))
		s.InTrack(s.Length)
		s.OnLine(s.Length)
	}
}

// withWaits is an evening of one piece with these waits and some cues, by its soundtrack
// when there is one.
func withWaits(sound, waits string) map[string]string {
	if sound != "" {
		sound = ", soundtrack: " + sound
	}
	return map[string]string{
		"order.yaml": "order: [{piece: p, cues: p.yaml" + sound + "}]\n",
		"p.yaml":     "cues:\n  - {cue: 1, at: 0:01, look: look 1, up: 2 s}\n  - {cue: 2, at: 0:30, look: look 2, up: 2 s}\nwaits:\n" + waits,
	}
}

func withCues(cues string) map[string]string {
	return map[string]string{"order.yaml": "order: [{piece: p, cues: p.yaml}]\n", "p.yaml": "cues:\n" + cues}
}

func withOrder(order string) map[string]string {
	return map[string]string{"order.yaml": "order:\n" + order, "p.yaml": "cues: [{cue: 1, at: 0:01, look: look 1}]\n"}
}

const twoOrders = "order: [{standing: rest, look: look 1, until: trigger door, at most: 1 h}]\n"

func withZones(zones string) map[string]string {
	return map[string]string{
		"zones.yaml": zones, "one.yaml": twoOrders, "two.yaml": twoOrders,
		"piece.yaml": "order: [{piece: p, cues: p.yaml}]\n", "p.yaml": "cues: [{cue: 1, at: 0:01, look: look 1}]\n",
		"own.yaml": "order: [{piece: own}]\n", "own too.yaml": "order: [{piece: own}]\n",
	}
}

// Every fault of waits, follow-ons, ends of standing looks and zones is told, with its
// place in the file that has it, and nothing panics on it.
func TestFaultsOfWaitsAndZones(t *testing.T) {
	long := ""
	for i := range 11999 {
		long += fmt.Sprintf("  - {cue: %d, follows: %d, look: look 1, up: 10 min}\n", i+2, i+1)
	}
	many := ""
	for i := range 5000 {
		many += fmt.Sprintf("  - {at: %d s, at most: 1 min}\n", i+1)
	}
	for name, c := range map[string]struct {
		files map[string]string
		want  string // the place that is told, and a word of what is
		says  string
	}{
		"spans that overlap":              {withWaits("a.wav", "  - {from: 0:04, to: 0:08, at most: 1 min}\n  - {from: 0:06, to: 0:10, at most: 1 min}\n"), "p.yaml:6:", ""},
		"the same span twice":             {withWaits("a.wav", "  - {from: 0:04, to: 0:08, at most: 1 min}\n  - {from: 0:04, to: 0:08, at most: 1 min}\n"), "p.yaml:6:", ""},
		"a place twice":                   {withWaits("", "  - {at: 0:04, at most: 1 min}\n  - {at: 0:04, at most: 1 min}\n"), "p.yaml:6:", ""},
		"a wait under running sound":      {withWaits("a.wav", "  - {at: 0:05, at most: 1 min}\n"), "p.yaml:5:", "sound"},
		"a span past the sound":           {withWaits("a.wav", "  - {from: 0:15, to: 0:25, at most: 1 min}\n"), "p.yaml:5:", ""},
		"a span behind the sound":         {withWaits("a.wav", "  - {from: 0:25, to: 0:28, at most: 1 min}\n"), "p.yaml:5:", ""},
		"a span without sound":            {withWaits("", "  - {from: 0:05, to: 0:08, at most: 1 min}\n"), "p.yaml:5:", "sound"},
		"a span that ends first":          {withWaits("a.wav", "  - {from: 0:08, to: 0:05, at most: 1 min}\n"), "p.yaml:5:", ""},
		"a span of nothing":               {withWaits("a.wav", "  - {from: 0:05, to: 0:05, at most: 1 min}\n"), "p.yaml:5:", ""},
		"a span that buzzes":              {withWaits("a.wav", "  - {from: 0:05, to: 0:05.05, at most: 1 min}\n"), "p.yaml:5:", ""},
		"no end of a span":                {withWaits("a.wav", "  - {from: 0:05, at most: 1 min}\n"), "p.yaml:5:", ""},
		"no beginning of a span":          {withWaits("a.wav", "  - {to: 0:05, at most: 1 min}\n"), "p.yaml:5:", ""},
		"a place and a span":              {withWaits("a.wav", "  - {at: 0:25, from: 0:05, to: 0:08, at most: 1 min}\n"), "p.yaml:5:", ""},
		"a wait nowhere":                  {withWaits("", "  - {at most: 1 min}\n"), "p.yaml:5:", ""},
		"a wait of no length":             {withWaits("", "  - {at: 0:05}\n"), "p.yaml:5:", "at most"},
		"at most nothing":                 {withWaits("", "  - {at: 0:05, at most: 0 s}\n"), "p.yaml:5:", "at most"},
		"at most less than usually":       {withWaits("", "  - {at: 0:05, usually: 2 min, at most: 1 min}\n"), "p.yaml:5:", "usually"},
		"at most thirty hours":            {withWaits("", "  - {at: 0:05, at most: 30 h}\n"), "p.yaml:5:", ""},
		"usually less than nothing":       {withWaits("", "  - {at: 0:05, usually: -5 s, at most: 1 min}\n"), "p.yaml:5:", ""},
		"until no word":                   {withWaits("", "  - {at: 0:05, until: sometimes, at most: 1 min}\n"), "p.yaml:5:", ""},
		"until after less than nothing":   {withWaits("", "  - {at: 0:05, until: after -5 s, at most: 1 min}\n"), "p.yaml:5:", ""},
		"until after nothing":             {withWaits("", "  - {at: 0:05, until: after 0 s, at most: 1 min}\n"), "p.yaml:5:", ""},
		"until after no number":           {withWaits("", "  - {at: 0:05, until: after NaN s, at most: 1 min}\n"), "p.yaml:5:", ""},
		"until after too long":            {withWaits("", "  - {at: 0:05, until: after 1e300 s, at most: 1 min}\n"), "p.yaml:5:", ""},
		"until after more than at most":   {withWaits("", "  - {at: 0:05, until: after 2 min, at most: 1 min}\n"), "p.yaml:5:", ""},
		"until no time of day":            {withWaits("", "  - {at: 0:05, until: \"25:00\", at most: 1 min}\n"), "p.yaml:5:", ""},
		"until no minute":                 {withWaits("", "  - {at: 0:05, until: \"20:61\", at most: 1 min}\n"), "p.yaml:5:", ""},
		"until a trigger without a name":  {withWaits("", "  - {at: 0:05, until: trigger, at most: 1 min}\n"), "p.yaml:5:", ""},
		"until a trigger that is none":    {withWaits("", "  - {at: 0:05, until: trigger dor, at most: 1 min}\n"), "p.yaml:5:", "dor"},
		"before the beginning":            {withWaits("", "  - {at: -5 s, at most: 1 min}\n"), "p.yaml:5:", ""},
		"no number":                       {withWaits("", "  - {at: NaN s, at most: 1 min}\n"), "p.yaml:5:", ""},
		"yaml's no number":                {withWaits("", "  - {at: .nan, at most: 1 min}\n"), "p.yaml:5:", ""},
		"no end":                          {withWaits("", "  - {at: inf s, at most: 1 min}\n"), "p.yaml:5:", ""},
		"too large for a number":          {withWaits("", "  - {at: 1e400 s, at most: 1 min}\n"), "p.yaml:5:", ""},
		"in a thousand years":             {withWaits("", "  - {at: 9000000 h, at most: 1 min}\n"), "p.yaml:5:", ""},
		"a key of no wait":                {withWaits("", "  - {at: 0:05, least: 1 min}\n"), "p.yaml:5:", ""},
		"a wait that is a number":         {withWaits("", "  - 5\n"), "p.yaml:5:", ""},
		"waits that are none":             {withWaits("", "  5\n"), "p.yaml:5:", ""},
		"more waits than anybody goes":    {withWaits("", many), "p.yaml:", ""},
		"a cue over a wait":               {withWaits("", "  - {at: 0:27, at most: 1 min}\n  - {at: 0:33, at most: 1 min}\n"), "", ""}, // starts at 0:30: nothing is wrong
		"a cue that lands past a wait":    {map[string]string{"order.yaml": "order: [{piece: p, cues: p.yaml}]\n", "p.yaml": "cues:\n  - {cue: 1, at: 0:10, look: look 1, up: 5 s, lands: completes}\nwaits: [{at: 0:07, at most: 1 min}]\n"}, "p.yaml:", "1"},
		"a bump that peaks past a wait":   {map[string]string{"order.yaml": "order: [{piece: p, cues: p.yaml}]\n", "p.yaml": "cues:\n  - {cue: 1, at: 0:10, look: look 1, up: 5 s, hold: 1 s, returns: 1 s, lands: peaks}\nwaits: [{at: 0:07, at most: 1 min}]\n"}, "p.yaml:", "1"},
		"waits in score.yaml under sound": {map[string]string{"score.yaml": "looks: {look 0: {purpose: dark}}\ncues: [{cue: 1, at: 0:01, look: look 0}]\nwaits: [{at: 0:05, at most: 1 min}]\n"}, "score.yaml:3:", "sound"},

		"follows itself":             {withCues("  - {cue: 1, follows: 1, look: look 1}\n"), "p.yaml:2:", ""},
		"follows nothing":            {withCues("  - {cue: 1, at: 0:01, look: look 1}\n  - {cue: 2, follows: 7, look: look 1}\n"), "p.yaml:3:", "7"},
		"follow one another":         {withCues("  - {cue: 1, follows: 2, look: look 1}\n  - {cue: 2, follows: 1, look: look 1}\n"), "p.yaml:", ""},
		"follow in a ring":           {withCues("  - {cue: 9, at: 0:01, look: look 1}\n  - {cue: 1, follows: 3, look: look 1}\n  - {cue: 2, follows: 1, look: look 1}\n  - {cue: 3, follows: 2, look: look 1}\n"), "p.yaml:", ""},
		"follows and has a time":     {withCues("  - {cue: 1, at: 0:01, look: look 1}\n  - {cue: 2, at: 0:05, follows: 1, look: look 1}\n"), "p.yaml:3:", ""},
		"follows and has a moment":   {withCues("  - {cue: 1, at: 0:01, look: look 1}\n  - {cue: 2, on: hit 0:05, follows: 1, look: look 1}\n"), "p.yaml:3:", ""},
		"has no time":                {withCues("  - {cue: 1, at: 0:01, look: look 1}\n  - {cue: 2, look: look 1}\n"), "p.yaml:3:", ""},
		"follows a cue of the score": {map[string]string{"order.yaml": "order: [{piece: own}, {piece: p, cues: p.yaml}]\n", "p.yaml": "cues:\n  - {cue: 2, follows: 1, look: look 1}\n"}, "p.yaml:2:", "1"},
		"follows for months":         {withCues("  - {cue: 1, at: 0:01, look: look 1}\n" + long), "p.yaml:", ""},
		"follows no name":            {withCues("  - {cue: 1, at: 0:01, look: look 1}\n  - {cue: 2, follows: , look: look 1}\n"), "p.yaml:3:", ""},
		"follows a list":             {withCues("  - {cue: 1, at: 0:01, look: look 1}\n  - {cue: 2, follows: [1], look: look 1}\n"), "p.yaml:3:", ""},

		"a standing look until no word":     {withOrder("  - {standing: a, look: look 1, until: never, at most: 1 min}\n"), "order.yaml:2:", ""},
		"a standing look until a trigger":   {withOrder("  - {standing: a, look: look 1, until: trigger dor, at most: 1 min}\n"), "order.yaml:2:", "dor"},
		"a piece until go":                  {withOrder("  - {piece: p, cues: p.yaml, until: go}\n"), "order.yaml:2:", "until"},
		"a standing look until after 30 h":  {withOrder("  - {standing: a, look: look 1, until: after 30 h}\n"), "order.yaml:2:", ""},
		"a standing look after its longest": {withOrder("  - {standing: a, look: look 1, until: after 5 min, at most: 1 min}\n"), "order.yaml:2:", ""},
		"a standing look until 24:01":       {withOrder("  - {standing: a, look: look 1, until: \"24:01\", at most: 1 h}\n"), "order.yaml:2:", ""},
		"a warning of months":               {map[string]string{"order.yaml": "order: [{piece: own}]\nwarning: 9000 h\n"}, "order.yaml:2:", ""},
		"a warning of less than nothing":    {map[string]string{"order.yaml": "order: [{piece: own}]\nwarning: -5 s\n"}, "order.yaml:2:", ""},

		"no zones":                     {withZones("zones: {}\n"), "zones.yaml:1:", ""},
		"zones that are a number":      {withZones("zones: 5\n"), "zones.yaml:1:", ""},
		"a zone that is empty":         {withZones("zones:\n  x:\n"), "zones.yaml:2:", ""},
		"a zone without units":         {withZones("zones:\n  x: {order: one.yaml}\n"), "zones.yaml:2:", ""},
		"a unit that is none":          {withZones("zones:\n  x: {units: [z], order: one.yaml}\n"), "zones.yaml:2:", "z"},
		"a system that is none":        {withZones("zones:\n  x: {systems: [z], order: one.yaml}\n"), "zones.yaml:2:", "z"},
		"an order that is missing":     {withZones("zones:\n  x: {units: [a], order: three.yaml}\n"), "zones.yaml:2:", "three.yaml"},
		"no order":                     {withZones("zones:\n  x: {units: [a]}\n"), "zones.yaml:2:", "order"},
		"an order outside":             {withZones("zones:\n  x: {units: [a], order: ../one.yaml}\n"), "zones.yaml:2:", "one.yaml"},
		"an order that is the score":   {withZones("zones:\n  x: {units: [a], order: score.yaml}\n"), "", ""},
		"a unit in two zones":          {withZones("zones:\n  x: {units: [a], order: one.yaml}\n  y: {units: [a, b], order: two.yaml}\n"), "zones.yaml:3:", "a"},
		"a system across a unit":       {withZones("zones:\n  x: {units: [b], order: one.yaml}\n  y: {systems: [right], order: two.yaml}\n"), "zones.yaml:3:", "b"},
		"one order twice":              {withZones("zones:\n  x: {units: [a], order: one.yaml}\n  y: {units: [b], order: one.yaml}\n"), "zones.yaml:3:", "one.yaml"},
		"the own piece twice":          {withZones("zones:\n  x: {units: [a], order: own.yaml}\n  y: {units: [b], order: own too.yaml}\n"), "own too.yaml:1:", "own"},
		"repeats without a rest look":  {withZones("zones:\n  x: {units: [a], order: piece.yaml, repeats: yes}\n"), "", "standing"},
		"a name twice":                 {withZones("zones:\n  x: {units: [a], order: one.yaml}\n  x: {units: [b], order: two.yaml}\n"), "zones.yaml:3:", "x"},
		"shared that is none":          {withZones("zones:\n  x: {units: [a], order: one.yaml}\nshared: [z]\n"), "zones.yaml:3:", "z"},
		"sound on no channel":          {withZones("zones:\n  x: {units: [a], order: one.yaml, sound: x}\n"), "zones.yaml:2:", ""},
		"sound on channel 0":           {withZones("zones:\n  x: {units: [a], order: one.yaml, sound: 0}\n"), "zones.yaml:2:", ""},
		"sound on a pair backwards":    {withZones("zones:\n  x: {units: [a], order: one.yaml, sound: 2-1}\n"), "zones.yaml:2:", ""},
		"sound on four channels":       {withZones("zones:\n  x: {units: [a], order: one.yaml, sound: 1-4}\n"), "zones.yaml:2:", ""},
		"sound on channel 99999999999": {withZones("zones:\n  x: {units: [a], order: one.yaml, sound: 99999999999}\n"), "zones.yaml:2:", ""},
		"sound on channel -1":          {withZones("zones:\n  x: {units: [a], order: one.yaml, sound: -1}\n"), "zones.yaml:2:", ""},
		"sound on one channel twice":   {withZones("zones:\n  x: {units: [a], order: one.yaml, sound: 1-2}\n  y: {units: [b], order: two.yaml, sound: 2}\n"), "zones.yaml:3:", ""},
		"re-arm before nothing":        {withZones("zones:\n  x: {units: [a], order: one.yaml, repeats: yes, re-arm: -5 s}\n"), "zones.yaml:2:", ""},
		"re-arm for months":            {withZones("zones:\n  x: {units: [a], order: one.yaml, repeats: yes, re-arm: 9000 h}\n"), "zones.yaml:2:", ""},
		"a stay before nothing":        {withZones("zones:\n  x: {units: [a], order: one.yaml, repeats: yes, longest stay: -5 s}\n"), "zones.yaml:2:", ""},
		"a stay for months":            {withZones("zones:\n  x: {units: [a], order: one.yaml, repeats: yes, longest stay: 9000 h}\n"), "zones.yaml:2:", ""},
		"a stay that is no number":     {withZones("zones:\n  x: {units: [a], order: one.yaml, repeats: yes, longest stay: NaN s}\n"), "zones.yaml:2:", ""},
		"a stay without a rest look":   {withZones("zones:\n  x: {units: [a], order: one.yaml, longest stay: 5 s}\n"), "zones.yaml:2:", ""},
		"re-arm without a rest look":   {withZones("zones:\n  x: {units: [a], order: one.yaml, re-arm: 5 s}\n"), "zones.yaml:2:", ""},
		"repeats perhaps":              {withZones("zones:\n  x: {units: [a], order: one.yaml, repeats: perhaps}\n"), "zones.yaml:2:", ""},
		"a key of no zone":             {withZones("zones:\n  x: {units: [a], order: one.yaml, length: 5 s}\n"), "zones.yaml:2:", ""},
	} {
		t.Run(name, func(t *testing.T) {
			files := maps.Clone(c.files)
			all := told(t, files)
			nothing := c.want == "" && c.says == "" && name == "a cue over a wait"
			if nothing {
				if all.Err() != nil {
					t.Errorf("%v", all)
				}
				return
			}
			if all.Err() == nil {
				t.Fatal("nothing is told")
			}
			found := false
			for _, f := range all {
				if f.Pos.File == "" || f.Pos.Line < 1 {
					t.Errorf("a fault without a place: %v", f)
				}
				found = found || strings.HasPrefix(f.Error(), c.want) && strings.Contains(f.Error(), c.says)
			}
			if !found {
				t.Errorf("told is %v", all)
			}
			t.Logf("%v", all[0])
		})
	}
}
