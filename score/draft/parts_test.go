package draft

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"lampblack/soundtrack"
	"lampblack/source"
)

// The rules that these tests hold the draft to (a second of silence, two seconds
// to bring the light back, 12 dB under to 6 dB over) are this tool's own choice;
// what comes of them is worked out here by hand.

// after is a time of a track, in seconds.
func after(v float64) time.Duration { return time.Duration(v * float64(time.Second)) }

func begins(parts []part) string {
	var out []string
	for _, p := range parts {
		voice := ""
		if p.voice {
			voice = " voice"
		}
		out = append(out, fmt.Sprintf("%g%s", p.from.Seconds(), voice))
	}
	return strings.Join(out, ", ")
}

// A part begins where a silence of a second or more ends, inside the track; a
// shorter one is a breath.
func TestPartsAfterSilence(t *testing.T) {
	hush := func(from, to float64) soundtrack.Moment {
		return soundtrack.Moment{Kind: soundtrack.Hush, Time: after(from), End: after(to)}
	}
	track := &soundtrack.Track{Duration: 60 * time.Second, Moments: []soundtrack.Moment{
		hush(.5, 3), hush(10, 10.9), hush(20, 21), hush(30, 34.5), hush(57, 59.5),
	}}
	if got, want := begins(withHushes(track, []part{{}})), "0, 21, 34.5"; got != want {
		t.Errorf("parts begin at %s, want %s", got, want)
	}
}

// Where somebody speaks, and has a look for it, is a part: from where the voice
// begins to where it ends, and a part that begins within its last second is none
// of it. A voice that is not sure is left alone.
func TestPartsOfAVoice(t *testing.T) {
	voice := func(from, to, sure float64) soundtrack.Moment {
		return soundtrack.Moment{Kind: soundtrack.Voice, Time: after(from), End: after(to), Strength: sure}
	}
	track := &soundtrack.Track{Duration: 60 * time.Second, Moments: []soundtrack.Moment{voice(10, 20, .9), voice(40, 50, .5)}}
	parts := []part{{}, {from: after(15)}, {from: after(19.5)}, {from: after(30)}}
	w := &Wish{Voice: source.Ref{Name: "reading lamp"}}
	if got, want := begins(withVoices(track, w, parts)), "0, 10 voice, 15 voice, 19.5, 30"; got != want {
		t.Errorf("parts are %s, want %s", got, want)
	}
	if got, want := begins(withVoices(track, &Wish{}, []part{{}})), "0"; got != want {
		t.Errorf("without a look for a voice parts are %s, want %s", got, want)
	}
}

// The energy of a stretch, by hand: three quarters for loudness, from 12 dB
// under the whole (0) to 6 dB over it (1), a quarter for hits, up to four in a
// second. Loudness is taken each quarter of a second: of a second that is 12 dB
// under until 0.76 s, and 6 dB over from there on, all four looks are quiet; of
// one that is loud from 0.74 s on, the last is loud.
func TestEnergy(t *testing.T) {
	for loudFrom, share := range map[int]float64{76: 0, 74: .25} {
		curve := soundtrack.Curve{Hop: 10 * time.Millisecond}
		for i := range 100 {
			v := float32(-32)
			if i >= loudFrom {
				v = -14
			}
			curve.Values = append(curve.Values, v)
		}
		track := &soundtrack.Track{Programme: -20, ShortTerm: curve, Moments: []soundtrack.Moment{
			{Kind: soundtrack.Hit, Time: after(.2)}, {Kind: soundtrack.Hit, Time: after(.4)}, {Kind: soundtrack.Turn, Time: after(.5)}, {Kind: soundtrack.Hit, Time: after(1)},
		}}
		want := .75*share + .25*(2./4)
		if got := energy(track, 0, time.Second); math.Abs(got-want) > 1e-6 {
			t.Errorf("loud from %d ms: energy %v, want %v", 10*loudFrom, got, want)
		}
	}
}

// A drafted silence stands only where a chosen cue brings the light back within
// two seconds of its end.
func TestBringBack(t *testing.T) {
	for _, c := range []struct {
		back   float64
		kind   soundtrack.Kind
		chosen bool
		want   bool
	}{
		{15.5, soundtrack.Turn, true, true},
		{13.2, soundtrack.Turn, true, true},
		{17.5, soundtrack.Turn, true, false},
		{15.5, soundtrack.Hit, true, false},
		{15.5, soundtrack.Turn, false, false},
	} {
		d := &drafting{chosen: []bool{true, c.chosen}, list: []candidate{
			{at: after(10), kind: soundtrack.Hush, moment: soundtrack.Moment{Kind: soundtrack.Hush, Time: after(10), End: after(15)}},
			{at: after(c.back), kind: c.kind},
		}}
		if d.bringBack(); d.chosen[0] != c.want {
			t.Errorf("%s at %v, chosen %v: the silence stays %v", c.kind, c.back, c.chosen, d.chosen[0])
		}
	}
}

// Numbers between those of a person: fives where they fit, else ones, tenths and
// so on, and never the person's own.
func TestNumbersBetween(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		k, n      int
		want      string
	}{
		{10, math.Inf(1), 1, 3, "15"},
		{12, math.Inf(1), 2, 3, "20"},
		{10, 30, 1, 3, "15"},
		{10, 30, 3, 3, "25"},
		{10, 25, 2, 2, "20"},
		{10, 20, 1, 1, "15"},
		{10, 15, 1, 1, "11"}, // 15 is taken
		{10, 11, 1, 2, "10.1"},
		{10, 11, 9, 9, "10.9"},
		{10, 11, 1, 10, "10.01"}, // the tenth would be 11
		{10.5, 10.6, 2, 3, "10.52"},
	} {
		if got := nth(c.low, c.high, c.k, c.n); got != c.want {
			t.Errorf("number %d of %d between %v and %v: %s, want %s", c.k, c.n, c.low, c.high, got, c.want)
		}
	}
}
