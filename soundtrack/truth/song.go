package truth

import (
	"bufio"
	"bytes"
	"fmt"
	"hash/fnv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Song is music whose beats somebody wrote down.
type Song struct {
	Name  string
	Notes []Note // channel 0 the tune, 1 what answers it, 2 what accompanies
	Beats []time.Duration
	First []bool // of each beat: it opens a bar
}

// Songs lists, in order, the songs of a folder of the POP909 data set (Wang et al. 2020, MIT
// licence): NAME.mid beside NAME.beats.
func Songs(dir string) []string {
	files, _ := filepath.Glob(filepath.Join(dir, "*.beats"))
	var names []string
	for _, f := range files {
		names = append(names, strings.TrimSuffix(filepath.Base(f), ".beats"))
	}
	return names
}

// Held says whether a song is kept for testing: about a sixth are, by nothing but their name.
func Held(name string) bool {
	h := fnv.New32a()
	h.Write([]byte(name))
	return h.Sum32()%6 == 0
}

// ReadSong reads one song.
func ReadSong(dir, name string) (Song, error) {
	s := Song{Name: name}
	file, err := os.ReadFile(filepath.Join(dir, name+".mid"))
	if err != nil {
		return s, err
	}
	if s.Notes, err = ReadPlayed(file); err != nil {
		return s, err
	}
	text, err := os.ReadFile(filepath.Join(dir, name+".beats"))
	if err != nil {
		return s, err
	}
	s.Beats, s.First, err = readBeatList(text)
	return s, err
}

// readBeatList reads lines of a time in seconds and two marks: whether the beat opens a bar of
// two (or three), and of four (or six). Bars are those of four, or of three.
func readBeatList(text []byte) (beats []time.Duration, first []bool, err error) {
	var short, long []bool
	lines := bufio.NewScanner(bytes.NewReader(text))
	for lines.Scan() {
		var t, a, b float64
		if _, err := fmt.Sscan(lines.Text(), &t, &a, &b); err != nil {
			return nil, nil, fmt.Errorf("beats: %q: %w", lines.Text(), err)
		}
		beats = append(beats, time.Duration(t*float64(time.Second)))
		short, long = append(short, a > 0), append(long, b > 0)
	}
	marks := func(x []bool) (n int) {
		for _, v := range x {
			if v {
				n++
			}
		}
		return n
	}
	if len(beats) > 0 && 5*marks(short) < 2*len(beats) { // fewer than two in five: bars of three
		return beats, short, nil
	}
	return beats, long, nil
}

// Cut returns what begins within a stretch of the song, from 0 on.
func (s Song) Cut(from, length time.Duration) Song {
	out := Song{Name: s.Name}
	in := func(t time.Duration) bool { return t >= from && t < from+length }
	for _, n := range s.Notes {
		if in(n.Time) {
			n.Time -= from
			n.Length = min(n.Length, length-n.Time)
			out.Notes = append(out.Notes, n)
		}
	}
	for i, t := range s.Beats {
		if in(t) {
			out.Beats, out.First = append(out.Beats, t-from), append(out.First, s.First[i])
		}
	}
	return out
}

// BPM is the tempo of the middle interval.
func (s Song) BPM() float64 {
	var d []time.Duration
	for i := 1; i < len(s.Beats); i++ {
		d = append(d, s.Beats[i]-s.Beats[i-1])
	}
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return 60 / d[len(d)/2].Seconds()
}

// Faster returns the song at another speed.
func (s Song) Faster(by float64) Song {
	scale := func(t time.Duration) time.Duration { return time.Duration(float64(t) / by) }
	s.Notes, s.Beats = slices.Clone(s.Notes), slices.Clone(s.Beats)
	for i := range s.Notes {
		s.Notes[i].Time, s.Notes[i].Length = scale(s.Notes[i].Time), scale(s.Notes[i].Length)
	}
	for i := range s.Beats {
		s.Beats[i] = scale(s.Beats[i])
	}
	return s
}
