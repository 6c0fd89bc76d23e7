package desk

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
)

// The sheet, the table and the losses of the tiny show on five faders, written
// by hand from its files. The wash has 3 slots and the flood 2: five faders hold
// one wash and the flood, and the house goes before the washes, whose looks are
// soon over. It moves to address 1, where wash left hangs, which feeds it.
func TestSheetByHand(t *testing.T) {
	want := `Tiny on five faders: programming sheet

lights up is scene 1, note 60, channel 1: store it first and try it

before the desk is connected
switch off wash left at the mains: the desk has no slots left for it
    feed house from elsewhere, whose power comes through wash left
switch off wash right at the mains: the desk has no slots left for it
set house from address 11 to address 1
set flood from address 31 to address 4

slots
slot 1  to address 1  house dimmer
slot 2  to address 2  house red
slot 3  to address 3  house green
slot 4  to address 4  flood uv
slot 5  to address 5  flood shutter

4 scenes, 5 fader moves, from all faders down

scene 4  sea  note 63, channel 1
    nothing to move

scene 3  knock over night  note 62, channel 1
    4 at 255

scene 2  night  note 61, channel 1
    nothing to move

scene 1  open  note 60, channel 1
    1 at 255, 2 at 255, 3 at 255, 4 at 0
`
	wantTable := `scene,bank,place,name,recall,fade s,slot 1,slot 2,slot 3,slot 4,slot 5
4,1,4,sea,"note 63, channel 1",0,0,0,0,0,0
3,1,3,knock over night,"note 62, channel 1",0,0,0,0,255,0
2,1,2,night,"note 61, channel 1",0,0,0,0,255,0
1,1,1,open,"note 60, channel 1",0,255,255,255,0,0
`
	sheet, table, losses := written(t, fit(t, tinyShow(t), five))
	if sheet != want {
		t.Errorf("the sheet is\n%s\nwant\n%s", sheet, want)
	}
	if table != wantTable {
		t.Errorf("the table is\n%s\nwant\n%s", table, wantTable)
	}
	// Harm is for the eye to weigh; times, cues and causes are by hand.
	harm := regexp.MustCompile(`(?m)^[0-9.]+ |; colours differ.*|harm [0-9.].*|before slots.*`)
	wantLosses := `Tiny on five faders: 5 of 5 slots, 4 of 8 scenes, 5 recalls


harm   at        cues  what is lost
#      0:19.900  3     knock over night is not as it was meant: without wash left, wash right#
#      0:30.000  4     sea is not as it was meant: without wash left, wash right#
#      -               wash left is off: the desk has no slots left for it
#      -               wash right is off: the desk has no slots left for it
`
	got := harm.ReplaceAllString(losses, "#")
	got = strings.NewReplacer("\n#\n#\n\n", "\n\n\n").Replace(got)
	if squeeze(got) != squeeze(wantLosses) {
		t.Errorf("the losses are\n%s\nwant\n%s", got, wantLosses)
	}
	eight := `before the desk is connected
set wash right from address 21 to address 1
set house from address 11 to address 4
set flood from address 31 to address 7

slots
slot 1  to address 1  wash left, wash right dimmer
slot 2  to address 2  wash left, wash right red
slot 3  to address 3  wash left, wash right green
slot 4  to address 4  house dimmer
slot 5  to address 5  house red
slot 6  to address 6  house green
slot 7  to address 7  flood uv
slot 8  to address 8  flood shutter

4 scenes, 13 fader moves, from all faders down

scene 4  sea  note 63, channel 1
    1 at 51, 2 at 153, 3 at 255

scene 3  knock over night  note 62, channel 1
    1 at 153, 2 at 255, 3 at 0, 7 at 255

scene 2  night  note 61, channel 1
    1 at 0, 2 at 0

scene 1  open  note 60, channel 1
    4 at 255, 5 at 255, 6 at 255, 7 at 0
`
	sheet, _, _ = written(t, fit(t, tinyShow(t), strings.Replace(five, "slots: 5", "slots: 8", 1)))
	if _, rest, _ := strings.Cut(sheet, "try it\n\n"); rest != eight {
		t.Errorf("with eight faders the sheet goes on\n%s\nwant\n%s", rest, eight)
	}
}

func squeeze(s string) string { return regexp.MustCompile(` +`).ReplaceAllString(s, " ") }

// hung is the rig as somebody has set it up who did what the sheet says, and
// nothing else.
type hung struct {
	address map[string]int // by unit; 0 when it is off
	slots   map[int][]int  // by slot of the desk: addresses
	scenes  map[int][]byte // by number of the scene: the faders
}

var (
	offLine   = regexp.MustCompile(`^switch off (.+) at the mains:`)
	setLine   = regexp.MustCompile(`^set (.+) from address (\d+) to address (\d+)$`)
	slotLine  = regexp.MustCompile(`^slot (\d+) +to address ([0-9, to]+?)(  |$)`)
	sceneLine = regexp.MustCompile(`^scene (\d+) `)
	moveText  = regexp.MustCompile(`(\d+) at (\d+)`)
)

// follow does what a sheet says.
func follow(t *testing.T, sheet string, r *rig.Rig, slots int) *hung {
	t.Helper()
	h := &hung{address: map[string]int{}, slots: map[int][]int{}, scenes: map[int][]byte{}}
	for i := range r.Units {
		h.address[r.Units[i].Name.Name] = r.Units[i].Address
	}
	number := func(s string) int {
		n, err := strconv.Atoi(s)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	faders := make([]byte, slots)
	scene := 0
	for line := range strings.SplitSeq(sheet, "\n") {
		if m := offLine.FindStringSubmatch(line); m != nil {
			h.address[m[1]] = 0
		} else if m := setLine.FindStringSubmatch(line); m != nil {
			if h.address[m[1]] != number(m[2]) {
				t.Errorf("%q: it is at %d", line, h.address[m[1]])
			}
			h.address[m[1]] = number(m[3])
		} else if m := slotLine.FindStringSubmatch(line); m != nil {
			for part := range strings.SplitSeq(m[2], ", ") {
				from, to, span := strings.Cut(part, " to ")
				if !span {
					to = from
				}
				for a := number(from); a <= number(to); a++ {
					h.slots[number(m[1])] = append(h.slots[number(m[1])], a)
				}
			}
		} else if m := sceneLine.FindStringSubmatch(line); m != nil {
			scene = number(m[1])
			h.scenes[scene] = append([]byte(nil), faders...)
		} else if scene > 0 && strings.HasPrefix(line, "    ") {
			for _, m := range moveText.FindAllStringSubmatch(line, -1) {
				faders[number(m[1])-1] = byte(number(m[2]))
			}
			h.scenes[scene] = append([]byte(nil), faders...)
		}
	}
	return h
}

// lit is what every drive of the rig gives in a scene: each unit takes the slots
// from its own address on and does with them what its mode says. A unit that
// flashes or runs a program fails the test.
func (h *hung) lit(t *testing.T, r *rig.Rig, scene int) []float32 {
	t.Helper()
	var line [513]byte
	for slot, addresses := range h.slots {
		for _, a := range addresses {
			line[a] = h.scenes[scene][slot-1]
		}
	}
	out := make([]float32, len(r.Drives))
	for i := range r.Units {
		u := &r.Units[i]
		at := h.address[u.Name.Name]
		if at == 0 {
			continue
		}
		first, last := r.UnitDrives(i)
		for d := first; d < last; d++ {
			out[d] = float32(lampLevel(t, u, &r.Drives[d], line[at:at+u.Mode.Footprint]))
		}
	}
	return out
}

func lampLevel(t *testing.T, u *rig.Unit, drive *rig.Drive, slots []byte) float64 {
	level := 1.0
	for j := range u.Mode.Slots {
		s := &u.Mode.Slots[j]
		mine := s.Drives != "" && drive.Slot == j
		for _, d := range s.Dims {
			mine = mine || d == "all" || d == u.Type.Emitters[drive.Emitter].Name
		}
		v := int(slots[s.Coarse-1])
		curve, low := s.Curve.Light(), 0
		for _, r := range s.Ranges {
			inside := v >= r.From && v <= r.To
			switch {
			case inside && (r.Does == rig.Never || r.Does == rig.Flash || r.Does == rig.FlashRandom):
				t.Errorf("%s slot %d stands at %d: %v", u.Name.Name, s.Coarse, v, r.Does)
			case inside && r.Does == rig.Closed:
				level = 0
			case inside && r.Does == rig.Open:
				mine = false
			case r.Does == rig.Level:
				low, curve.Max, curve.Full = r.From, uint16(r.To-r.From), min(curve.Full, uint16(r.To-r.From))
			}
		}
		switch {
		case !mine:
		case s.Fine > 0:
			level *= curve16(curve, v<<8|int(slots[s.Fine-1]))
		default:
			level *= curve.Level(uint16(v - low))
		}
	}
	return level
}

func curve16(c light.Curve, v int) float64 {
	wide := c.Wide()
	return wide.Level(uint16(v))
}

// Whoever follows the sheet to the letter has, in every scene, the light that
// the plan counts on from every lamp in the rig, and nothing more: the units that
// it leaves out give none, and those that it uses do nothing that was not asked
// for. Harm, losses and pictures are computed from that same light.
func TestSheetDrivesWhatThePlanSays(t *testing.T) {
	s := tinyShow(t)
	plans := map[string]*Plan{
		"five fixed": fit(t, s, five),
		"eight":      fit(t, s, strings.Replace(five, "slots: 5", "slots: 8", 1)),
		"reaches":    fit(t, s, strings.Replace(five, "slots: 5", "slots: 40", 1)),
		"far":        fit(t, s, strings.Replace(five, "slots: 5", "slots: 20\nfirst address: 505", 1)),
		"five any":   fit(t, s, strings.Replace(five, "patch: fixed", "patch: any", 1)),
	}
	if !testing.Short() {
		for _, slots := range []int{12, 24, 60} {
			for _, patch := range []string{"fixed", "any"} {
				name := fmt.Sprintf("demo, %d %s", slots, patch)
				plans[name] = reduced(t, strings.NewReplacer("patch: any", "patch: "+patch, "slots: 24", fmt.Sprintf("slots: %d", slots)).Replace(small))
			}
		}
	}
	out := 0
	for name, p := range plans {
		sheet, _, _ := written(t, p)
		r := p.Show.Rig
		h := follow(t, sheet, r, p.Desk.Slots)
		if len(h.scenes) != len(p.Scenes) {
			t.Fatalf("%s: the sheet has %d scenes of %d", name, len(h.scenes), len(p.Scenes))
		}
		for i := range p.Scenes {
			scene := &p.Scenes[i]
			for d, l := range h.lit(t, r, scene.Number) {
				if diff := l - scene.shown[d]; diff > 1e-6 || diff < -1e-6 {
					t.Errorf("%s: scene %q gives %s %.3f of its light, the plan counts on %.3f", name, scene.Name, r.Units[r.Drives[d].Unit].Name.Name, l, scene.shown[d])
					break
				}
			}
		}
		for _, o := range p.Off {
			out++
			first, last := r.UnitDrives(r.Index(o.Unit))
			for i := range p.Scenes {
				for _, l := range p.Scenes[i].shown[first:last] {
					if l != 0 {
						t.Errorf("%s: %s is off and lit in scene %q", name, o.Unit, p.Scenes[i].Name)
					}
				}
			}
		}
	}
	if least := map[bool]int{true: 2, false: 5}[testing.Short()]; out < least {
		t.Errorf("only %d units were left out", out)
	}
	// With everything in reach, the light is what the looks ask for.
	whole := plans["reaches"]
	sheet, _, _ := written(t, whole)
	for i := range whole.Scenes {
		scene := &whole.Scenes[i]
		got := follow(t, sheet, s.Rig, 40).lit(t, s.Rig, scene.Number)
		look := s.Score.Looks.Index(strings.TrimSuffix(scene.Name, " over night"))
		for d, want := range s.Looks[look].Levels {
			if diff := got[d] - want; diff > .003 || diff < -.003 {
				t.Errorf("scene %q: %.3f of drive %d, the look wants %.3f", scene.Name, got[d], d, want)
			}
		}
	}
}

// A unit that is left out, and stays at an address where the sheet puts another,
// would light up: this is what switching it off is for.
func TestUnitLeftOutWouldBeDriven(t *testing.T) {
	p := fit(t, tinyShow(t), five)
	sheet, _, _ := written(t, p)
	h := follow(t, sheet, p.Show.Rig, 5)
	h.address["wash left"] = 1 // not switched off
	levels := h.lit(t, p.Show.Rig, 1)
	first, _ := p.Show.Rig.UnitDrives(p.Show.Rig.Index("wash left"))
	if levels[first] == 0 {
		t.Error("the case is no longer one: choose another desk")
	}
}

// Lights up that is too dark to see by is the first thing on the sheet, and it
// has a scene of its own on every desk.
func TestLightsUpComesFirst(t *testing.T) {
	dim := tinyShow(t, "emitters: {red: 100 %, green: 100 %}", "emitters: {red: 1 %}")
	p := fit(t, dim, strings.Replace(five, "to: 66", "to: 61", 1))
	sheet, _, _ := written(t, p)
	_, after, _ := strings.Cut(sheet, "\n\n")
	if !strings.HasPrefix(after, "CAUTION: lights up gives ") || !strings.Contains(after, "house light that does not hang on this desk") {
		t.Errorf("the sheet begins\n%s", sheet)
	}
	// The floor's own mean, from the room's transport.
	mean, least, where := p.Up()
	want := dim.Transport.Mean(room.FloorName, room.Photopic, p.hand().shown)
	if mean < .9*want || mean > 1.1*want || least != mean || where != "the floor" {
		t.Errorf("lights up gives %v lx, %v lx on %s; the floor has %v lx", mean, least, where, want)
	}
	bright, _, _ := written(t, fit(t, tinyShow(t), five))
	if strings.Contains(bright, "CAUTION") {
		t.Errorf("a bright house is warned of:\n%s", bright)
	}
}
