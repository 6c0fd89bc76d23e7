package subject

import (
	"context"

	"lampblack/room"
	"lampblack/show"
)

// Supposed is a subject with eyes in its room where nobody said where any are: the same light, as they would see it. ok
// is false where somebody did, and for what cannot say.
func Supposed(ctx context.Context, s Subject) (w Subject, ok bool) {
	of, can := s.(interface {
		Watched(context.Context) (*room.Room, *room.Transport, bool)
	})
	if !can || len(s.Transport().Eyes) > 0 {
		return nil, false
	}
	r, t, ok := of.Watched(ctx)
	return watched{s, r, t}, ok
}

type watched struct {
	Subject
	room      *room.Room
	transport *room.Transport
}

func (w watched) Room() *room.Room           { return w.room }
func (w watched) Transport() *room.Transport { return w.transport }
func (w watched) Stays(int) []show.Stay      { return nil }

// Standings has the room as it is with all open that ever opens.
func (w watched) Standings() []show.Stay {
	return []show.Stay{{To: w.Length(), Ends: []*room.Transport{w.transport}}}
}
