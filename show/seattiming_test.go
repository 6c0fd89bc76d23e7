package show

import (
	"strings"
	"testing"
	"time"

	"lampblack/source"
)

// What was heard at a seat is what the budget then says of that seat: light that was found to
// come 25 ms before the sound, give or take 5, does so by the written delays too. Sound takes
// 29.1 ms for 10 m (343.2 m/s; ISO 9613-1, from memory).
func TestHeardAtASeat(t *testing.T) {
	const ms = time.Millisecond
	for _, behind := range []Delay{{20 * ms, 30 * ms}, {90 * ms, 100 * ms}, {-60 * ms, -50 * ms}} {
		t1 := Timing{Speaker: 10, Sound: Delay{12 * ms, 22 * ms}}.Heard(behind, 10)
		if t1.Light.Low < 0 || t1.Sound.Low < 0 {
			t.Errorf("%v: less than no delay: %+v", behind, t1)
		}
		lead := t1.Budget(10, 0).Lead()
		if d := lead.Low - behind.Low; d < -ms/4 || d > ms/4 || lead.High-behind.High != d {
			t.Errorf("%v: the budget says %v", behind, lead)
		}
	}
	got := Timing{Sound: Delay{12 * ms, 22 * ms}}.Heard(Delay{20 * ms, 30 * ms}, 10)
	if want := (17 + 29.14 - 25) * float64(ms); got.Light.Best() < time.Duration(want)-ms/5 || got.Light.Best() > time.Duration(want)+ms/5 {
		t.Errorf("light %v, want about 21.1 ms", got.Light)
	}
}

// The text of show.yaml keeps all else, comments too, and reads as what was written.
func TestTimingWith(t *testing.T) {
	const ms = time.Millisecond
	want := Timing{Sound: Delay{17 * ms, 17 * ms}, Light: Delay{16100 * time.Microsecond, 26 * ms}}
	for _, text := range []string{
		"title: A # ours\ntiming:\n  speaker to centre seat: 9 m # by tape\n  sound delay: 12 ms to 22 ms # wired\n  light delay: 18 ms\nplace: hall\n",
		"title: A\ntiming: {speaker to centre seat: 9 m}\n", "title: A\n",
	} {
		data, err := want.With([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		var b Bill
		faults := source.Decode(BillFile, data, &b)
		if b.Timing.Sound != want.Sound || b.Timing.Light != want.Light || b.Title != "A" {
			t.Errorf("%s\n%v", data, faults)
		}
		for _, comment := range []string{"# ours", "# by tape", "place: hall"} {
			if strings.Contains(text, comment) && !strings.Contains(string(data), comment) {
				t.Errorf("%q is lost: %s", comment, data)
			}
		}
		if strings.Contains(text, "9 m") && b.Timing.Speaker != 9 {
			t.Errorf("%s", data)
		}
	}
}
