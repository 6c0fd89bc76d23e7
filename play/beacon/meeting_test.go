package beacon

import (
	"context"
	"net/netip"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/output"
)

// Who would take lamps from a run hears of it within two of its beacons; of one that sends
// elsewhere, or of none, it hears nothing, and waits no longer than it was told to.
func TestMeeting(t *testing.T) {
	node, other := netip.MustParseAddr("10.0.0.7"), netip.MustParseAddr("10.0.0.8")
	lamps := output.Sending{ArtNet: true, To: node, Universes: []uint16{1, 2}}
	for name, c := range map[string]struct {
		theirs output.Sending
		meets  bool
	}{
		"the same node":       {output.Sending{ArtNet: true, To: node, By: []string{"eth9"}, Universes: []uint16{2}}, true},
		"all nodes":           {output.Sending{ArtNet: true, Universes: []uint16{1}}, true},
		"another node":        {output.Sending{ArtNet: true, To: other, By: []string{"eth9"}, Universes: []uint16{2}}, false},
		"another line of it":  {output.Sending{ArtNet: true, To: node, By: []string{"eth9"}, Universes: []uint16{3}}, false},
		"another protocol":    {output.Sending{By: []string{"eth9"}, Universes: []uint16{1}}, false},
		"a run that is quiet": {output.Sending{ArtNet: true, To: node}, false},
	} {
		synctest.Test(t, func(t *testing.T) {
			h := &hall{}
			b := open("theirs", []output.Told{newSink(c.theirs)}, h.on("b"), nil)
			defer b.Close()
			time.Sleep(300 * time.Millisecond)
			begun := time.Now()
			f, meets, err := meeting(context.Background(), h.on("a"), &lamps, 2200*time.Millisecond)
			if err != nil || meets != c.meets || meets && !strings.Contains(f.Text, `"theirs" on the computer`) {
				t.Errorf("%s: %v, %q, %v", name, meets, f.Text, err)
			}
			if took := time.Since(begun); meets && took > 2*time.Second || took > 2200*time.Millisecond {
				t.Errorf("%s: took %v", name, took)
			}
		})
	}
}
