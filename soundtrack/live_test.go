package soundtrack

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack/truth"
)

// liveBeats are the beats that were counted as a sound came, each when it was said.
func liveBeats(t testing.TB, path string) (beats []time.Duration) {
	s, err := soundfile.OpenFile(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	f := s.Format()
	l := NewLive(f.Rate, f.Channels)
	b := make([]float32, 441*f.Channels)
	n := 0
	for {
		k, err := s.Read(b)
		l.Feed(b[:k*f.Channels])
		if h := l.Heard(); h.Beats > n {
			n = h.Beats
			beats = append(beats, h.Beat)
		}
		if err != nil {
			return beats
		}
	}
}

func TestLiveBeats(t *testing.T) {
	songs, _ := filepath.Glob("../../shared/data/pop909/*.mid")
	if len(songs) == 0 {
		t.Skip("left out: the songs are not here")
	}
	var live, file truth.Score
	n := 12
	for i := 0; i < n; i++ {
		song := songs[i*len(songs)/n]
		midi, err := os.ReadFile(song)
		if err != nil {
			t.Fatal(err)
		}
		path, err := truth.Rendering{Font: "TimGM6mb.sf2"}.Render(midi)
		if err != nil {
			t.Skip(err)
		}
		text, _ := os.ReadFile(strings.TrimSuffix(song, ".mid") + ".beats")
		var want []time.Duration
		for line := range strings.Lines(string(text)) {
			f := strings.Fields(line)
			if len(f) > 0 {
				if v, err := strconv.ParseFloat(f[0], 64); err == nil {
					want = append(want, time.Duration(v*float64(time.Second)))
				}
			}
		}
		after := func(x []time.Duration) (out []time.Duration) {
			for _, v := range x {
				if v > 10*time.Second {
					out = append(out, v)
				}
			}
			return out
		}
		a := truth.Match(after(want), after(liveBeats(t, path)), 70*time.Millisecond)
		b := truth.Match(after(want), after(times(analyseFile(t, path).Of(Beat))), 70*time.Millisecond)
		t.Logf("%s: live %.3f, file %.3f (%d beats)", filepath.Base(song), a.F(), b.F(), len(want))
		live, file = live.Plus(a), file.Plus(b)
	}
	t.Logf("live %.3f, file %.3f, ratio %.3f", live.F(), file.F(), live.F()/file.F())
}
