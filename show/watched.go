package show

import (
	"context"

	"lampblack/room"
	"lampblack/room/measure"
)

// Watched is the room of the show with eyes supposed in it, and the light there, for a room in which nobody said where any
// are; ok is false where somebody did. It is worked out once for all shows in the room.
func (s *Show) Watched(ctx context.Context) (r *room.Room, t *room.Transport, ok bool) {
	if s.settings == nil || s.Room == nil {
		return nil, nil, false
	}
	w := &s.settings.watched
	w.once.Do(func() {
		if in, supposed := s.Room.Watched(); supposed {
			t, _ := in.In(s.settings.open).Solve(context.WithoutCancel(ctx), s.Rig) // what is wrong with the rig in this room was told
			w.room, w.transport = in, measure.Correct(t, s.Rig, s.Measured)
		}
	})
	return w.room, w.transport, w.room != nil
}
