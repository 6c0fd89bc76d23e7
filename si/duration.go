package si

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// longest is the longest time that a show may speak of: two days, for what stands
// and runs overnight.
const longest = 48 * time.Hour

// ParseTime reads a time on the show's line or a length of time:
// "1:02.350", "1:00:00", "250 ms", "6 s", "2 min", "3 h". It is rounded to
// the microsecond.
func ParseTime(s string) (time.Duration, error) {
	text := strings.TrimSpace(s)
	negative := strings.HasPrefix(text, "-")
	text = strings.TrimPrefix(text, "-")
	var d time.Duration
	var err error
	if strings.Contains(text, ":") {
		d, err = parseClock(text)
	} else {
		d, err = parseSpan(text)
	}
	if err != nil {
		return 0, fmt.Errorf("time %q: %w", s, err)
	}
	if negative {
		d = -d
	}
	return d, nil
}

// parseClock reads minutes:seconds or hours:minutes:seconds. Only the last part may
// have decimals, and only the first may reach 60: 90:00 is an hour and a half.
func parseClock(text string) (time.Duration, error) {
	parts := strings.Split(text, ":")
	if len(parts) > 3 {
		return 0, fmt.Errorf("has more than hours, minutes and seconds")
	}
	total := 0.0
	for i, p := range parts {
		v, err := strconv.ParseFloat(p, 64)
		plain := strings.Trim(p, "0123456789.") == ""
		if err != nil || !plain || (i > 0 && v >= 60) || (i < len(parts)-1 && strings.Contains(p, ".")) {
			return 0, fmt.Errorf("%q should be minutes:seconds, as 1:02.350", text)
		}
		total = total*60 + v
	}
	return seconds(total)
}

// parseSpan reads a number with a unit of time.
func parseSpan(text string) (time.Duration, error) {
	n, unit, err := SplitNumber(text)
	if err != nil {
		return 0, err
	}
	factor, ok := map[string]float64{"ms": .001, "s": 1, "min": 60, "h": 3600, "us": 1e-6, "µs": 1e-6}[unit]
	if !ok {
		if unit == "" && n >= 20 { // as many seconds are seldom meant
			return 0, fmt.Errorf("has no unit: write %s ms or %s s, or minutes:seconds", text, text)
		}
		if unit == "" {
			return 0, fmt.Errorf("has no unit: write %s s, or minutes:seconds", text)
		}
		return 0, fmt.Errorf("%q is no unit of time: use ms, s, min, h, or minutes:seconds", unit)
	}
	return seconds(n * factor)
}

// seconds rounds to the microsecond, finer than any cue or sample needs: it keeps
// what is printed and read again the same.
func seconds(v float64) (time.Duration, error) {
	if math.IsNaN(v) || math.Abs(v) > longest.Seconds() {
		return 0, fmt.Errorf("is longer than %v", longest)
	}
	return time.Duration(math.Round(v*1e6)) * time.Microsecond, nil
}

// FormatTime prints t as minutes:seconds with milliseconds, "1:02.350", or
// with hours when there are any. Finer parts are rounded.
func FormatTime(t time.Duration) string {
	sign := ""
	if t < 0 {
		sign, t = "-", -t
	}
	ms := t.Round(time.Millisecond).Milliseconds()
	h, m, s, f := ms/3600000, ms/60000%60, ms/1000%60, ms%1000
	if h > 0 {
		return fmt.Sprintf("%s%d:%02d:%02d.%03d", sign, h, m, s, f)
	}
	return fmt.Sprintf("%s%d:%02d.%03d", sign, m, s, f)
}

// ParseTimeOfDay reads what clocks show, as 20:30 or 20:30:15, as the time since midnight.
func ParseTimeOfDay(text string) (time.Duration, error) {
	for _, form := range []string{"15:04", "15:04:05"} {
		if t, err := time.Parse(form, text); err == nil {
			return t.Sub(t.Truncate(24 * time.Hour)), nil
		}
	}
	return 0, fmt.Errorf("%q is no time of day", text)
}
