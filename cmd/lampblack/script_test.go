package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"lampblack/room"
)

// receives is what this binary does in the role of a receiver, where there is one.
var receives = func() {}

func TestMain(m *testing.M) {
	if os.Getenv("LAMPBLACK_TEST_COARSE") != "" {
		room.Usual = room.Fineness{Patches: 400, Elements: 100} // a tenth of the work
	}
	if os.Getenv("LAMPBLACK_TEST_PATIENT") != "" {
		tries = 1 << 20 // for a test that ends a run again and again
	}
	if os.Getenv("LAMPBLACK_TEST_ROLE") == "receiver" {
		receives()
		return
	}
	if os.Getenv("LAMPBLACK_TEST_COMMAND") != "" {
		os.Exit(mainCode()) // this binary as the command, for tests that need its process
	}
	testscript.Main(withOwnState{m}, map[string]func(){"lampblack": func() { os.Exit(mainCode()) }})
}

// withOwnState runs tests without the keys and lists of the user who runs them.
type withOwnState struct{ *testing.M }

func (m withOwnState) Run() int {
	dir, err := os.MkdirTemp("", "lampblack-state")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	os.Setenv("LAMPBLACK_STATE", dir)
	return m.M.Run()
}

// params are those of every script. `status N CMD ...` runs a command that
// must end with the exit status N, as the command line promises.
func params(dir string) testscript.Params {
	return testscript.Params{
		Dir: dir,
		Condition: func(cond string) (bool, error) {
			if cond != "devices" {
				return false, errors.New("unknown condition")
			}
			return os.Geteuid() == 0 && runtime.GOOS == "linux", nil
		},
		Setup: func(e *testscript.Env) error {
			e.Setenv("LAMPBLACK_CACHE", filepath.Join(e.WorkDir, ".cache"))
			e.Setenv("LAMPBLACK_STATE", filepath.Join(e.WorkDir, ".state"))
			// No sound device: a test must not play on the machine's speakers.
			e.Setenv("PULSE_SERVER", "unix:"+filepath.Join(e.WorkDir, "no-sound"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status":   status,
			"crlf":     crlf,
			"has-each": hasEach,
			"badname":  badName,
			"lampnode": lampNode,
		},
	}
}

func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N command ...")
	}
	want, _ := strconv.Atoi(args[0])
	err := ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// crlf ends the lines of a file in CR LF and puts a byte order mark first.
func crlf(ts *testscript.TestScript, _ bool, args []string) {
	text := strings.ReplaceAll(ts.ReadFile(args[0]), "\n", "\r\n")
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte("\uFEFF"+text), 0o644))
}

// hasEach checks that a file holds every line of another.
func hasEach(ts *testscript.TestScript, _ bool, args []string) {
	text := ts.ReadFile(args[0])
	for line := range strings.Lines(ts.ReadFile(args[1])) {
		if line = strings.TrimSpace(line); line != "" && !strings.Contains(text, line) {
			ts.Fatalf("%s does not hold %q:\n%s", args[0], line, text)
		}
	}
}

// badName puts a fixture file whose name holds an escape and a line end into a
// folder.
func badName(ts *testscript.TestScript, _ bool, args []string) {
	ts.Check(os.WriteFile(filepath.Join(ts.MkAbs(args[0]), "a\x1b[31m\nb.yaml"), []byte("lamp: [\n"), 0o644))
}

// Scripts run in rooms of few patches: what light there is, is asked elsewhere.
func TestScripts(t *testing.T) {
	p := params("testdata")
	setup := p.Setup
	p.Setup = func(e *testscript.Env) error {
		e.Setenv("LAMPBLACK_TEST_COARSE", "1")
		return setup(e)
	}
	testscript.Run(t, p)
}

var session = regexp.MustCompile(`(?m)^    \$ (lampblack .*)$`)

// The session in the README runs as it stands there.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	lines := session.FindAllSubmatch(text, -1)
	if len(lines) < 4 {
		t.Fatalf("the README shows %d commands", len(lines))
	}
	script := ""
	for _, l := range lines {
		script += "exec " + strings.ReplaceAll(string(l[1]), `"`, "'") + "\n"
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "readme.txt"), []byte(script), 0o644); err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, params(dir))
}
