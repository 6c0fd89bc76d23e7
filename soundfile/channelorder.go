package soundfile

// vorbisOrder gives for 3 to 8 channels the place in Vorbis's order (Vorbis I,
// section 4.3.9; Opus mapping family 1 is the same) of each channel in WAV's.
var vorbisOrder = [9][]int{
	3: {0, 2, 1},                // L C R
	5: {0, 2, 1, 3, 4},          // L C R, back L R
	6: {0, 2, 1, 5, 3, 4},       // L C R, back L R, low
	7: {0, 2, 1, 6, 5, 3, 4},    // L C R, side L R, back C, low
	8: {0, 2, 1, 7, 5, 6, 3, 4}, // L C R, side L R, back L R, low
}

// toWAVOrder reorders interleaved samples in place.
func toWAVOrder(s []float32, channels int) {
	if channels >= len(vorbisOrder) || vorbisOrder[channels] == nil {
		return
	}
	var frame [8]float32
	for i := 0; i+channels <= len(s); i += channels {
		copy(frame[:], s[i:i+channels])
		for c, from := range vorbisOrder[channels] {
			s[i+c] = frame[from]
		}
	}
}
