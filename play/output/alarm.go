package output

import "time"

// Alarm lets an alarm stand, or ends it. While it stands the safe frame is all that leaves: at
// once, and then in place of whatever Send brings, so that it holds also when what computes the
// show has failed, or does not know of the alarm yet. Without a safe frame there is nothing to
// send in its place, and the frames go out as they come: call Prepare first.
func (o *Owner) Alarm(stands bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	news := stands && !o.alarm
	if o.alarm = stands; news {
		o.cry()
	}
}

// cry sends the safe frame now if an alarm stands. Callers hold mu.
func (o *Owner) cry() {
	if o.alarm && o.safe != nil && !o.closed {
		o.send(o.safe, time.Now())
	}
}
