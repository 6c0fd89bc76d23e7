// Package soundtrack listens to a sound file and finds the moments in it on
// which light can hang: [AnalyseFile], or [Listen], which remembers, returns a [Track];
// [Track.Hits], [Track.Ranked] and [Track.Nearest] ask it.
//
// One pass over the samples (front end) yields a log-frequency spectrogram at
// 100 frames a second and K-weighted loudness; what is kept of it, a heard, is
// a few kilobytes a second. A second step, cheap enough to run again whenever
// an option changes, finds the moments:
//
//	hit    an attack: a bell, a drum, a plucked string, a slammed door
//	beat   a count of the steady pulse; bar: the first count of each bar
//	turn   the start of a new section; sections that sound alike share a label
//	swell  a rise or fall of loudness that lasts seconds
//	hush   silence, told by momentary loudness and not by sample peaks
//	voice  a span that sounds like speech
//
//	samples ─┬─ K-weighting ───────────────▶ power of 10 ms ─┬─▶ loudness, hush, swell, voice
//	         └─ window, Fourier, bands ─┬──▶ rises ─ network ┼─▶ beats, bars
//	                                    ├──▶ colour ─────────┴─▶ turns
//	                                    └──▶ peaks ─ network ──▶ hits
//	            (pass over the sound)       (heard)              (find)
//
// Beside the moments a Track has curves: loudness, the power of three ranges and the
// spectral centre (power.go), which light can follow.
//
// Times are offsets from the first sample. Every moment has a strength from 0
// to 1 and a reason in words. What cannot be told from sound is not claimed:
// a hit carries the interval in which it began, and where there is no steady
// beat none is written.
//
// Same samples and options give the same Track: no clock and no random number
// enters.
package soundtrack
