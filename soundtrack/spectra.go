package soundtrack

// spectra is a stretch of the log spectrogram and of what is worked out from
// it frame by frame. The stretch slides: frames are appended at the end, used,
// and dropped from the front, so memory stays flat however long the sound is.
type spectra struct {
	start  int       // number of the first frame held
	levels []int16   // by frame, then band: 1/256 power octaves re a full-scale sine
	fine   []int16   // by frame, finePerFrame each: level of 2.5 ms of sound from the frame's centre
	floors []int32   // by frame: level below which bands do not count
	rises  []int16   // by frame, then group: sum of the bands' rises
	total  []float32 // by frame: mean rise of a band, octaves
}

const (
	stretch  = 1024 // frames worked on at a time
	overhang = 128  // frames kept either side of them, for what looks around
)

// frames returns the number of frames held.
func (s *spectra) frames() int { return len(s.levels) / bandCount }

// at returns the levels of frame i, numbered from the start of the sound.
func (s *spectra) at(i int) []int16 {
	return s.levels[(i-s.start)*bandCount:][:bandCount]
}

func (s *spectra) floor(i int) int32 { return s.floors[i-s.start] }

func (s *spectra) risesAt(i int) []int16 {
	return s.rises[(i-s.start)*groupCount:][:groupCount]
}

// grow returns room for the levels of one more frame.
func (s *spectra) grow() []int16 {
	s.levels = extended(s.levels, bandCount)
	return s.levels[len(s.levels)-bandCount:]
}

func (s *spectra) growRises() []int16 {
	s.rises = extended(s.rises, groupCount)
	return s.rises[len(s.rises)-groupCount:]
}

// extended is x with n more values, whatever they are, in memory for a whole stretch.
func extended(x []int16, n int) []int16 {
	if len(x)+n > cap(x) {
		x = append(make([]int16, 0, max(2*len(x), (stretch+2*overhang+1)*n)), x...)
	}
	return x[:len(x)+n]
}

// drop forgets all frames before number i.
func (s *spectra) drop(i int) {
	if i <= s.start {
		return
	}
	n := i - s.start
	s.levels = dropped(s.levels, n*bandCount)
	s.fine = dropped(s.fine, n*finePerFrame)
	s.floors = dropped(s.floors, n)
	s.rises = dropped(s.rises, n*groupCount)
	s.total = dropped(s.total, n)
	s.start = i
}

// dropped moves what is left of x to its front and keeps the memory.
func dropped[T any](x []T, n int) []T {
	n = min(n, len(x))
	return x[:copy(x, x[n:])]
}
