package draft

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/score"
	"lampblack/soundtrack"
)

// minuteTrack is a minute that can be drafted on paper: two sections, hits of
// which one leads in and two lie in words or too near, a swell into the turn,
// and a silence.
func minuteTrack() *soundtrack.Track {
	at := func(seconds float64) time.Duration { return time.Duration(seconds * float64(time.Second)) }
	hit := func(seconds, strength float64, rank int, attack, decay float64) soundtrack.Moment {
		return soundtrack.Moment{Kind: soundtrack.Hit, Time: at(seconds), End: at(seconds + decay), Strength: strength, Rank: rank, Attack: at(attack), Decay: at(decay),
			Before: -28.4, After: -18.6, Why: "struck low"}
	}
	t := &soundtrack.Track{Duration: time.Minute, Loudness: soundtrack.Curve{Hop: time.Second, Values: slices.Repeat([]float32{-20}, 61)}}
	for i := range 6 { // the swell
		t.Loudness.Values[24+i] = float32(-32 + 2*i)
	}
	t.Moments = []soundtrack.Moment{
		{Kind: soundtrack.Turn, Time: 0, End: at(30), Strength: 1, Label: "A", Why: "it begins"},
		{Kind: soundtrack.Bar, Time: at(4), End: at(4), Bar: 2, Beat: 1},
		hit(5, .9, 2, .02, .8),
		hit(5.4, .7, 5, .02, .8),
		hit(12, .95, 3, .02, .8),
		{Kind: soundtrack.Beat, Time: at(18), End: at(18), Bar: 5, Beat: 3},
		hit(18.01, .8, 4, .02, .8),
		hit(21, .3, 7, .02, .8),
		{Kind: soundtrack.Swell, Time: at(24), End: at(29.9), Strength: .6, Why: "louder by 12 LU over 5.9 s"},
		{Kind: soundtrack.Turn, Time: at(30), End: at(60), Strength: .9, Label: "B", Why: "the harmony changes"},
		hit(30.1, .85, 6, .02, .8),
		hit(38, 1, 1, .1, 5),
		{Kind: soundtrack.Hush, Time: at(44), End: at(46.5), Strength: .8, Why: "below -60 LUFS"},
		hit(52, .6, 8, .02, .8),
	}
	return t
}

const minuteScore = `brief: {cues per minute: 7}
calm:
  - {from: 0:11, to: 0:14, why: a name is said}
looks:
  sea: {parts: [{system: front, colour: "#123a7c", level: 20 %}, {system: way, colour: "2700 K", level: 8 %, use: safety light}]}
  storm: {parts: [{system: front, colour: "#8090ff", level: 40 %}]}
  nothing: {purpose: dark}
cues:
  - {cue: 10, at: 0:15, look: storm, up: 0.1 s, returns: 0.5 s, lands: peaks}  # the door
`

const minuteWish = `
hush: nothing
sections:
  - {from: 0:00, mood: calm, look: sea}
  - {from: 0:30, mood: lively, look: storm}
`

// The draft of a minute, by hand. Turns are worth 6000, the silence 4000, a hit
// 1000 times its strength squared, times 0.8 + 0.4 of the section's energy: 0.94
// in the calm one (0.35), 1.06 in the lively one (0.65). The price is what the
// third hit is worth (0.4 of 7 in a minute: 2 come before it), at most 250.
//
//	0:00    turn               6000 - 250
//	0:05    hit .9, calm        761 - 250   taken
//	0:05.4  hit .7, calm        460 - 250   0.4 s from the other, 0.6 s are wanted
//	0:12    hit .95                         in words
//	0:18    hit .8, calm        601 - 250   the seventh place is taken by better ones
//	0:21    hit .3, calm         84 - 250   earns nothing, and is too weak to be told of
//	0:30.1  turn, on the hit   6000 - 250   0.2 s behind the swell's end
//	0:38    hit 1, lively      1060 - 250   taken
//	0:44    silence            4000 - 250   the light goes
//	0:46.5  and comes back     6000 - 250
//	0:52    hit .6, lively      381 - 250   as at 0:18
//
// With the cue of a person at 0:15 that is seven in the minute; the calm section
// bears 1 + 5·30.1/60, which is 4, the lively ones 3 each. Numbers stay in the
// order of time: ones below 10, since two fives find no room, then fives.
//
// A bump rises in the hit's attack, 50 ms at least, and falls in its decay: 0.8
// s; at 0:38 in 2 s, the longest that lively allows. Its look has twice the level
// of what stands, the light to walk by untouched.
func TestDraftByHand(t *testing.T) {
	w, faults := ReadWish("draft.yaml", []byte(minuteWish))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	r, text := draftOf(t, minuteTrack(), minuteScore, Options{Wish: w})
	want := strings.Replace(minuteScore, "looks:\n", `looks:
  "sea, accent": {like: sea, purpose: "drafted: an accent over sea", parts: [{system: front, colour: "#123a7c", level: 40 %}], by: draft}
  "storm, accent": {like: storm, purpose: "drafted: an accent over storm", parts: [{system: front, colour: "#8090ff", level: 80 %}], by: draft}
`, 1) + `  - {cue: 1, at: 0:00.000, look: sea, lands: starts, by: draft, why: "section look sea begins, calm"}
  - {cue: 2, on: hit 0:05.000, look: "sea, accent", up: 0.05 s, returns: 0.8 s, lands: peaks, by: draft, why: "hit of rank 2: struck low"}
  - {cue: 15, on: hit 0:30.100, look: storm, up: 5.9 s, lands: completes, by: draft, why: "section look storm begins, lively, on the swell that leads into it"}
  - {cue: 20, on: hit 0:38.000, look: "storm, accent", up: 0.1 s, returns: 2 s, lands: peaks, by: draft, why: "hit of rank 1: struck low"}
  - {cue: 25, on: hush 0:44.000, look: nothing, up: 0.3 s, lands: starts, by: draft, why: "silence of 2.5 s: below -60 LUFS"}
  - {cue: 30, at: 0:46.500, look: storm, up: 2 s, lands: starts, by: draft, why: "section look storm begins, lively"}
`
	if text != want {
		t.Errorf("drafted is\n%s\nwant\n%s", text, want)
	}
	var told strings.Builder
	if err := r.WriteExplanation(&told); err != nil {
		t.Fatal(err)
	}
	wantTold := `sections
  0:00.000 look sea calm energy 0.35
  0:30.100 look storm lively energy 0.65
  0:46.500 look storm lively energy 0.65

cues
  0:00.000 1 sea section look sea begins, calm
  0:05.000 2 sea, accent hit of rank 2: struck low
  0:30.100 15 storm section look storm begins, lively, on the swell that leads into it
  0:38.000 20 storm, accent hit of rank 1: struck low
  0:44.000 25 nothing silence of 2.5 s: below -60 LUFS
  0:46.500 30 storm section look storm begins, lively

left out
  0:05.400 hit 0.70 too near to the cue at 0:05.000
  0:12.000 hit 0.95 there is to be calm
  0:18.010 hit 0.80 the minute around it is full of stronger ones
  0:52.000 hit 0.60 the minute around it is full of stronger ones
`
	if got := spaced(told.String()); got != wantTold {
		t.Errorf("it is explained as\n%s\nwant\n%s", got, wantTold)
	}
}

// spaced gives every gap between columns one space.
func spaced(text string) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		indent := line[:len(line)-len(strings.TrimLeft(line, " "))]
		out.WriteString(indent + strings.Join(strings.Fields(line), " ") + "\n")
	}
	return out.String()
}

// The spotting list of the same minute, by hand: the three hits of the first
// ranks and the one that was decided on, all that lasts, bars and beats from the
// first bar on, and what was said.
func TestSpottingByHand(t *testing.T) {
	said, faults := ReadDecisions("spotting.yaml", []byte(`decisions:
  - {moment: hit 0:21.00, verdict: accept}
  - {moment: hit 0:12.00, verdict: reject, note: a name}
  - {moment: hit 0:38.00, move to: 0:38.2}
`))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	var text, table strings.Builder
	list := SpotList(minuteTrack(), said, 3)
	if list.WriteText(&text) != nil || list.WriteCSV(&table) != nil {
		t.Fatal("it could not be written")
	}
	want := `time bar.beat what rank strength before LUFS after LUFS verdict why
0:00.000 turn 1.00 it begins
0:05.000 2.1 hit 2 0.90 -28 -19 struck low
0:12.000 2.1 hit 3 0.95 -28 -19 reject struck low
0:21.000 5.3 hit 7 0.30 -28 -19 accept struck low
0:24.000 5.3 swell 0.60 louder by 12 LU over 5.9 s
0:30.000 5.3 turn 0.90 the harmony changes
0:38.200 (was 0:38.000) 5.3 hit 1 1.00 -28 -19 struck low
0:44.000 5.3 hush 0.80 below -60 LUFS
`
	if got := spaced(text.String()); got != want {
		t.Errorf("the list is\n%s\nwant\n%s", got, want)
	}
	wantRow := "0:12.000,2.1,hit,3,0.95,-28,-19,reject,struck low\n"
	if !strings.HasPrefix(table.String(), "time,bar.beat,what,rank,strength,before LUFS,after LUFS,verdict,why\n") || !strings.Contains(table.String(), wantRow) {
		t.Errorf("the table is\n%s", table.String())
	}
}

// A score without a look gets some, each on a line of its own, and the draft of
// that score is the same again: once its looks are taken out, none is left.
func TestDraftIntoNoLooks(t *testing.T) {
	w := &Wish{Sections: []Section{{Mood: Calm, Colours: []score.Colour{{Text: "#123a7c"}}}, {From: 30 * time.Second, Mood: Fierce, Colours: []score.Colour{{Text: "#ff5020"}}}}}
	o := Options{Wish: w, Systems: []string{"front"}}
	for _, text := range []string{"looks: {}\ncues: []\n", "looks:\n  {}\ncues: []\n"} {
		_, first := draftOf(t, minuteTrack(), text, o)
		// As bright as the section is meant to be: calm 35 %, fierce 90 %.
		for _, want := range []string{
			`"drafted, A": {purpose: drafted for section A, parts: [{system: front, colour: "#123a7c", level: 35 %}], by: draft},` + "\n",
			`"drafted, B": {purpose: drafted for section B, parts: [{system: front, colour: "#ff5020", level: 90 %}], by: draft},` + "\n",
		} {
			if !strings.Contains(first, want) {
				t.Errorf("there is no %s in\n%s", want, first)
			}
		}
		if _, again := draftOf(t, minuteTrack(), first, o); again != first {
			t.Errorf("drafted is\n%s\nand again\n%s", first, again)
		}
	}
}

// What a mood and the director's bounds leave of the same minute, by hand, when
// it is one section. The silence cuts it at 0:46.5; a part bears 1 + a mood's
// cues in a minute (2, 5, 9, 15) times its minutes, rounded: still 3 and 1, calm
// 5 and 2, lively 8 and 3, fierce 13 and 4. Turns at 0:00 and 0:46.5 and the
// silence at 0:44 come first. Then hits by strength, as worth as in
// TestDraftByHand, and the swell, 1500·0.6, which lands on the hit at 0:30.1; the
// price is the least, 30, for fewer hits than 30 in a minute could be.
func TestMoodsByHand(t *testing.T) {
	const text = "brief: {cues per minute: 30}\nlooks:\n  sea: {parts: [{system: front, colour: \"#123a7c\", level: 20 %}]}\n  nothing: {purpose: dark}\ncues: []\n"
	for _, c := range []struct{ name, wish, want string }{
		// Still, 0.84 of the strength squared: swell 900, 0:38 840, 0:12 758: one finds room.
		{"still", "sections: [{from: 0:00, mood: still, look: sea}]", "0 30.1 44 46.5"},
		// Calm, 0.94: 0:38 940, swell 900, 0:12 848, 0:05 761: three find room.
		{"calm", "sections: [{from: 0:00, mood: calm, look: sea}]", "0 12 30.1 38 44 46.5 52"},
		// Lively: all but 0:05.4, which is too near to 0:05.
		{"lively", "sections: [{from: 0:00, mood: lively, look: sea}]", "0 5 12 18.01 21 30.1 38 44 46.5 52"},
		// 0.4 s apart both may be; then the weakest of seven has no place among six.
		{"lively, nearer", "least apart: 400 ms\nsections: [{from: 0:00, mood: lively, look: sea}]", "0 5 5.4 12 18.01 30.1 38 44 46.5 52"},
		{"fierce, nearer", "least apart: 400 ms\nsections: [{from: 0:00, mood: fierce, look: sea}]", "0 5 5.4 12 18.01 21 30.1 38 44 46.5 52"},
		{"four in all", "cues: 4\nsections: [{from: 0:00, mood: lively, look: sea}]", "0 38 44 46.5"},
		// 1.06 of the strength squared: 0:38 1060, 0:12 957, swell 900.
		{"five a minute", "cues per minute: 5\nsections: [{from: 0:00, mood: lively, look: sea}]", "0 12 38 44 46.5"},
	} {
		w, faults := ReadWish("draft.yaml", []byte("hush: nothing\n"+c.wish+"\n"))
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		r, _ := draftOf(t, minuteTrack(), text, Options{Wish: w})
		var got []string
		for i := range r.Cues {
			got = append(got, fmt.Sprint(when(&r.Cues[i]).Seconds()))
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: cues at %v, want %s", c.name, got, c.want)
		}
	}
}
