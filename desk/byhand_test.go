package desk

import (
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/si"
)

// A desk of two banks that stores a fade with every scene, is recalled by
// program changes from its scene 4 on and has faders in per cent. Its sheet for
// the tiny show, by hand: all units are in reach where they hang, so nothing is
// addressed anew. Levels of 20, 60 and 100 % are written as such. Scenes stand in
// the order of their first use from scene 4 on, the fifth being the first of
// bank 2.
//
// From all faders down, open moves 3 faders, night those 3 back and 1, knock 2
// of each wash, sea 3 of each wash and the flood's: 3 + 4 + 4 + 7 = 18, less
// than in any other of the 24 orders (worked out one by one: 20 and more).
func TestSheetOfBanksByHand(t *testing.T) {
	s := tinyShow(t, "at: 0:10, look: night", "at: 0:10, look: night, up: 3 s",
		"up: 0.1 s, hold: 1 s, returns: 0.2 s", "up: 0.5 s, hold: 1 s, returns: 3 s",
		"at: 0:30, look: sea", "at: 0:30, look: sea, up: 4 s")
	p := fit(t, s, `
name: two banks
slots: 40
scenes: 8
banks: 2
recalled by: [{program: 10, to: 14, channel: 3, scene: 4}]
fade: {kind: each scene, longest: 30 s}
faders: per cent
latency: 30 ms
`)
	want := `Tiny on two banks: programming sheet

lights up is scene 4 (bank 1, place 4), program 10, channel 3: store it first and try it

slots
slot 1   to address 1   wash left dimmer
slot 2   to address 2   wash left red
slot 3   to address 3   wash left green
slot 11  to address 11  house dimmer
slot 12  to address 12  house red
slot 13  to address 13  house green
slot 21  to address 21  wash right dimmer
slot 22  to address 22  wash right red
slot 23  to address 23  wash right green
slot 31  to address 31  flood uv
slot 32  to address 32  flood shutter

4 scenes, 18 fader moves, from all faders down

scene 4 (bank 1, place 4)  open  program 10, channel 3
    11 at 100 %, 12 at 100 %, 13 at 100 %
    fade 0 s

scene 5 (bank 2, place 1)  night  program 11, channel 3
    11 at 0 %, 12 at 0 %, 13 at 0 %, 31 at 100 %
    fade 3 s

scene 6 (bank 2, place 2)  knock over night  program 12, channel 3
    1 at 60 %, 2 at 100 %, 21 at 60 %, 22 at 100 %
    fade 0.5 s

scene 7 (bank 2, place 3)  sea  program 13, channel 3
    1 at 20 %, 2 at 60 %, 3 at 100 %, 21 at 20 %, 22 at 60 %, 23 at 100 %, 31 at 0 %
    fade 4 s
`
	sheet, table, losses := written(t, p)
	if sheet != want {
		t.Errorf("the sheet is\n%s\nwant\n%s", sheet, want)
	}
	rows := strings.Split(table, "\n")
	if len(rows) != 6 || !strings.HasPrefix(rows[0], "scene,bank,place,name,recall,fade s,slot 1 %,slot 2 %,slot 3 %,slot 4 %,") {
		t.Fatalf("the table is\n%s", table)
	}
	for i, want := range []string{
		`4,1,4,open,"program 10, channel 3",0,0,0,0,0,0,0,0,0,0,0,100,100,100,0,`,
		`5,2,1,night,"program 11, channel 3",3,0,0,0,`,
		`6,2,2,knock over night,"program 12, channel 3",0.5,60,100,0,0,`,
		`7,2,3,sea,"program 13, channel 3",4,20,60,100,0,`,
	} {
		if !strings.HasPrefix(rows[i+1], want) {
			t.Errorf("row %d is %s, want %s", i+1, rows[i+1], want)
		}
	}
	// All is kept: the desk has what the show asks for.
	if p.Harm != 0 || len(p.Losses) > 0 || !strings.HasPrefix(losses, "Tiny on two banks: 11 of 40 slots, 4 of 8 scenes, 5 recalls\n") {
		t.Errorf("harm %v:\n%s", p.Harm, losses)
	}
}

// Whole per cents, by hand: 200 of the shutter is where flashing begins, and 78 %
// is 198.9, in a range that must never be entered: 79 %, which is 201.45. A level
// of 7 % of light wants slot value 17.85, 7 %; 2 lies nearest to 1 %.
func TestPercentKeepsOutOfForbiddenRanges(t *testing.T) {
	s := tinyShow(t, "parts: [{units: [flood], emitters: {uv: 100 %}}]", "parts: [{units: [flood], emitters: {uv: 100 %}, flash: 1 Hz}]")
	for scale, want := range map[string]string{"0 to 255": "7 at 255, 8 at 200", "per cent": "7 at 100 %, 8 at 79 %"} {
		p := fit(t, s, strings.Replace(five, "slots: 5", "slots: 8\nfaders: "+scale, 1))
		if sheet, _, _ := written(t, p); !strings.Contains(sheet, want) {
			t.Errorf("%s: there is no %q in\n%s", scale, want, sheet)
		}
	}
}

func TestNearestPercent(t *testing.T) {
	plain, shutter := &slotDecoder{Slot: &rig.Slot{}}, &slotDecoder{Slot: &rig.Slot{Ranges: []rig.Range{
		{From: 0, To: 7, Does: rig.Open}, {From: 8, To: 127, Does: rig.Never}, {From: 128, To: 129, Does: rig.Closed}, {From: 130, To: 199, Does: rig.Never}, {From: 200, To: 254, Does: rig.Flash}, {From: 255, To: 255, Does: rig.Open},
	}}}
	for _, c := range []struct {
		name    string
		slot    *slotDecoder
		v, want byte
	}{
		{"0 %", plain, 0, 0}, {"0 %", plain, 1, 0}, {"1 %", plain, 2, 3}, {"20 %", plain, 51, 51}, {"10 %", plain, 25, 26}, {"50 %", plain, 127, 128}, {"100 %", plain, 255, 255}, {"100 %", plain, 254, 255},
		{"3 % is 7.65, which may be 8; 2 % is 5.1", shutter, 7, 5},
		{"78 % is 198.9; 79 % is 201.45", shutter, 200, 201},
		{"99 % is 252.45", shutter, 254, 252},
		{"100 %", shutter, 255, 255},
		{"50 % is 127.5 and may be 127, 51 % is 130.05: none is sure, so it counts as forbidden", shutter, 128, 127},
	} {
		if got := c.slot.nearest(c.v); got != c.want {
			t.Errorf("%s: %d becomes %d, want %d", c.name, c.v, got, c.want)
		}
	}
}

// Addresses as a person reads them: three and more in a row as a span.
func TestNumbers(t *testing.T) {
	for want, list := range map[string][]int{
		"":                     nil,
		"7":                    {7},
		"7, 8":                 {7, 8},
		"7 to 9":               {7, 8, 9},
		"1 to 3, 5, 7, 8, 500": {1, 2, 3, 5, 7, 8, 500},
		"1, 2, 4 to 6":         {1, 2, 4, 5, 6},
	} {
		if got := numbers(list); got != want {
			t.Errorf("%v reads %q, want %q", list, got, want)
		}
	}
}

// A list is cut at its commas, into lines of at most so many letters; a word that
// is longer stands alone.
func TestWrapped(t *testing.T) {
	for want, text := range map[string]string{
		"":                                 "",
		"1 at 5, 2 at 5":                   "1 at 5, 2 at 5",
		"1 at 5, 2 at 5,|3 at 5":           "1 at 5, 2 at 5, 3 at 5",
		"12345678901234":                   "12345678901234",
		"123456, 123456,|1":                "123456, 123456, 1",
		"1234567,|123456, 123456":          "1234567, 123456, 123456",
		"a,|a long name that is one,|b, c": "a, a long name that is one, b, c",
	} {
		if got := strings.Join(wrapped(text, 14), "|"); got != want {
			t.Errorf("%q is cut into %q, want %q", text, got, want)
		}
	}
}

// Lights up, by hand: the house lamp hangs 3 m over the middle of the seats and
// looks straight down; of its 300 lm red, 50 % are 150 lm. Nearly all of it falls
// on 6 m by 9 m of floor, 150 / 54 = 2.78 lx, the rest on black walls. A way out
// wants 1 fc, 10.76 lx (IBC 1008.2.1).
func TestLightsUpByHand(t *testing.T) {
	p := fit(t, tinyShow(t, "emitters: {red: 100 %, green: 100 %}", "emitters: {red: 50 %}"), five)
	mean, least, where := p.Up()
	if mean < 2.6 || mean > 2.85 || least != mean || where != "the floor" {
		t.Errorf("%v lx, %v lx at the least, on %s", mean, least, where)
	}
	sheet, _, _ := written(t, p)
	want := "Tiny on five faders: programming sheet\n\nCAUTION: lights up gives " + si.Say(mean, "lx") + " on the floor on the mean.\n" +
		"A way out wants 11 lx. Have house light that does not hang on this desk, and somebody at it.\n\n" +
		"lights up is scene 1, note 60, channel 1: store it first and try it\n"
	if !strings.HasPrefix(sheet, want) {
		t.Errorf("the sheet begins\n%s\nwant\n%s", sheet[:min(len(sheet), 400)], want)
	}
}
