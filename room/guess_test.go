package room_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"lampblack/rig"
	"lampblack/room"
)

// few are three units of built-in types, of which some say where they hang.
func few(t *testing.T, more ...string) *rig.Rig {
	t.Helper()
	text := "units:\n"
	for i := range 3 {
		add := ""
		if i < len(more) {
			add = more[i]
		}
		text += fmt.Sprintf("  - {unit: %d, type: colour par, address: %d%s}\n", i+1, 1+3*i, add)
	}
	rg, faults := rig.Read("rig.yaml", []byte(text), nil)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return rg
}

// What is written is kept, and what is not is guessed so that all of it fits: a room holds
// what is known to be in it, and units hang inside it.
func TestGuessesFit(t *testing.T) {
	for _, c := range []struct {
		room  string
		units []string
	}{
		{"", nil},
		{"", []string{", at: [11 m, -2 m, 6 m], aim: [0 m, 9 m, 1 m]"}},
		{"", []string{", at: [0 m, -12 m, 3 m]"}},
		{"", []string{", aim: [0 m, 4 m, 5 m]"}},
		{"size: [3 m, 4 m, 2 m]\n", nil},
		{"size: [12 m, 30 m, 8 m]\n", []string{", at: [5 m, -20 m, 7 m]"}},
		{"size: [12 m, 30 m, 8 m]\n", []string{", at: [5 m, 15 m, 7 m]"}},
		{"stage front: 12 m\n", nil},
		{"stage front: 1 m\n", nil},
		{"audience: [{at: [0 m, -9 m, 1 m]}, {at: [7 m, -1 m, 1 m]}]\n", nil},
		{"surfaces:\n  backdrop: {centre: [0 m, 8 m, 3 m], width: 14 m, height: 6 m, faces: [0 m, -1 m, 0 m]}\n", nil},
		{"boxes:\n  b: {centre: [0 m, 2 m, 0.5 m], size: [9 m, 1 m, 1 m]}\n", nil},
		{"paths:\n  way: {points: [[-6 m, 3 m, 0 m], [0 m, -8 m, 0 m]]}\n", nil},
	} {
		r := room.Unsaid()
		if c.room != "" {
			read, faults := room.Read("room.yaml", []byte(c.room))
			if err := faults.Err(); err != nil {
				t.Errorf("%s: %v", c.room, err)
				continue
			}
			r = read
		}
		rg := few(t, c.units...)
		r.Suppose(rg)
		_, faults := r.SolveAt(context.Background(), rg, room.Fineness{Patches: 100, Elements: 30})
		if err := faults.Err(); err != nil {
			t.Errorf("%s%v: %v; the room is %v with its stage at %v", c.room, c.units, err, r.Size, r.Front)
		}
		for i := range rg.Units {
			u := &rg.Units[i]
			at, aim := u.Says()
			if u.Guessed(rig.GuessedPlace) == at || u.Guessed(rig.GuessedAim) == aim {
				t.Errorf("%s%v: unit %s says %v and %v, and is guessed otherwise", c.room, c.units, u.Name, at, aim)
			}
			if u.At == u.Aim {
				t.Errorf("%s%v: unit %s aims at itself", c.room, c.units, u.Name)
			}
		}
		if (r.Sized == nil) != r.Guessed(room.GuessedSize) || (r.Edge == nil) != r.Guessed(room.GuessedFront) {
			t.Errorf("%s: it is not told what is guessed", c.room)
		}
	}
}

// Any three units, anywhere within reason, hang inside the room that is guessed for them.
func TestGuessedRoomHoldsItsUnits(t *testing.T) {
	draw := rand.New(rand.NewPCG(13, 3))
	for range 100 {
		var more []string
		for range draw.IntN(4) {
			p := func() string {
				return fmt.Sprintf("[%.2f m, %.2f m, %.2f m]", 40*draw.Float64()-20, 40*draw.Float64()-20, 9*draw.Float64())
			}
			more = append(more, ", at: "+p()+", aim: "+p())
		}
		r, rg := room.Unsaid(), few(t, more...)
		r.Suppose(rg)
		if _, faults := r.SolveAt(context.Background(), rg, room.Fineness{Patches: 60, Elements: 20}); faults.Err() != nil {
			t.Fatalf("%v: %v", more, faults)
		}
	}
}
