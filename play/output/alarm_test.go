package output

import (
	"testing"
	"testing/synctest"
	"time"
)

// From an alarm on nothing but the safe frame leaves, at once and whatever is sent, however
// often the alarm is told; when it is over what is sent leaves again. One that stands before
// there is a safe frame is sent with the first.
func TestOwnerInAnAlarm(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &told{}
		o := Own([]Sink{s}, 40)
		show := func(v byte) { o.Send([]Frame{{Universe: 1, Slots: []byte{v}}}, time.Now()) }
		want := func(sent string) {
			t.Helper()
			if string(s.slots) != sent {
				t.Errorf("it sent %v, want %v", s.slots, []byte(sent))
			}
			s.slots = nil
		}
		o.Alarm(true)
		show(1)
		want("\x01") // nothing better is known
		o.Prepare([]Frame{{Universe: 1, Slots: []byte{200}}})
		want("\xc8")
		show(2)
		o.Alarm(true)
		want("\xc8")
		o.Alarm(false)
		show(3)
		want("\x03")
		o.Alarm(true)
		want("\xc8") // without waiting for a frame
		if _, err := o.Close(0); err != nil {
			t.Error(err)
		}
		want("\xc8\xc8\xc8")
		o.Alarm(true)
		want("")
	})
}
