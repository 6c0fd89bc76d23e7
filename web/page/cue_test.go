package page

import "testing"

// What the cards and the running page say of each cue, by hand from the bench's
// score: a change of light runs from start to peak in up, and is complete when
// up and down are over, a bump when up, hold and return are.
func TestCueCards(t *testing.T) {
	want := []Cue{
		{Number: "1", Look: 0, Lands: "starts", Found: true},
		{Number: "2", Look: 1, Moment: 10, Start: 10, Peak: 14, Complete: 14, Up: 4, Down: 4, Lands: "starts", Found: true, Why: "the door opens"},
		// The hit was heard at 0:20.120, 0.12 s from where the score looks for it.
		// Peaks on it: from 20.12 - 0.5 = 19.62 to 19.62 + 0.5 + 0.25 + 1.5 = 21.87.
		{Number: "2.5", Look: 3, Moment: 20.12, Start: 19.62, Peak: 20.12, Complete: 21.87, Up: .5, Down: .5, Hold: .25, Returns: 1.5, Bump: true,
			Lands: "peaks", On: "hit 0:20.000", Found: true, OffBy: .12, By: "draft"},
		// Complete at 0:30, after the longer of up and down.
		{Number: "3", Look: 6, Moment: 30, Start: 27, Peak: 28, Complete: 30, Up: 1, Down: 3, Lands: "completes", Found: true},
		{Number: "4", Look: 2, Moment: 35.5, Start: 35.5, Peak: 35.5, Complete: 35.5, Lands: "starts", On: "bar 3 beat 2", Found: true, By: "accepted"},
		// The swell ends 0.1 s before 0:50; the light begins 0.5 s later.
		{Number: "5", Look: 0, Moment: 49.9, Start: 50.4, Peak: 50.4, Complete: 50.4, Delay: .5, Lands: "starts", On: "end of swell 0:50.000", Found: true, OffBy: -.1},
	}
	for i := range want {
		want[i].File = "score.yaml"
	}
	got := benchBook(t).cues
	if len(got) != len(want) {
		t.Fatalf("%d cards, want %d", len(got), len(want))
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("the card of cue %s says\n%+v, want\n%+v", want[i].Number, got[i], want[i])
		}
	}
}
