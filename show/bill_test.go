package show

import (
	"testing"
	"time"
)

func TestDelay(t *testing.T) {
	const ms = time.Millisecond
	for text, want := range map[string]Delay{
		"30 ms": {30 * ms, 30 * ms}, "20 ms to 40 ms": {20 * ms, 40 * ms}, "30 ms ± 10 ms": {20 * ms, 40 * ms}, "30 ms +- 10 ms": {20 * ms, 40 * ms},
	} {
		var d Delay
		if err := d.UnmarshalText([]byte(text)); err != nil || d != want {
			t.Errorf("%q reads %v, %v", text, d, err)
		}
		if d.Best() != 30*ms {
			t.Errorf("%q has %v in its middle", text, d.Best())
		}
	}
	for _, text := range []string{"40 ms to 20 ms", "30", "", "30 ms ± -10 ms", "a to b"} {
		if new(Delay).UnmarshalText([]byte(text)) == nil {
			t.Errorf("%q is read", text)
		}
	}
}

func TestDate(t *testing.T) {
	var d Date
	if err := d.UnmarshalText([]byte("2026-02-28")); err != nil || d != "2026-02-28" {
		t.Errorf("%v, %v", d, err)
	}
	for _, text := range []string{"2026-02-30", "14.3.2026", "today", ""} {
		if new(Date).UnmarshalText([]byte(text)) == nil {
			t.Errorf("%q is read as a day", text)
		}
	}
}
