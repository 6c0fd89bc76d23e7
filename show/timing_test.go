package show

import (
	"testing"
	"time"

	"lampblack/si"
)

const ms = time.Millisecond

// 343 m/s: 10 m take 29 ms and 20 m 58 ms (common practice in tables of delays).
func TestTravel(t *testing.T) {
	for _, row := range []struct {
		distance si.Length
		want     time.Duration
	}{{10, 29 * ms}, {20, 58 * ms}, {0, 0}} {
		if got := Travel(row.distance).Round(ms); got != row.want {
			t.Errorf("%v take %v, want %v", row.distance, got, row.want)
		}
	}
}

func TestBudget(t *testing.T) {
	timing := Timing{Speaker: 5, Back: 12, Sound: Delay{10 * ms, 20 * ms}, Light: Delay{20 * ms, 30 * ms}}
	// Sound is at 5 m after 24.57 to 34.57 ms, light after 20 to 30 ms.
	lead := timing.Budget(5, 0).Lead()
	if lead.Low.Round(ms) != -5*ms || lead.High.Round(ms) != 15*ms {
		t.Errorf("light leads by %v to %v, want -5 to 15 ms", lead.Low, lead.High)
	}
	if timing.Budget(5, 0).Within() {
		t.Error("a lead from -5 ms passes")
	}
	// Its middle is 4.57 ms; sent 15 ms early it is 20 ms.
	if got := timing.Offset(); got != -15*ms {
		t.Errorf("offset %v, want -15 ms", got)
	}
	if !timing.Budget(timing.Speaker, timing.Offset()).Within() {
		t.Error("an interval of 20 ms does not fit into 40 ms with the best offset")
	}
	timing.Sound = Delay{0, 50 * ms}
	if timing.Budget(timing.Speaker, timing.Offset()).Within() {
		t.Error("an interval of 60 ms fits into 40 ms")
	}
}

// From an instant of the track on, all that is known of its sound and light is
// that much later.
func TestBudgetFrom(t *testing.T) {
	b := Budget{Sound: Delay{10 * ms, 20 * ms}, Light: Delay{1 * ms, 2 * ms}}.from(time.Second)
	if want := (Budget{Sound: Delay{1010 * ms, 1020 * ms}, Light: Delay{1001 * ms, 1002 * ms}}); b != want {
		t.Errorf("%v, want %v", b, want)
	}
}
