package truth

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// Where Debian's package openttd-openmsx puts its files.
const midiDir = "/usr/share/games/openttd/baseset/openmsx"

// Fonts are the sound fonts used for rendering.
var Fonts = []string{"FluidR3_GM.sf2", "TimGM6mb.sf2"}

// TaughtFonts are those that the beat's network is taught with, HeldFonts those kept for testing
// it: of other makers, from other recordings. All are free, in Debian's packages
// fluid-soundfont-gm, fluidr3mono-gm-soundfont, musescore-general-soundfont, opl3-soundfont;
// timgm6mb-soundfont, csound-soundfont.
var (
	TaughtFonts = []string{"FluidR3_GM.sf2", "FluidR3Mono_GM.sf3", "MuseScore_General.sf3", "OPL-3_FM_128M.sf2"}
	HeldFonts   = []string{"TimGM6mb.sf2", "sf_GMbank.sf2"}
)

// fontFile finds a font by its name.
func fontFile(name string) string {
	for _, dir := range []string{"sounds/sf2", "sounds/sf3", "samples"} {
		if path := filepath.Join("/usr/share", dir, name); exists(path) {
			return path
		}
	}
	return ""
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// Tuned are the five MIDI files on which soundtrack was tuned and trained;
// whatever else is there must stay unseen until it is tested on.
var Tuned = []string{"careless_perc_redfarn", "chemistry_lab", "midnight_snow_run", "no_work_song_redfarn", "run_for_your_life"}

// Rendering says how a MIDI file becomes sound.
type Rendering struct {
	Font   string // one of Fonts
	Reverb bool
}

// Renderings are both fonts, dry and with reverberation.
var Renderings = []Rendering{{Fonts[0], false}, {Fonts[0], true}, {Fonts[1], false}, {Fonts[1], true}}

// ErrMissing is wrapped by errors that name a Debian package to install; tests skip with
// them.
var ErrMissing = errors.New("is not installed")

// MIDIFile reads one of the game's MIDI files by its name without extension.
func MIDIFile(name string) ([]byte, error) {
	b, err := os.ReadFile(filepath.Join(midiDir, name+".mid"))
	if errors.Is(err, os.ErrNotExist) {
		return nil, fmt.Errorf("%s.mid %w (Debian package openttd-openmsx)", name, ErrMissing)
	}
	return b, err
}

// Untouched lists the game's MIDI files that are not among Tuned.
func Untouched() []string {
	files, _ := filepath.Glob(filepath.Join(midiDir, "*.mid"))
	var names []string
next:
	for _, f := range files {
		name := filepath.Base(f[:len(f)-len(".mid")])
		for _, t := range Tuned {
			if t == name {
				continue next
			}
		}
		names = append(names, name)
	}
	return names
}

// Render has fluidsynth play a MIDI file into a 44.1 kHz WAV file and returns
// its path. Files stay in the system's temporary directory under a name made from
// their content, so each is rendered once.
func (r Rendering) Render(midi []byte) (string, error) {
	program, err := exec.LookPath("fluidsynth")
	if err != nil {
		return "", fmt.Errorf("fluidsynth %w (Debian package fluidsynth)", ErrMissing)
	}
	font := fontFile(r.Font)
	if font == "" {
		return "", fmt.Errorf("%s %w (see Fonts, TaughtFonts and HeldFonts)", r.Font, ErrMissing)
	}
	sum := sha256.Sum256(midi)
	dir := filepath.Join(os.TempDir(), "lampblack-truth")
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	base := filepath.Join(dir, fmt.Sprintf("%s-%s-%t", hex.EncodeToString(sum[:8]), strings.TrimSuffix(r.Font, filepath.Ext(r.Font)), r.Reverb))
	if exists(base + ".wav") {
		return base + ".wav", nil
	}
	return base + ".wav", r.render(program, font, midi, base)
}

// render writes to a name of its own first, so that two tests that want the same file never
// see half of it. Chorus (-C) is always off.
func (r Rendering) render(program, font string, midi []byte, base string) error {
	temp := fmt.Sprintf("%s.%d", base, os.Getpid())
	if err := os.WriteFile(temp+".mid", midi, 0o600); err != nil {
		return err
	}
	defer os.Remove(temp + ".mid")
	reverb := "0"
	if r.Reverb {
		reverb = "1"
	}
	out, err := exec.Command(program, "-ni", "-q", "-r", "44100", "-R", reverb, "-C", "0", "-g", "0.6",
		"-o", "synth.dynamic-sample-loading=1",
		"-T", "wav", "-F", temp+".wav", font, temp+".mid").CombinedOutput()
	if err != nil {
		os.Remove(temp + ".wav")
		return fmt.Errorf("fluidsynth: %w: %s", err, out)
	}
	return os.Rename(temp+".wav", base+".wav")
}
