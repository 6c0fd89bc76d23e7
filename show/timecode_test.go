package show

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// What is done without timecode is read, and what contradicts itself is told.
func TestTimecodeLost(t *testing.T) {
	for text, want := range map[string]string{
		"timecode: {freewheels for: 5 s, when lost: goes on, when back: asks}\n": "",
		"timecode: {when lost: holds, when back: follows}\n":                     "",
		"timecode: {freewheels for: 1 ms}\n":                                     "lies outside 200ms to 10m0s",
		"timecode: {freewheels for: 1 h}\n":                                      "lies outside 200ms to 10m0s",
		"timecode: {when lost: stops}\n":                                         "goes on",
		"timecode: {when back: never}\n":                                         "asks",
		"timecode: {look: nowhere}\n":                                            `there is no look "nowhere" to fall to`,
		"timecode: {look: nowhere, when lost: goes on}\n":                        "so it falls to no look",
	} {
		f, faults := Read(hallWith(map[string]string{BillFile: text}))
		if said := faults.Err(); (want == "") != (said == nil) || said != nil && !strings.Contains(said.Error(), want) {
			t.Errorf("%q: %v, want %q", text, said, want)
		}
		if strings.Contains(text, "5 s") && (f.Bill.Timecode.Freewheels != 5*time.Second || f.Bill.Timecode.Lost != LostGoesOn || f.Bill.Timecode.Back != BackAsks) {
			t.Errorf("%+v", f.Bill.Timecode)
		}
	}
}

// What stands while the run has failed has bounds; what lies outside is told, and not taken.
func TestSilence(t *testing.T) {
	for text, want := range map[string]string{
		"{light stands: 2 s, ultraviolet stands: 1 s}": "",
		"{light stands: 10 min}":                       "light stands is how long lamps keep their last light",
		"{ultraviolet stands: 50 ms}":                  "ultraviolet stands is how long ultraviolet lamps stay on when the program has failed: 50 ms lies outside 0.2 s to 5 min",
	} {
		f, faults := Read(hallWith(map[string]string{"show.yaml": hall["show.yaml"] + "\nwhen the run fails: " + text + "\n"}))
		if got := fmt.Sprint(faults); want == "" && faults.Err() != nil || !strings.Contains(got, want) {
			t.Errorf("%s: %v", text, faults)
		}
		if s := f.Bill.Silence; want == "" && (s.Stands != 2*time.Second || s.Ultraviolet != time.Second) {
			t.Errorf("%s is %v", text, s)
		}
	}
}
