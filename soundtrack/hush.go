package soundtrack

import (
	"fmt"
	"time"
)

// Silence begins below enterHush and ends above leaveHush, in LU relative to
// the programme loudness; the gap keeps a noise floor near one threshold from
// chopping a silence up. Shorter ones are pauses of the music, not hushes.
const (
	enterHush    = -40.0
	leaveHush    = -32.0
	shortestHush = 500 * time.Millisecond
)

// hushes finds silence by the loudness of 100 ms windows. Both thresholds have a floor
// at -75 and -67 LUFS, near the noise of a quiet recording (common practice, no source), so
// that a quiet track has hushes too.
func hushes(power []float32, programme float64, shortest time.Duration) []Moment {
	level := sliding(power, 10)
	if programme <= nothing {
		programme = 0
	}
	enter, leave := float32(max(programme+enterHush, -75)), float32(max(programme+leaveHush, -67))
	var out []Moment
	from := -1
	for i := 0; i <= len(level); i++ {
		switch {
		case from < 0 && i < len(level) && level[i] < enter:
			from = i
		case from >= 0 && (i == len(level) || level[i] > leave):
			out = appendHush(out, level, from, i, programme, shortest)
			from = -1
		}
	}
	return out
}

// appendHush adds a silence that is long enough. Four seconds of it are as strong as any.
func appendHush(out []Moment, level []float32, from, to int, programme float64, shortest time.Duration) []Moment {
	a, b := time.Duration(from)*hop, time.Duration(to)*hop
	if b-a < shortest {
		return out
	}
	sum := 0.0
	for _, v := range level[from:to] {
		sum += float64(v)
	}
	mean := sum / float64(to-from)
	return append(out, Moment{
		Kind: Hush, Time: a, End: b,
		Strength: min(1, (b-a).Seconds()/4),
		Why:      fmt.Sprintf("%.1f s at %.0f LUFS, %.0f LU under the programme", (b - a).Seconds(), mean, programme-mean),
	})
}
