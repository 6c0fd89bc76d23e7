package soundtrack

import (
	"math/rand/v2"
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

// A level that comes and goes as speech does (syllables of 80 to 250 ms, uneven by
// 8 dB, gaps between them, a breath every few seconds; Saunders 1996, Scheirer and
// Slaney 1997) amid one that is even, and one that is struck twice a second.
func TestVoicesByTheirLevel(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 4))
	h := &heard{Rate: 48000}
	add := func(seconds, lufs float64) {
		h.Power = append(h.Power, track([2]float64{seconds, lufs})...)
	}
	struck := func(n int) {
		for range n {
			add(.05, -14)
			add(.1, -20)
			add(.35, -24)
		}
	}
	add(15, -20)
	from := len(h.Power)
	for k := 0; len(h.Power) < from+2000; k++ {
		add(.08+.17*rng.Float64(), -18-8*rng.Float64())
		add(.03+.09*rng.Float64(), -45)
		if k%12 == 11 {
			add(.4, -55)
		}
	}
	to := len(h.Power)
	struck(30)
	h.Frames = int64(len(h.Power)) * 480
	got := voices(h, nil)
	if len(got) != 1 {
		t.Fatalf("%d voices, want one: %v", len(got), got)
	}
	a, b := time.Duration(from)*hop, time.Duration(to)*hop
	if (got[0].Time-a).Abs() > 2*time.Second || (got[0].End-b).Abs() > 2*time.Second {
		t.Errorf("it lasts from %v to %v, want %v to %v", got[0].Time, got[0].End, a, b)
	}
	// Its ends move to where a section turns, if one does within 2 s.
	turns := []Moment{{Kind: Turn, Time: a + 300*time.Millisecond}, {Kind: Turn, Time: b + 3*time.Second}, {Kind: Turn, Time: (a + b) / 2}}
	if moved := voices(h, turns); len(moved) != 1 || moved[0].Time != turns[0].Time || moved[0].End != got[0].End {
		t.Errorf("beside turns it is %v, without them %v", moved, got)
	}
}

// Pauses for breath amid speech are no hushes; longer ones, and others, are.
func TestPausesForBreath(t *testing.T) {
	at := func(kind Kind, from, to float64) Moment {
		return Moment{Kind: kind, Time: time.Duration(from * 1e9), End: time.Duration(to * 1e9)}
	}
	speech := []Moment{at(Voice, 10, 30)}
	for name, c := range map[string]struct {
		hush Moment
		kept bool
	}{
		"amid speech":          {at(Hush, 20, 20.9), false},
		"long amid speech":     {at(Hush, 20, 21.1), true},
		"before speech":        {at(Hush, 5, 5.9), true},
		"right before it":      {at(Hush, 9.3, 10.1), false},
		"right behind it":      {at(Hush, 29.9, 30.7), false},
		"well behind it":       {at(Hush, 31.2, 32), true},
		"well before it, long": {at(Hush, 2, 9), true},
	} {
		if got := withoutPauses([]Moment{c.hush}, speech); (len(got) == 1) != c.kept {
			t.Errorf("%s: kept %v", name, len(got) == 1)
		}
	}
}
