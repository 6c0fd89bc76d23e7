package show

import (
	"strings"
	"testing"
	"time"
)

// The alarm's inputs are read in the file's order; yes and no stay readable beside them.
func TestAlarmInputs(t *testing.T) {
	f, faults := Read(hallWith(map[string]string{BillFile: `
alarm input: yes
alarm inputs:
  stage door: {source: pins /dev/ttyUSB0 carrier normally closed, debounce: 30 ms, lost: alarm}
  foyer: {source: key f12}
  house panel: {source: osc 9000 /alive, every: 5 s}
`}))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	b := f.Bill
	if b.Alarm == nil || !*b.Alarm || len(b.Alarms) != 3 || b.Alarms[2].Name != "house panel" {
		t.Fatalf("read %+v", b.Alarms)
	}
	door := b.Alarms.Get("stage door")
	from, ok := door.From()
	if !ok || from.Kind != "pins" || !from.Opens || door.Debounce != 30*time.Millisecond || door.Lost != LostAlarms {
		t.Errorf("stage door is %+v, %+v", door, from)
	}
	if p := b.Alarms.Get("house panel"); p.Every != 5*time.Second || p.Lost != "" {
		t.Errorf("house panel is %+v", p)
	}
}

func TestAlarmInputsFaults(t *testing.T) {
	const triggers = "triggers: {a: {source: osc 9000 /a}, b: {source: notes /dev/m note 60}, c: {source: key f5}, d: {source: gpio gpiochip0 line 3}, e: {source: pins /dev/x ring}, f: {source: page}}\n"
	for text, want := range map[string]string{
		"alarm inputs: {a: }\n":                                                      `alarm input "a" names no source`,
		"alarm inputs: {a: {every: 5 s}}\n":                                          `"source" is missing`,
		"alarm inputs: {a: {source: osk 9000 /a}}\n":                                 `show.yaml:1:28: the source of alarm input "a" cannot be read: column 1: got kind "osk"`,
		"alarm inputs: {a: {source: key r}}\n":                                       "a key that steers the run",
		"alarm inputs: {a: {source: page}}\n":                                        "is a button of the page",
		"alarm inputs: {a: {source: key f12, every: 5 s}}\n":                         "cannot be pressed every 5s all night",
		"alarm inputs: {a: {source: key f12, debounce: 5 ms}}\n":                     "cannot last",
		"alarm inputs: {a: {source: pins /dev/x ring, debounce: 2 s}}\n":             "lies outside 0 to 500ms",
		"alarm inputs: {a: {source: osc 9001 /a, every: 1 ms}}\n":                    "lies outside 500ms to 1h0m0s",
		"alarm inputs: {a: {source: osc 9001 /a, lost: shout}}\n":                    "tell",
		"alarm inputs: {a: {source: osc 9000 /b}}\n":                                 `alarm input "a" and trigger a listen in one place`,
		"alarm inputs: {a: {source: notes /dev/m note 61}}\n":                        "and trigger b listen in one place",
		"alarm inputs: {a: {source: key f5}}\n":                                      "and trigger c listen in one place",
		"alarm inputs: {a: {source: gpio gpiochip0 line 3}}\n":                       "and trigger d listen in one place",
		"alarm inputs: {a: {source: pins /dev/x carrier}}\n":                         "", // any number may read them
		"alarm inputs: {a: {source: gpio gpiochip0 line 4}}\n":                       "",
		"alarm input: no\nalarm inputs: {a: {source: key f12}}\n":                    "says that no alarm ends the show, and alarm inputs names one",
		"alarm inputs: {a: {source: key f12}, b: {source: osc 9001 /a}, c: 5}\n":     "should be a mapping",
		"extra sounds: {}\nalarm inputs: {a: {source: e131 universe 7}}\n":           "want slot and its number",
		"alarm inputs: {a: {source: e131 universe 7 slot 3 above 128 multicast}}\n":  "",
		"alarm inputs: {a: {source: osc 9001 /a}, b: {source: osc 9001 /b}}\n":       "", // they share a socket
		"alarm inputs: {a: {source: pipe /door, lost: alarm, debounce: 20 ms}}\n":    "",
		"alarm inputs: {a: {source: pipe /door, lost: tell, every: 90 s}}\n":         "",
		"alarm inputs: {a: {source: key f12, lost: alarm}, b: {source: key f11 }}\n": "",
	} {
		_, faults := Read(hallWith(map[string]string{BillFile: text, TriggersFile: triggers}))
		said := ""
		for _, f := range faults {
			if !strings.Contains(f.Error(), "nothing waits for the trigger") {
				said += f.Error() + "\n"
			}
		}
		if (want == "") != (said == "") || !strings.Contains(said, want) {
			t.Errorf("%q: %q, want %q", text, said, want)
		}
	}
}
