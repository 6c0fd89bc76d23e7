package play

import (
	"context"
	"time"

	"lampblack/play/course"
	"lampblack/show"
)

// Leader is the run of another machine, which this one follows.
type Leader interface {
	// Told is how its zones stand, as it said last; there is false when it says nothing any more.
	Told(now time.Time) (zones []course.Told, there bool)
	// Ended tells whether it has said that its run is over.
	Ended() bool
}

// Follow sends the light of another machine's run, until that is gone, and returns how the
// zones stood last: a run goes on from there. It is over when that run has ended as it should,
// ctx is done, or a person quits. It sends no light before the first word. What a hand changes
// here is seen here. The wire stays open.
func Follow(ctx context.Context, s *show.Show, o Options, leader Leader) (last []course.Told, over bool) {
	o.Open, o.OpenZone, o.Hours = nil, nil, nil // nothing is opened, nothing goes on by itself
	r := newRun(s, o)
	r.place.Follow(nil)
	period := time.Duration(float64(time.Second) / r.o.Rate)
	timer := time.NewTicker(period)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return last, true
		case c := <-r.o.Commands: // for all else the other machine is asked
			if c.Do == Quit {
				return last, true
			}
		case c := <-r.o.Hand:
			r.take(c)
		case now := <-timer.C:
			zones, there := leader.Told(now)
			switch {
			case leader.Ended():
				return last, true
			case !there && last != nil:
				return last, false
			case !there:
				r.status(now)
				continue
			}
			first := last == nil
			last = zones
			r.place.Follow(zones)
			if first {
				r.prepare()
			}
			r.follow(now)
		}
	}
}

// follow sends a frame of the light where the other machine is.
func (r *run) follow(now time.Time) {
	due := now.Add(r.o.Ahead)
	r.lit = due
	r.place.Light(r.frame, due)
	r.over(due)
	r.wire.Send(r.frames, due)
	r.stand(due)
	r.count++
	r.status(now)
}
