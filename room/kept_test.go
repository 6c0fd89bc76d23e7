package room_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"reflect"
	"testing"

	"lampblack/room"
)

// Numbers that were kept make the same transport, to the last bit of what anybody can ask of it.
func TestRestoreIsSolve(t *testing.T) {
	r, rg := theHall(t), bars(t, 4)
	solved, faults := r.Solve(context.Background(), rg)
	kept, err := solved.Keep()
	if err != nil {
		t.Fatal(err)
	}
	restored, again, err := r.Restore(context.Background(), rg, kept)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(faults, again) {
		t.Errorf("faults %v, solved %v", again, faults)
	}
	room.Forget(solved)
	if !reflect.DeepEqual(solved, restored) {
		t.Error("the restored transport is another")
	}
}

// Damaged numbers, and those of another room, are none.
func TestRestoreOfWhatIsNotKept(t *testing.T) {
	r, rg := theHall(t), bars(t, 4)
	solved, _ := r.Solve(context.Background(), rg)
	kept, err := solved.Keep()
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(20260314, 1))
	for range 50 {
		bad := append([]byte(nil), kept...)
		bad[rng.IntN(len(bad))] ^= 1 << rng.IntN(8)
		if _, _, err := r.Restore(context.Background(), rg, bad); !errors.Is(err, room.ErrNotKept) {
			t.Fatalf("a flipped bit gives %v", err)
		}
		if _, _, err := r.Restore(context.Background(), rg, kept[:rng.IntN(len(kept))]); !errors.Is(err, room.ErrNotKept) {
			t.Fatalf("a cut file gives %v", err)
		}
	}
	other := *r
	other.Seats = append(other.Seats[:len(other.Seats):len(other.Seats)], other.Seats[0])
	if _, _, err := other.Restore(context.Background(), rg, kept); !errors.Is(err, room.ErrNotKept) {
		t.Errorf("numbers of another room give %v", err)
	}
}
