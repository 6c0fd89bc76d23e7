package output_test

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// until waits for a state of an output, at most for so long from now, and tells how long
// that took; "" is that nothing is wrong, "not x" that x is not. The test waits longer, for a machine may be slow.
func (p *process) until(t *testing.T, spec, cause string, most time.Duration) {
	t.Helper()
	start := time.Now()
	for time.Since(start) < 4*most+5*time.Second {
		all := p.heard()
		slices.Reverse(all)
		i := slices.IndexFunc(all, func(h heard) bool { return h.Output == spec })
		not, gone := strings.CutPrefix(cause, "not ")
		if i >= 0 && (cause == "" && len(all[i].Faults) == 0 || cause != "" && !gone && slices.Contains(all[i].Faults, cause) || gone && !slices.Contains(all[i].Faults, not)) {
			took := all[i].At.Sub(start)
			t.Logf("%s: %q after %v: %s", spec, cause, took.Round(time.Millisecond), all[i].Text)
			if took > most {
				t.Errorf("%s: %q after %v, want at most %v", spec, cause, took, most)
			}
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Errorf("%s: never %q: %+v", spec, cause, p.heard())
}

// slack is what a busy machine may add to what is told on a real network; in simulated
// time the limits are held exactly (TestLinkLost, TestReceiverSilent).
const slack = 3 * time.Second

// On a real network: a cable that is pulled at this computer, a receiver that never was
// there, one in which nobody listens, and one whose cable is pulled.
func TestFaultsOnNetwork(t *testing.T) {
	t.Parallel()
	h := newHosts(t, "a", "b", "c")
	node := h.start("c", "node")
	const absent, deaf, asked = "e131 10.77.0.99", "e131 10.77.0.2", "artnet 10.77.0.3"
	a := h.start("a", "state", absent, deaf, asked)
	a.until(t, absent, "no way", 5*time.Second+slack)
	a.until(t, deaf, "refused", 5*time.Second+slack)
	b := h.start("b", "receive", "udp4", "1")
	a.until(t, deaf, "", 5*time.Second+slack)
	h.cable(1, "down")
	h.cable(2, "down")
	a.until(t, deaf, "silent", 5*time.Second+slack)
	a.until(t, asked, "silent", slack) // by now
	h.cable(1, "up")
	h.cable(2, "up")
	a.until(t, deaf, "", 5*time.Second+slack)
	a.until(t, asked, "", 5*time.Second+slack)
	node.kill()
	a.until(t, asked, "refused", 5*time.Second+slack)
	h.cable(0, "down")
	for _, spec := range []string{absent, deaf, asked} {
		a.until(t, spec, "no link", time.Second+slack)
	}
	b.kill()
}

// A second run on the same host and one on another, to a receiver of their own each and to
// the same: those that meet are told, also where all is unicast.
func TestSecondRunOnNetwork(t *testing.T) {
	t.Parallel()
	h := newHosts(t, "a", "b", "c")
	const to, other = "e131 10.77.0.3", "e131 10.77.0.2"
	a := h.start("a", "state", to)
	b := h.start("b", "state", to, other)
	a.until(t, to, "second run", 3*time.Second+slack)
	b.until(t, to, "second run", slack)
	b.kill()
	a.until(t, to, "not second run", 5*time.Second+slack)
	again := h.start("a", "state", to)
	a.until(t, to, "second run", 3*time.Second+slack)
	for _, e := range b.heard() {
		if e.Output == other && slices.Contains(e.Faults, "second run") {
			t.Errorf("of a receiver that nobody else sends to: %+v", e)
		}
	}
	again.kill()
}
