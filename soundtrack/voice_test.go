package soundtrack

import (
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// Something to say, from nowhere in particular.
const sayings = `The boat goes out when the lamp is low. Nobody on the shore can see how far the water
has come. Listen, there is a bell under the sea, and it rings for everyone who forgot to come home. Then
the wind turned. First the small waves, then the tall ones, one after another, until the deck was white.
Hold on to the rail, and do not look down! Where is the light? It was here a moment ago.`

func spoken(track *Track) float64 {
	sum := time.Duration(0)
	for _, m := range track.Of(Voice) {
		sum += m.End - m.Time
	}
	return sum.Seconds() / track.Duration.Seconds()
}

// The speech synthesiser espeak-ng was not listened to while the weights were
// set (another one was).
func TestVoiceOfASpeechSynthesiser(t *testing.T) {
	espeak := program(t, "espeak-ng", "espeak-ng")
	for _, voice := range []string{"en-gb", "de", "cs", "en-us+f3"} {
		path := filepath.Join(t.TempDir(), "said.wav")
		if out, err := exec.Command(espeak, "-v", voice, "-w", path, sayings).CombinedOutput(); err != nil {
			t.Fatalf("espeak-ng: %v: %s", err, out)
		}
		share := spoken(analyseFile(t, path))
		t.Logf("voice %s: %.2f of the time taken for speech", voice, share)
		if share < 0.8 {
			t.Errorf("voice %s: only %.2f of the time is taken for speech", voice, share)
		}
	}
}

// Real music that nobody tuned on is not speech.
func TestNoVoiceInMusic(t *testing.T) {
	files, _ := filepath.Glob("/usr/share/games/wesnoth/*/data/core/music/*.ogg")
	if len(files) == 0 {
		t.Skip("outside check left out: needs music (Debian package wesnoth-1.16-music)")
	}
	sum, n := 0.0, 0
	for i, f := range files {
		if i%12 != 0 {
			continue
		}
		share := spoken(analyseFile(t, f))
		t.Logf("%s: %.2f of the time taken for speech", filepath.Base(f), share)
		sum, n = sum+share, n+1
	}
	if sum/float64(n) > 0.1 {
		t.Errorf("%.2f of music is taken for speech", sum/float64(n))
	}
}
