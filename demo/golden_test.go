package demo

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"os"
	"os/exec"
	"regexp"
	"testing"
)

// Every machine must write the same bytes: the pinned hashes are compared on all
// that run this test, and TestNoFusedArithmetic looks at the code for others.
func TestSoundtrackBytes(t *testing.T) {
	for _, d := range Demos() {
		if d.Name == Fish.Name && testing.Short() {
			continue // seven minutes
		}
		for _, r := range d.sounds {
			h := sha256.New()
			if err := Synthesise(h, r.plan(), nil); err != nil {
				t.Fatal(err)
			}
			if got := hex.EncodeToString(h.Sum(nil)); got != r.hash {
				t.Errorf("%s has hash %s, want %s", r.file, got, r.hash)
			}
		}
	}
}

// The compilers for arm64 and for newer amd64 may fuse x*y + z, which rounds
// once instead of twice and so changes bytes. An explicit conversion of the
// product forbids it (Go specification, "Floating-point operators"); this test
// reads the machine code for both and finds any place that was forgotten.
func TestNoFusedArithmetic(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("left out: compiles for two other processors; set LAMPBLACK_LONG=1")
	}
	fused := regexp.MustCompile(`demo/(\w+\.go:\d+)\)\s+(V?FN?M(?:ADD|SUB)\w+)`)
	for _, env := range []string{"GOARCH=arm64", "GOAMD64=v3"} {
		cmd := exec.Command("go", "build", "-gcflags=lampblack/demo=-S", ".")
		cmd.Env = append(os.Environ(), "CGO_ENABLED=0", env)
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v\n%.2000s", env, err, out)
		}
		for _, m := range fused.FindAllSubmatch(out, -1) {
			t.Errorf("%s: %s fuses: %s", env, m[1], m[2])
		}
	}
}

// The workers of the mixer share nothing but what is joined after each block;
// the click track is enough for the race detector to see that.
func TestWorkersDoNotMeet(t *testing.T) {
	var a, b bytes.Buffer
	if Synthesise(&a, clicks(), nil) != nil || Synthesise(&b, clicks(), nil) != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same plan gave other bytes")
	}
}
