package soundtrack

// spectra is a stretch of the log spectrogram: levels by frame, then band, in
// 1/256 power octaves re a full-scale sine. The stretch slides: frames are
// appended at the end, used, and dropped from the front, so memory stays flat
// however long the sound is.
type spectra struct {
	levels []int16
	start  int // number of the first frame held
}

const (
	stretch  = 1024 // frames worked on at a time
	overhang = 128  // frames kept either side of them, for what looks around
)

// frames returns the number of frames held.
func (s *spectra) frames() int { return len(s.levels) / bandCount }

// at returns frame i, numbered from the start of the sound.
func (s *spectra) at(i int) []int16 {
	return s.levels[(i-s.start)*bandCount:][:bandCount]
}

// grow returns room for one more frame.
func (s *spectra) grow() []int16 {
	n := len(s.levels)
	if n+bandCount > cap(s.levels) {
		s.levels = append(make([]int16, 0, max(2*n, (stretch+2*overhang+1)*bandCount)), s.levels...)
	}
	s.levels = s.levels[:n+bandCount]
	return s.levels[n:]
}

// drop forgets all frames before number i.
func (s *spectra) drop(i int) {
	if i <= s.start {
		return
	}
	k := (i - s.start) * bandCount
	s.levels = s.levels[:copy(s.levels, s.levels[k:])]
	s.start = i
}
