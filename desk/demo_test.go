package desk

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"math"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"lampblack/rig"
	"lampblack/show"
)

// lantern is the demo show, without its soundtrack, solved once.
var lantern = sync.OnceValues(func() (*show.Show, error) { return solved(os.DirFS("../demo/show")) })

func solved(dir fs.FS) (*show.Show, error) {
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	s, faults := show.New(context.Background(), f, nil)
	return s, faults.Err()
}

// small is the desk that comes with the demo, without the spread of its
// latency.
var small = func() string {
	data, err := os.ReadFile("../demo/show/desk.yaml")
	if err != nil {
		panic(err)
	}
	return strings.Replace(string(data), "25 ms to 35 ms", "30 ms", 1)
}()

// skipShort leaves out what adds nothing for the race detector but time.
func skipShort(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("left out: fits the demo into several desks")
	}
}

// reduced fits the demo into a desk.
func reduced(t testing.TB, text string) *Plan {
	t.Helper()
	s, err := lantern()
	if err != nil {
		t.Fatal(err)
	}
	d, faults := Read("desk.yaml", []byte(text))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	p, err := Reduce(context.Background(), s, d)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The demo fits a desk of 24 slots, 48 scenes and 40 notes; what is lost is
// listed, and the sum is what is claimed.
func TestDemoFitsASmallDesk(t *testing.T) {
	p := reduced(t, small)
	if len(p.Scenes) > 48 || len(p.Slots) != 24 {
		t.Errorf("%d scenes and %d slots", len(p.Scenes), len(p.Slots))
	}
	total := 0.0
	for i, l := range p.Losses {
		total += l.Harm
		if i > 0 && l.Harm > p.Losses[i-1].Harm {
			t.Errorf("loss %d is worse than the one before", i)
		}
	}
	if math.Abs(total-p.Harm) > 1e-9 || p.Harm < p.Chosen-1 {
		t.Errorf("harm %v, its losses %v, its choice %v", p.Harm, total, p.Chosen)
	}
	numbers := map[int]bool{}
	for _, s := range p.Scenes {
		if numbers[s.Number] || s.Number < 1 || s.Number > 48 || s.Uses > 0 && s.Trigger == nil {
			t.Errorf("scene %+v is in a wrong place", s)
		}
		numbers[s.Number] = true
		if s.Trigger != nil && s.Trigger.Number != 35+s.Number {
			t.Errorf("scene %d is recalled by %v", s.Number, s.Trigger)
		}
	}
	hand := p.Scenes[len(p.Scenes)-1]
	if hand.Name != "lights up" {
		t.Errorf("the last scene is %q, want lights up at hand", hand.Name)
	}
	t.Logf("%d scenes, %d recalls, %d fader moves; harm %.1f, of that chosen %.1f; standing %.1f, bound %.1f", len(p.Scenes), len(p.Recalls), p.Moves, p.Harm, p.Chosen, p.Standing, p.AtLeast)
	for _, l := range p.Losses[:5] {
		t.Logf("lost: %.1f %v %s", l.Harm, l.Cues, l.Text)
	}
}

// A desk that can do everything loses nothing but flicker of rounding.
func TestLargeDeskLosesNothing(t *testing.T) {
	skipShort(t)
	p := reduced(t, strings.NewReplacer("slots: 24", "slots: 150", "{kind: none}", "{kind: each scene, longest: 30 s}",
		"scenes: 48", "scenes: 120", "to: 75", "to: 127").Replace(small))
	for _, l := range p.Losses {
		if l.Harm > 0 {
			t.Errorf("lost: %.2f %s %v", l.Harm, l.Text, l.Cues)
		}
	}
}

// Each step down costs: fewer scenes, fewer slots, no fades.
func TestSmallerDesksLoseMore(t *testing.T) {
	skipShort(t)
	big := reduced(t, strings.Replace(small, "slots: 24", "slots: 60", 1))
	few := reduced(t, strings.Replace(small, "to: 75", "to: 51", 1))
	narrow := reduced(t, strings.Replace(small, "slots: 24", "slots: 12", 1))
	base := reduced(t, small)
	if big.Harm > base.Harm+1e-9 || few.Harm <= base.Harm || narrow.Harm <= base.Harm {
		t.Errorf("harm: 60 slots %.1f, 24 slots %.1f, 12 slots %.1f, 16 notes %.1f", big.Harm, base.Harm, narrow.Harm, few.Harm)
	}
}

// A fixed patch of 60 slots holds the rig in shared addresses; no two blocks
// overlap, and units that share are of one type and mode.
func TestFixedPatch(t *testing.T) {
	p := reduced(t, strings.NewReplacer("patch: any", "patch: fixed", "slots: 24", "slots: 60").Replace(small))
	s, _ := lantern()
	taken := map[int]string{}
	for _, r := range p.Readdressed {
		u := &s.Rig.Units[s.Rig.Index(r.Unit)]
		kind := u.TypeName.Name + "/" + u.ModeName.Name
		for n := range u.Mode.Footprint {
			if r.To+n > 60 {
				t.Errorf("%s at %d runs past slot 60", r.Unit, r.To)
			}
			key := fmt.Sprintf("%s from %d", kind, r.To)
			if other, shared := taken[r.To+n]; shared && other != key {
				t.Errorf("%s and %s overlap at %d", key, other, r.To+n)
			}
			taken[r.To+n] = key
		}
	}
	if len(p.Readdressed) < 12 {
		t.Errorf("only %d units have an address", len(p.Readdressed))
	}
	whole := reduced(t, strings.NewReplacer("patch: any", "patch: fixed", "slots: 24", "slots: 120").Replace(small))
	if len(whole.Readdressed) > 0 || whole.Harm > p.Harm {
		t.Errorf("with all addresses in reach %d units move, and the harm is %v", len(whole.Readdressed), whole.Harm)
	}
}

// Between changes the desk shows what the show asks for, as well as it can:
// halfway between the end of one change and the next.
func TestStandingLooksOfTheDesk(t *testing.T) {
	p := reduced(t, small)
	played := p.Played()
	s := p.Show
	wanted, got := s.NewFrame(), played.NewFrame()
	looked := 0
	for i := range s.Cues {
		c := &s.Cues[i]
		next := s.Length
		if i+1 < len(s.Cues) {
			next = s.Cues[i+1].Start
		}
		if next-c.Complete < time.Second {
			continue
		}
		looked++
		at := (c.Complete + next) / 2
		s.At(wanted, at)
		played.At(got, at)
		mean, _ := p.eye.difference(p.eye.see(wanted.Levels), p.eye.see(got.Levels))
		if mean > 2 {
			t.Errorf("at %v the desk is off by %.1f", at, mean)
		}
	}
	if looked < 20 {
		t.Errorf("only %d looks stand", looked)
	}
}

// What the desk's slots say, decoded unit by unit, is what the scene wants, and
// no slot stands where a unit would flash or run by itself.
func TestValuesNeverEnterForbiddenRanges(t *testing.T) {
	skipShort(t)
	for _, slots := range []int{8, 24} {
		p := reduced(t, strings.Replace(small, "slots: 24", fmt.Sprintf("slots: %d", slots), 1))
		s := p.Show
		for _, scene := range p.Scenes {
			var universe [513]byte
			for _, slot := range p.Slots {
				for _, a := range slot.Addresses {
					universe[a] = scene.Values[slot.Number-1]
				}
			}
			for i := range s.Rig.Units {
				u := &s.Rig.Units[i]
				for j := range u.Mode.Slots {
					r := u.Mode.Slots[j].At(int(universe[u.Address+u.Mode.Slots[j].Coarse-1]))
					if r != nil && (r.Does == rig.Never || r.Does == rig.Flash || r.Does == rig.FlashRandom) {
						t.Errorf("%d slots: scene %q puts %s slot %d into %v", slots, scene.Name, u.Name, j+1, r.Does)
					}
				}
			}
		}
	}
}

func TestSheetReportAndPictures(t *testing.T) {
	p := reduced(t, strings.Replace(small, "to: 75", "to: 51", 1))
	var sheet, report, table bytes.Buffer
	if p.WriteSheet(&sheet) != nil || p.WriteReport(&report) != nil || p.WriteCSV(&table) != nil {
		t.Fatal("could not be written")
	}
	if n := strings.Count(sheet.String(), "\nscene "); n != len(p.Scenes) {
		t.Errorf("the sheet has %d scenes of %d", n, len(p.Scenes))
	}
	if n := strings.Count(table.String(), "\n"); n != len(p.Scenes)+1 {
		t.Errorf("the table has %d lines", n)
	}
	moves := 0
	for i := range p.Order {
		moves += len(p.Changes(i))
	}
	if moves != p.Moves {
		t.Errorf("the sheet moves %d faders, the plan counts %d", moves, p.Moves)
	}
	pictures := 0
	for i := range p.Losses {
		if !p.Losses[i].Pictured() {
			continue
		}
		var svg bytes.Buffer
		if err := p.WritePicture(&svg, &p.Losses[i]); err != nil || !strings.HasSuffix(svg.String(), "</svg>\n") {
			t.Errorf("picture: %v", err)
		}
		if pictures == 0 && os.Getenv("LAMPBLACK_PICTURES") != "" {
			os.WriteFile(os.Getenv("LAMPBLACK_PICTURES"), svg.Bytes(), 0o644)
		}
		pictures++
	}
	if pictures == 0 {
		t.Error("nothing to see")
	}
}

func BenchmarkReduce(b *testing.B) {
	s, err := lantern()
	if err != nil {
		b.Fatal(err)
	}
	d, _ := Read("desk.yaml", []byte(small))
	for b.Loop() {
		if _, err := Reduce(context.Background(), s, d); err != nil {
			b.Fatal(err)
		}
	}
}
