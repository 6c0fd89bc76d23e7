package soundtrack

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"lampblack/soundtrack/truth"
)

// songDir holds the POP909 data set (Wang et al. 2020, MIT licence), where it is at hand.
var songDir = filepath.Join("..", "..", "shared", "data", "pop909")

// heldSongs renders a minute out of the middle of songs that nothing was taught with, by fonts
// and instruments that nothing was taught with either.
func heldSongs(t *testing.T, most int, drums bool, do func(s truth.Song, path, font string)) {
	t.Helper()
	n := 0
	for i, name := range truth.Songs(songDir) {
		if !truth.Held(name) || n == most {
			continue
		}
		s, err := truth.ReadSong(songDir, name)
		if err != nil {
			t.Fatal(err)
		}
		const length = time.Minute
		s = s.Cut((s.Beats[len(s.Beats)-1]-length)/2, length).Arranged(truth.Band{Seed: uint64(i), Held: true, Drums: drums})
		r := truth.Rendering{Font: truth.HeldFonts[i%len(truth.HeldFonts)], Reverb: i%4 < 2}
		path, err := r.Render(truth.MIDI(s.Notes))
		if errors.Is(err, truth.ErrMissing) {
			t.Skipf("outside check left out: %v", err)
		}
		if err != nil {
			t.Fatal(err)
		}
		do(s, path, r.Font)
		os.Remove(path)
		n++
	}
	if n == 0 {
		t.Skip("outside check left out: needs the songs of POP909 beside the repository, in shared/data/pop909")
	}
}

// Beats and first beats of pop songs, as people wrote them down.
func TestBeatsOfHeldSongs(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("arranges and hears a hundred songs: set LAMPBLACK_LONG=1")
	}
	const most = 1000
	for _, drums := range []bool{false, true} {
		var beats, firsts truth.Score
		var cml, aml, n float64
		heldSongs(t, most, drums, func(s truth.Song, path, font string) {
			track := analyseFile(t, path)
			b, c, a := scoreBeats(s.Beats, times(track.Of(Beat)))
			var opens []time.Duration
			for i, at := range s.Beats {
				if s.First[i] {
					opens = append(opens, at)
				}
			}
			f, _, _ := scoreBeats(opens, times(track.Of(Bar)))
			t.Logf("%s by %s: F %.3f CMLt %.3f AMLt %.3f, first beats %.3f; %.0f a minute", s.Name, font, b.F(), c, a, f.F(), s.BPM())
			beats, firsts, cml, aml, n = beats.Plus(b), firsts.Plus(f), cml+c, aml+a, n+1
		})
		t.Logf("drums %t, %.0f songs: pooled F %.3f, mean CMLt %.3f AMLt %.3f, first beats F %.3f", drums, n, beats.F(), cml/n, aml/n, firsts.F())
		if beats.F() < 0.74 || firsts.F() < 0.66 {
			t.Errorf("drums %t: F of beats %.3f, of first beats %.3f", drums, beats.F(), firsts.F())
		}
	}
}
