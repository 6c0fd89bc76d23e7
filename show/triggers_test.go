package show

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

const contacts = `
triggers:
  start: {source: page, re-arm: 5 s}
  next: {source: key f5}
  beam a: {source: gpio gpiochip0 line 17 active low, debounce: 20 ms, re-arm: 2 s, dwell: 300 ms}
  beam b: {source: pins /dev/ttyUSB0 carrier, debounce: 20 ms}
  desk: {source: e131 universe 7 slot 12 above 128 below 100}
inside:
  cave: {enters: beam a, leaves: beam b}
`

// A show's triggers are read in the file's order, and count as its texts.
func TestTriggers(t *testing.T) {
	f, faults := Read(hallWith(map[string]string{TriggersFile: contacts}))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	got := f.Triggers
	if len(got.Triggers) != 5 || got.Triggers[2].Name != "beam a" || len(got.Inside) != 1 {
		t.Fatalf("read %+v", got)
	}
	a := got.Triggers.Get("beam a")
	from, ok := a.From()
	if !ok || from.Kind != "gpio" || from.Line != 17 || !from.Low || a.Debounce != 20*time.Millisecond || a.Rearm != 2*time.Second || a.Dwell != 300*time.Millisecond {
		t.Errorf("beam a is %+v, %+v", a, from)
	}
	if p := got.Inside.Get("cave"); p.Enters.Name != "beam a" || p.Leaves.Name != "beam b" {
		t.Errorf("cave is %+v", p)
	}
	plain, _ := Read(hallWith(nil))
	if plain.Triggers != nil || plain.texts == f.texts {
		t.Error("a show without triggers has some, or is the same show")
	}
}

func TestTriggersFaults(t *testing.T) {
	many := "triggers:\n"
	for i := range mostTriggers + 1 {
		many += fmt.Sprintf("  t%d: {source: page}\n", i)
	}
	const two = "triggers: {a: {source: page}, b: {source: page}}\n"
	for text, want := range map[string]string{
		"":                                       "triggers",
		"triggers: {}\n":                         "there are no triggers",
		"trigger: {}\n":                          `did you mean "triggers"`,
		"triggers: 5\n":                          "should be a mapping",
		"triggers: {a: }\n":                      `trigger "a" names no source`,
		"triggers: {a: 5}\n":                     "should be a mapping",
		"triggers: {a: {re-arm: 5 s}}\n":         `"source" is missing`,
		"triggers: {a: {source: }}\n":            `"source" has no value`,
		"triggers: {a: {source: osk 9000 /a}}\n": `triggers.yaml:1:24: the source of trigger "a" cannot be read: column 1: got kind "osk"`,
		"triggers: {a: {source: key g}}\n":       "a key that steers the run",
		"triggers: {a: {source: e131 universe 0 slot 0 above 300}}\n":                                                     `got "0", want a number from 1 to 63999; column 22: got "0", want a number from 1 to 512; column 30: got "300"`,
		"triggers: {a: {source: page}, a: {source: key f5}}\n":                                                            `"a" stands here twice`,
		"triggers: {a: {source: pipe /a, debounce: -1 ms}}\n":                                                             `the debounce of trigger "a", -1ms, lies outside 0 to 10s`,
		"triggers: {a: {source: pipe /a, debounce: 11 s}}\n":                                                              `the debounce of trigger "a"`,
		"triggers: {a: {source: pipe /a, re-arm: 25 h}}\n":                                                                `the re-arm of trigger "a"`,
		"triggers: {a: {source: pipe /a, dwell: 61 min}}\n":                                                               `the dwell of trigger "a"`,
		"triggers: {a: {source: pipe /a, dwell: 5}}\n":                                                                    "has no unit",
		"triggers: {a: {source: page, dwell: 5 s}}\n":                                                                     `trigger "a" is pressed in an instant`,
		"triggers: {a: {source: key f5, debounce: 5 ms}}\n":                                                               `trigger "a" is pressed in an instant`,
		"triggers: {a: {source: key f5}, b: {source: key f5}}\n":                                                          `trigger "b" listens for the very same thing as trigger "a"`,
		"triggers: {a: {source: gpio gpiochip0 line 1}, b: {source: gpio /dev/gpiochip0 line 1 active high}}\n":           "very same thing",
		"triggers: {a: {source: osc 9000 /a}, b: {source: osc 9000 /a above 0}}\n":                                        "very same thing",
		"triggers: {a: {source: gpio gpiochip0 line 1}, b: {source: gpio gpiochip0 line 1 pull up}}\n":                    `triggers "a" and "b" read line 1 of /dev/gpiochip0 in different ways`,
		"triggers: {a: {source: gpio gpiochip0 line 1 active low}, b: {source: gpio gpiochip0 line 1 normally closed}}\n": "in different ways",
		two + "inside: {cave: {enters: a, leaves: c}}\n":                                                                  `there is no trigger "c"`,
		two + "inside: {cave: {enters: d, leaves: b}}\n":                                                                  `there is no trigger "d"`,
		two + "inside: {cave: {enters: a, leaves: a}}\n":                                                                  `place "cave" is entered and left past one trigger`,
		two + "inside: {cave: {enters: a}}\n":                                                                             `"leaves" is missing`,
		two + "inside: {cave: }\n":                                                                                        `place "cave" names no triggers`,
		two + "inside: {cave: {enters: a, leaves: b}, cave: {enters: b, leaves: a}}\n":                                    `"cave" stands here twice`,
		two + "inside:\n" + strings.Repeat("  x: {enters: a, leaves: b}\n", 2):                                            "twice",
		many: "201 triggers are more than the 200",
	} {
		f, faults := Read(hallWith(map[string]string{TriggersFile: text}))
		if faults.Err() == nil || !strings.Contains(faults.Error(), want) {
			t.Errorf("%s: %v, want %s", text, faults, want)
		}
		for i := 0; f.Triggers != nil && i < len(f.Triggers.Triggers); i++ {
			f.Triggers.Triggers[i].Value.From() // and nothing panics
		}
		for _, fault := range faults {
			if fault.Pos.File != TriggersFile || fault.Pos.Line < 1 {
				t.Errorf("%s: %v stands nowhere", text, fault)
			}
		}
	}
	// What looks alike and is not.
	for _, text := range []string{
		"triggers: {a: {source: page}, b: {source: page}}\n",
		"triggers: {a: {source: pins /dev/t ring}, b: {source: pins /dev/t ring normally closed}}\n",
		"triggers: {a: {source: gpio gpiochip0 line 1 pull up}, b: {source: gpio gpiochip1 line 1}}\n",
		"triggers: {a: {source: e131 universe 1 slot 1 above 50}, b: {source: e131 universe 1 slot 1 above 200}}\n",
	} {
		if _, faults := Read(hallWith(map[string]string{TriggersFile: text})); faults.Err() != nil {
			t.Errorf("%s: %v", text, faults)
		}
	}
	if _, faults := Read(hallWith(map[string]string{"triggers.yaml/a": ""})); faults.Err() == nil {
		t.Error("a folder is taken for triggers")
	}
}
