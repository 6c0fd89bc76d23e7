package si

import (
	"testing"
	"time"
)

func TestStretch(t *testing.T) {
	for text, want := range map[string]time.Duration{
		"1 h 30 min": 90 * time.Minute, "90 min": 90 * time.Minute, "1:30:00": 90 * time.Minute, "2 h 5 min 10 s": 2*time.Hour + 5*time.Minute + 10*time.Second, "45 s": 45 * time.Second,
		"1 h 30": -1, "soon": -1, "": -1, "-5 min": -1, "1 h min": -1,
	} {
		var s Stretch
		err := s.UnmarshalText([]byte(text))
		if (err != nil) != (want < 0) || err == nil && time.Duration(s) != want {
			t.Errorf("%q reads %v, %v", text, time.Duration(s), err)
		}
	}
}
