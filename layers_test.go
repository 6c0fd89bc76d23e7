package lampblack

import (
	"go/build"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

//go:generate go run -C tools ./survey draw ../docs/packages.svg

// layer is the place of every package: imports go to strictly lower layers.
var layer = map[string]int{
	"si": 0, "folder": 0, "play/clock": 0, "play/supervised": 0, "play/retry": 0, "play/network": 0, "play/leaktest": 0, "play/lag": 0,
	"wire/sacn": 0, "wire/beacon": 0, "wire/artnet": 0, "wire/dmx": 0, "wire/rdm": 0, "wire/midi": 0, "wire/timecode": 0, "wire/osc": 0, "wire/archive": 0, "wire/lm63": 0, "wire/outside": 0,
	"soundfile/internal/flac": 0, "soundfile/internal/ogg": 0, "soundfile/fourier": 0, "soundfile/internal/mp3": 0, "soundtrack/net": 0, "soundtrack/truth": 0,
	"plate/drawing": 0, "web/admit": 0, "web/admit/admittest": 0,

	"wire/mvr": 1, "wire/gdtf": 1, "source": 1, "evening": 1, "ledger": 1, "play/device": 1, "folder/foldertest": 1, "light": 1, "soundfile/internal/vorbis": 1,

	"soundfile": 2, "rig": 2, "rig/address": 3, "rig/cabling": 3, "rig/suspect": 3, "rig/steps": 4, "calendar": 2, "bundle": 2, "doors": 2,

	"amend": 2, "soundtrack": 3, "score": 5, "room": 3, "demo": 3, "rig/manual": 3, "rig/bench": 3, "rig/described": 4,

	"play/line": 2, "play/trigger": 3, "play/fader": 3, "play/alarm": 4, "room/measure": 4, "play/output": 4, "play/tempo": 4, "plate": 4, "living": 4, "check/flash": 0, "check/seen": 4, "play/governor": 5, "soundtrack/retake": 4, "soundtrack/train": 4,

	"check/finding": 2, "show": 6, "play/chase": 6, "play/keeper": 6, "play/journal": 2, "play/output/sinktest": 6, "play/clock/clocktest": 1, "play/trigger/triggertest": 4,

	"check/subject": 7, "check/meet": 7, "check/checktest": 7, "desk": 7, "show/compare": 7, "play/course": 7, "play/lamps": 6, "play/lamps/lampstest": 1, "export": 7, "score/draft": 7,

	"check/hang": 8, "check/lines": 8, "check/supply": 8, "check/cues": 8, "check/slots": 8, "check/looks": 8, "check/sight": 8, "check/dose": 8, "check/ways": 8, "check/dark": 8, "score/retime": 8, "play/hand": 8, "play/beacon": 8, "showreport": 8, "rehearse": 8, "editing": 11,

	"check": 9, "check/papers": 9, "play": 9, "positions": 9,

	"check/mend": 10, "web/page": 10, "begin": 10, "sheet/typeset": 1,

	"sheet": 11,

	"web": 12,

	"cmd/lampblack": 13,
}

// third lists who may import which module that is not ours. A module that is
// not listed for a package fails the test.
var third = map[string][]string{
	"go.yaml.in/yaml/v4":            {"source"},
	"github.com/spf13/cobra":        {"cmd/lampblack"},
	"github.com/pion/opus":          {"soundfile"},
	"github.com/jfreymuth/pulse":    {"play"},
	"github.com/ebitengine/oto/v3":  {"play"},
	"go.bug.st/serial":              {"play/output", "play/trigger"},
	"golang.org/x/net":              {"play/output", "play/trigger", "play/beacon"},
	"golang.org/x/sys":              {"cmd/lampblack", "folder", "folder/foldertest", "check/checktest", "play/output", "play/keeper", "play/network", "play/trigger", "doors", "play/device"},
	"golang.org/x/term":             {"cmd/lampblack"},
	"github.com/klauspost/compress": {"web"},
	"rsc.io/qr":                     {"cmd/lampblack", "web"},
	"golang.org/x/image":            {"plate/drawing"},
	"codeberg.org/go-pdf/fpdf":      {"plate/drawing"},
	"gonum.org/v1/gonum":            {"light", "room", "room/measure", "show", "desk", "score/draft", "soundtrack", "play"},
}

const module = "lampblack/"

// Every package has a layer, imports only lower ones, and takes only the
// modules that are listed for it. Tests may import what they like.
func TestLayers(t *testing.T) {
	for _, dir := range packages(t) {
		p, err := build.ImportDir(dir, 0)
		if err != nil {
			continue // files for other systems, or tests alone
		}
		mine, listed := layer[dir]
		if !listed {
			t.Errorf("%s has no layer", dir)
			continue
		}
		for _, path := range p.Imports {
			if own, ok := strings.CutPrefix(path, module); ok {
				if theirs, listed := layer[own]; !listed || theirs >= mine {
					t.Errorf("%s (layer %d) imports %s (layer %d): imports go to strictly lower layers", dir, mine, own, theirs)
				}
				continue
			}
			checkThird(t, dir, path)
		}
	}
}

func checkThird(t *testing.T, dir, path string) {
	first, _, _ := strings.Cut(path, "/")
	if !strings.Contains(first, ".") {
		return // the standard library
	}
	for name, users := range third {
		if path == name || strings.HasPrefix(path, name+"/") {
			if !slices.Contains(users, dir) {
				t.Errorf("%s imports %s, which is not listed for it", dir, path)
			}
			return
		}
	}
	t.Errorf("%s imports %s, which is not listed at all", dir, path)
}

// opensByName lists who may open files by name: package folder, which guards,
// ways out to devices and to captures, and what is for tests, training and
// making code.
var opensByName = []string{"cmd/lampblack", "folder", "folder/foldertest", "check/checktest", "play/output", "play/device", "wire/outside", "soundtrack/truth", "soundtrack/train", "web/ui"}

var opening = regexp.MustCompile(`\bos\.(Open|OpenFile|OpenRoot|Create|ReadFile|WriteFile|Rename|DirFS)\(`)

// Every other file is read and written by way of package folder: a pipe, a
// device or a huge file in a show's folder must hold nothing up.
func TestOpening(t *testing.T) {
	for _, dir := range packages(t) {
		if slices.Contains(opensByName, dir) {
			continue
		}
		names, _ := filepath.Glob(filepath.Join(dir, "*.go"))
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			onlyLooks := filepath.Base(name) == "watch.go" // at times and sizes
			if use := opening.Find(text); use != nil && !strings.HasSuffix(name, "_test.go") && !onlyLooks {
				t.Errorf("%s: %s...): use package folder", name, use)
			}
		}
	}
}

// Every listed package is there, so that the list does not rot.
func TestLayersExist(t *testing.T) {
	all := packages(t)
	for name := range layer {
		if !slices.Contains(all, name) {
			t.Errorf("package %s is listed and not there", name)
		}
	}
}

func packages(t *testing.T) []string {
	var out []string
	err := filepath.WalkDir(".", func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if name := d.Name(); path != "." && (strings.HasPrefix(name, ".") || name == "testdata" || name == "node_modules" || name == "tools") {
				return filepath.SkipDir
			}
			return nil
		}
		dir := filepath.Dir(path)
		goFile := strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go")
		if goFile && dir != "." && !slices.Contains(out, dir) {
			out = append(out, dir)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// What checks a show opens no socket, port or sound device: nothing below check
// reaches them.
func TestChecksReachNoDevice(t *testing.T) {
	seen := map[string]bool{}
	var visit func(dir string)
	visit = func(dir string) {
		if seen[dir] {
			return
		}
		seen[dir] = true
		p, err := build.ImportDir(dir, 0)
		if err != nil {
			return
		}
		for _, path := range p.Imports {
			if path == "net" || strings.HasPrefix(path, "go.bug.st/") || strings.HasPrefix(path, "golang.org/x/net") || strings.Contains(path, "oto") || strings.Contains(path, "pulse") {
				t.Errorf("%s, which check needs, imports %s", dir, path)
			}
			if own, ok := strings.CutPrefix(path, module); ok {
				visit(own)
			}
		}
	}
	visit("check")
	if len(seen) < 8 {
		t.Fatalf("only %d packages were looked at", len(seen))
	}
}
