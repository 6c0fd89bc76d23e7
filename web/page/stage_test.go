package page

import (
	"context"
	"encoding/binary"
	"math"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/show"
)

// benchWith is the bench with more in its score, and marks in its room.
func benchWith(t *testing.T, more string) *Book {
	t.Helper()
	dir := fstest.MapFS{}
	for name, text := range bench {
		switch name {
		case "score.yaml":
			text += more
		case "room.yaml":
			text += "marks:\n  aside: [1.5 m, 2 m, 1.5 m]\n"
		}
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(dir)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s, faults := show.New(context.Background(), f, benchTrack())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return New(s, nil)
}

// Ultraviolet has the colour of what glows of the things that are on stage: green with the leaf
// there, red with the berry alone.
func TestRibbonOfWhatIsOnStage(t *testing.T) {
	const at = 19800 * time.Millisecond // the tip is up
	there := ribbonsAt(t, benchWith(t, ""), at)["uv glow"]
	alone := ribbonsAt(t, benchWith(t, "on stage:\n  leaf: cue 1\n"), at)["uv glow"]
	if there[1] < 250 || alone[0] < 250 || alone[1] > 150 {
		t.Errorf("with the leaf the ribbon is %v, with the berry alone %v", there, alone)
	}
	if there[3] != alone[3] {
		t.Errorf("the level is %d and %d: the lamp gives the same", there[3], alone[3])
	}
}

// What crosses is told behind the places: where each of its sides is.
func TestRoomTellsWhatMoves(t *testing.T) {
	b := benchWith(t, "crosses:\n  leaf:\n    - {at: 0:10, to: aside, takes: 4 s, pace: steady}\n")
	places := 32 * len(b.show.Transport.Places)
	if n := len(b.Room(5 * time.Second)); n != places {
		t.Errorf("before it sets out there are %d bytes, want %d", n, places)
	}
	data := b.Room(12 * time.Second)
	if len(data) != places+2*40 {
		t.Fatalf("on its way there are %d bytes, want %d and two sides", len(data), places)
	}
	for k := range 2 {
		moved := floats(data[places+40*k : places+40*(k+1)])
		home := b.shape.Panels[int(moved[0])]
		if home.Name != "leaf" {
			t.Errorf("%s has moved", home.Name)
		}
		// Half of the way from [-0.6, 2.5, 0.8] to [1.5, 2, 1.5].
		for i, by := range []float64{1.05, -.25, .35} {
			if got := moved[1+i] - home.Corner[i]; math.Abs(got-by) > 1e-5 {
				t.Errorf("side %d has moved by %v along axis %d, want %v", k, got, i, by)
			}
		}
	}
}

func floats(data []byte) []float64 {
	var out []float64
	for k := 0; k+4 <= len(data); k += 4 {
		out = append(out, float64(math.Float32frombits(binary.LittleEndian.Uint32(data[k:]))))
	}
	return out
}
