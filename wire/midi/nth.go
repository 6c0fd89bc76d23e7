package midi

// Notes is all notes on all channels of one port: 16 of 128 (MIDI 1.0, table II).
const Notes = 16 * 128

// Nth returns the channel and key of the n-th note of a port, from 0: after key
// 127 of a channel comes key 0 of the next. There are [Notes] of them.
func Nth(n int) (channel, key byte, ok bool) {
	if n < 0 || n >= Notes {
		return 0, 0, false
	}
	return byte(n / 128), byte(n % 128), true
}
