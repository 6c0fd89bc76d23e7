package soundtrack

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"lampblack/soundtrack/truth"
)

// The same music out of lossy and lossless files gives the same hits to light.
// The encoders are ffmpeg's.
func TestCodecsDoNotMatter(t *testing.T) {
	ffmpeg := program(t, "ffmpeg", "ffmpeg")
	const top, within = 50, 10 * time.Millisecond
	names := []string{"midnight_snow_run", "run_for_your_life"}
	if os.Getenv("LAMPBLACK_LONG") == "" {
		names = names[:1]
	}
	for _, name := range names {
		path, _ := rendered(t, name, truth.Renderings[1])
		want := analyseFile(t, path)
		for _, c := range []struct {
			ending string
			args   []string
		}{{".flac", nil}, {".mp3", []string{"-b:a", "192k"}}, {".ogg", []string{"-q:a", "5"}}, {".opus", []string{"-b:a", "128k"}}} {
			file := filepath.Join(t.TempDir(), "sound"+c.ending)
			args := append([]string{"-hide_banner", "-loglevel", "error", "-i", path}, append(c.args, file)...)
			if out, err := exec.Command(ffmpeg, args...).CombinedOutput(); err != nil {
				t.Fatalf("ffmpeg %v: %v: %s", args, err, out)
			}
			got := analyseFile(t, file)
			heard, ranked := 0, 0
			for _, h := range want.Ranked(top) {
				m, ok := got.Nearest(Hit, h.Time, within)
				if ok {
					heard++
				}
				if ok && m.Rank <= 2*top {
					ranked++
				}
			}
			t.Logf("%s%s: of the first %d hits %d are within 10 ms, %d of these among the first %d", name, c.ending, top, heard, ranked, 2*top)
			if heard < top-3 || ranked < top-6 {
				t.Errorf("%s%s: only %d and %d", name, c.ending, heard, ranked)
			}
		}
	}
}
