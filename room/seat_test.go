package room_test

import (
	"testing"

	"lampblack/room"
)

// The middle seat is found from above, whatever the order of the file.
func TestMiddleSeat(t *testing.T) {
	for _, c := range []struct {
		at   []room.Point
		want int
	}{
		{nil, -1},
		{[]room.Point{{3, -2, 1}}, 0},
		{[]room.Point{{-3, -2, 1}, {3, -2, 1}}, 0},                          // as near: the first
		{[]room.Point{{-3, -2, 1}, {3, -2, 1}, {.5, -4, 1}, {0, -8, 1}}, 2}, // the mean is 0.1, -4
		{[]room.Point{{0, -4, 1}, {-3, -2, 1}, {3, -2, 1}, {0, -8, 1}}, 0},
		{[]room.Point{{0, -1, 9}, {0, -2, 0}, {0, -3, 0}}, 1}, // height does not count
	} {
		r := room.Room{}
		for _, at := range c.at {
			r.Seats = append(r.Seats, room.Eye{At: at})
		}
		if got := r.MiddleSeat(); got != c.want {
			t.Errorf("%v: seat %d, want %d", c.at, got, c.want)
		}
	}
}
