package main

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"go.yaml.in/yaml/v4"
)

// TestRandomShows draws whole folders, valid, nearly valid and hostile, and
// sends each through the commands as a person would. Whatever is in a folder,
// a command ends in time with a status that the help names, says why, and
// leaves every file as it was or whole.
//
// Nine of ten rooms are cut into few patches, which is most of the work; what
// light they get is asked elsewhere.
//
// The number of a folder is its seed: -run 'TestRandomShows/^17$' is that one
// again, and with -artifacts it is kept. LAMPBLACK_LONG=1 draws 2,000; several
// processes may share them by the last figure, as -run 'TestRandomShows/[02468]$'.
func TestRandomShows(t *testing.T) {
	numbers := []int{1, 2, 3, 4, 9, 10, 11, 29, 35, 41, 47, 53} // all commands, some 13 s of processor time
	long := os.Getenv("LAMPBLACK_LONG") != ""
	if testing.Short() {
		t.Skip("left out: a dozen folders through all commands")
	}
	if long {
		numbers = nil
		for i := range 2000 {
			numbers = append(numbers, i)
		}
	}
	base, err := os.MkdirTemp("", "lampblack-random-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(base) })
	if err := os.Chmod(base, 0o755); err != nil {
		t.Fatal(err)
	}
	total := &tally{statuses: map[string]map[int]int{}, failures: map[string]int{}}
	t.Cleanup(func() { t.Log(total.String()) })
	for _, n := range numbers {
		t.Run(strconv.Itoa(n), func(t *testing.T) {
			x := &trial{t: t, n: n, long: long, base: filepath.Join(base, strconv.Itoa(n)), total: total}
			x.show, x.out = filepath.Join(x.base, "show"), filepath.Join(x.base, "out")
			x.through()
			_ = filepath.WalkDir(x.base, func(path string, d fs.DirEntry, err error) error {
				if d != nil && d.IsDir() {
					_ = os.Chmod(path, 0o755)
				}
				return nil
			})
			_ = os.RemoveAll(x.base)
			if done := total.done(); long && done%50 == 0 {
				fmt.Fprintf(os.Stderr, "%s %d folders so far\n%s", time.Now().Format(time.TimeOnly), done, total)
			}
		})
	}
}

// tally counts over all folders.
type tally struct {
	mu       sync.Mutex
	folders  int
	statuses map[string]map[int]int // of each command
	failures map[string]int         // of each kind
	commands int
	slowest  time.Duration
	slow     string
	biggest  int64 // KiB
	big      string
}

func (a *tally) done() int {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.folders++
	return a.folders
}

func (a *tally) count(command, whole string, o outcome) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.statuses[command] == nil {
		a.statuses[command] = map[int]int{}
	}
	a.statuses[command][o.status]++
	a.commands++
	if o.took > a.slowest {
		a.slowest, a.slow = o.took, whole
	}
	if o.peak > a.biggest {
		a.biggest, a.big = o.peak, whole
	}
}

func (a *tally) String() string {
	a.mu.Lock()
	defer a.mu.Unlock()
	var b strings.Builder
	fmt.Fprintf(&b, "%d folders, %d commands\n", a.folders, a.commands)
	for _, c := range sorted(a.statuses) {
		fmt.Fprintf(&b, "  %-10s", c)
		for _, s := range sorted(a.statuses[c]) {
			fmt.Fprintf(&b, " %d: %d", s, a.statuses[c][s])
		}
		b.WriteString("\n")
	}
	fmt.Fprintf(&b, "  slowest %v of processor time: %s\n  biggest %d MiB: %s\n", a.slowest.Round(time.Millisecond), a.slow, a.biggest>>10, a.big)
	for _, k := range sorted(a.failures) {
		fmt.Fprintf(&b, "  FAILED %s: %d\n", k, a.failures[k])
	}
	return b.String()
}

func sorted[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }

// trial is one folder on its way.
type trial struct {
	t               *testing.T
	n               int
	long            bool
	base, show, out string
	total           *tally
	s               *randomShow
	class           string
	deeds           []string // faults and attacks
	told            []string // files in which a fault must be found
	nobody          bool     // run without the rights of the superuser
	valid           bool     // its first check found no fault of the files
	odd             bool     // the folder itself holds words such as NaN
}

func (x *trial) failf(kind, format string, a ...any) {
	x.t.Helper()
	x.total.mu.Lock()
	x.total.failures[kind]++
	x.total.mu.Unlock()
	text := fmt.Sprintf(format, a...)
	if len(text) > 3000 {
		text = text[:1500] + "\n...\n" + text[len(text)-1500:]
	}
	x.t.Errorf("FAILED %s: folder %d (%s: %s)\n%s", kind, x.n, x.class, strings.Join(x.deeds, "; "), text)
}

// draw makes the folder anew from its number.
func (x *trial) draw(base string) {
	x.t.Helper()
	r := rand.New(rand.NewPCG(uint64(x.n), 2000))
	x.s = newRandomShow(r, func(wave []byte) []string { return x.listen(base, wave) })
	x.deeds, x.told = nil, nil
	x.class = []string{"valid", "valid", "valid", "nearly valid", "nearly valid", "hostile"}[x.n%6]
	if x.class == "nearly valid" {
		for range 1 + r.IntN(2)*r.IntN(3) {
			what, told := x.s.spoil()
			x.deeds = append(x.deeds, what)
			x.told = append(x.told, told)
		}
		if len(x.deeds) > 1 { // one may undo another
			x.told = nil
		}
	}
	dir := filepath.Join(base, "show")
	must := func(err error) {
		if err != nil {
			x.t.Fatal(err)
		}
	}
	must(os.MkdirAll(filepath.Join(base, "outside"), 0o755))
	must(os.WriteFile(filepath.Join(base, "outside", "secret.yaml"), []byte("title: a secret\n"), 0o644))
	must(os.WriteFile(filepath.Join(base, "take.wav"), x.s.take.wave(), 0o644))
	must(os.WriteFile(filepath.Join(base, "desk.yaml"), []byte(x.s.desk.print(r)), 0o644))
	for _, file := range sorted(x.s.texts) {
		must(os.MkdirAll(filepath.Dir(filepath.Join(dir, file)), 0o755))
		must(os.WriteFile(filepath.Join(dir, file), []byte(x.s.texts[file].print(r)), 0o644))
	}
	for _, file := range sorted(x.s.bytes) {
		must(os.MkdirAll(filepath.Dir(filepath.Join(dir, file)), 0o755))
		must(os.WriteFile(filepath.Join(dir, file), x.s.bytes[file], 0o644))
	}
	if x.class == "hostile" {
		for n := 1 + r.IntN(2); n > 0; {
			what, err := pick(r, attacks...)(x.s, dir)
			if err != nil && !errors.Is(err, fs.ErrExist) && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, syscall.ENOTDIR) && !errors.Is(err, syscall.ELOOP) {
				x.t.Fatal(what, err)
			}
			if what != "" {
				x.deeds = append(x.deeds, what)
				n--
			}
		}
		x.nobody = one(r, 3) && os.Geteuid() == 0
	}
	x.odd = strings.Contains(strings.Join(x.deeds, ";"), "NaN") || strings.Contains(strings.Join(x.deeds, ";"), "the desk") || strings.Contains(strings.Join(x.deeds, ";"), "inf") || x.class == "hostile"
}

// listen asks the program for the moments of a soundtrack.
func (x *trial) listen(base string, wave []byte) (heard []string) {
	dir := filepath.Join(base, "cache")
	file := filepath.Join(dir, "track.wav")
	if err := errors.Join(os.MkdirAll(dir, 0o755), os.WriteFile(file, wave, 0o644)); err != nil {
		x.t.Fatal(err)
	}
	c := exec.Command(os.Args[0], "listen", file, "--json")
	c.Env = append(os.Environ(), "LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_CACHE="+dir)
	out, err := c.Output()
	if err != nil {
		x.t.Fatal(err)
	}
	var track struct {
		Moments []struct {
			Kind string
			Time float64
		}
	}
	if err := json.Unmarshal(out, &track); err != nil {
		x.t.Fatal(err)
	}
	for _, a := range track.Moments {
		if strings.Contains("hit turn swell hush", a.Kind) {
			heard = append(heard, fmt.Sprintf("%s 0:%06.3f", a.Kind, a.Time))
		}
	}
	return heard
}

// through sends the folder through the commands.
func (x *trial) through() {
	x.draw(x.base)
	r := rand.New(rand.NewPCG(uint64(x.n), 1))
	some := func(in int) bool { return x.long && one(r, in) }
	defer x.keep()
	if x.nobody {
		_ = filepath.WalkDir(x.base, func(path string, _ fs.DirEntry, _ error) error { return os.Lchown(path, 65534, 65534) })
	}
	before, first := x.check()
	valid := first.status < 2 && len(before) == 0
	x.valid = valid && x.class == "valid"
	if x.class == "valid" && !valid {
		x.failf("refused", "a folder that should be valid:\n%s%s", first.out, first.err)
	}
	for _, file := range x.told {
		if file != "" && !strings.Contains(first.out+first.err, file) {
			x.failf("fault not found", "no fault is found in %s:\n%s%s", file, first.out, first.err)
		}
	}
	if !x.long { // the commands in turn, over the few folders
		x.some(r)
		return
	}
	if some(8) {
		x.run(true, "check", x.show)
	}
	if some(12) {
		x.twice("draft", x.show, "--look")
	}
	x.draft(some(8))
	if some(8) {
		x.run(false, "spotting", x.show, "--accept", "hit 0:01")
	}
	if some(8) {
		x.twice("retime", x.show, filepath.Join(x.base, "take.wav"), "--look", "--json")
	}
	x.run(false, "retime", x.show, filepath.Join(x.base, "take.wav"))
	x.desk()
	x.picture(r)
	if some(12) {
		x.measure(r)
	}
	if some(8) {
		x.export(r)
	}
	mended := some(6)
	if mended {
		x.mend()
	}
	// A paper is written from the folder as it is now: if that can be read, so can the folder.
	if o := x.paper(r); valid && (o.status != 0 || mended) {
		if after, last := x.check(); last.status == 2 || len(after) > 0 {
			x.failf("spoiled", "the folder was valid before the commands:\n%s%s", last.out, last.err)
		}
	}
}

// some runs a few of the commands, others for each folder.
func (x *trial) some(r *rand.Rand) {
	switch x.n % 5 {
	case 0:
		x.draft(false)
	case 1:
		x.run(false, "retime", x.show, filepath.Join(x.base, "take.wav"))
		x.run(true, "check", x.show)
	case 2:
		x.desk()
	case 3:
		x.paper(r)
	case 4:
		x.picture(r)
	}
}

func (x *trial) draft(judge bool) {
	stops := map[string]int{}
	count := func() map[string]int {
		o := x.run(true, "check", x.show, "--json")
		n := map[string]int{}
		for _, f := range o.findings() {
			if f.Severity == "stop" {
				n[f.ID]++
			}
		}
		return n
	}
	if judge {
		stops = count()
	}
	once := x.run(false, "draft", x.show)
	first := x.snapshot(x.show)["score.yaml"] // which may be a pipe by now
	if judge && once.status == 0 {
		for id, n := range count() {
			if n > stops[id] {
				x.failf("nonsense", "the draft brings more of %s that stop a run: %d after %d", id, n, stops[id])
			}
		}
	}
	again := x.run(false, "draft", x.show)
	second := x.snapshot(x.show)["score.yaml"]
	if once.status != again.status {
		x.failf("draft again", "status %d, then %d:\n%s%s", once.status, again.status, again.out, again.err)
	}
	if first != second {
		x.failf("draft again", "the second draft differs:\n%s", difference([]byte(first), []byte(second)))
	}
}

func (x *trial) desk() {
	x.run(true, "desk", x.show, filepath.Join(x.base, "desk.yaml"), "-o", filepath.Join(x.out, "desk"))
}

func (x *trial) picture(r *rand.Rand) {
	kinds := pick(r, "seen", "glow", "lux", "uv-a", "gamut", "spectra", "seen,lux", "glow,spectra")
	at := x.s.at
	if one(r, 20) {
		at = pick(r, "-1 s", "99:00", "NaN", "", "1e300 s")
	}
	args := []string{"picture", x.show, "--at", at, "--of", kinds, "-o", filepath.Join(x.out, "pictures")}
	if len(x.s.seats) > 0 && one(r, 4) {
		args = append(args, "--from", pick(r, x.s.seats...))
	}
	if one(r, 10) {
		args = append(args, "--height", pick(r, "0 m", "1.5 m", "100 m", "-1 m"))
	}
	if o := x.run(true, args...); o.status == 0 {
		for _, file := range files(filepath.Join(x.out, "pictures")) {
			b, _ := os.ReadFile(file)
			b = pixels.ReplaceAll(b, nil)
			if strings.HasSuffix(file, ".svg") && nonsense.Match(b) && !x.odd {
				x.failf("nonsense", "%s holds %q", file, nonsense.Find(b))
			}
		}
	}
}

func (x *trial) paper(r *rand.Rand) outcome {
	return x.run(true, "sheet", pick(r, "sign", "announcement", "risk-assessment", "uv-log"), x.show)
}

func (x *trial) export(r *rand.Rand) {
	kind := pick(r, "csv", "frames", "gdtf-scene", "ltc", "midi", "mtc")
	a, b := filepath.Join(x.out, "a."+kind), filepath.Join(x.out, "b."+kind)
	x.run(true, "export", kind, x.show, "-o", a)
	x.run(true, "export", kind, x.show, "-o", b)
	one, err := os.ReadFile(a)
	two, err2 := os.ReadFile(b)
	if (err == nil) != (err2 == nil) || !bytes.Equal(one, two) {
		x.failf("not the same twice", "export %s: %d bytes and %d bytes", kind, len(one), len(two))
	}
}

func (x *trial) mend() {
	o := x.run(false, "check", x.show, "--mend")
	a := x.snapshot(x.show)
	if o.status != 0 {
		return
	}
	x.run(false, "check", x.show, "--mend")
	if d := changes(a, x.snapshot(x.show)); d != "" {
		x.failf("nonsense", "a second mend changes what the first called clean: %s", d)
	}
}

var expected = regexp.MustCompile(`(lux|uv-a): \}( +# expected )([0-9.e+-]+) to ([0-9.e+-]+) (\S+)`)

// measure asks what to read, takes the readings at the middle of what is
// expected, and asks again: such readings are nobody's fault.
func (x *trial) measure(r *rand.Rand) {
	x.twice("measure", x.show)
	before, _ := x.check()
	file := filepath.Join(x.show, "readings.yaml")
	if _, err := os.Lstat(file); err == nil || len(before) > 0 {
		return
	}
	o := x.run(false, "measure", x.show, "-o", file)
	list, err := os.ReadFile(file)
	if o.status != 0 || err != nil {
		return
	}
	taken := expected.ReplaceAllStringFunc(string(list), func(line string) string {
		p := expected.FindStringSubmatch(line)
		low, _ := strconv.ParseFloat(p[3], 64)
		high, _ := strconv.ParseFloat(p[4], 64)
		return fmt.Sprintf("%s: %.4g %s}", p[1], low+(high-low)*(0.3+0.4*r.Float64()), p[5])
	})
	if err := os.WriteFile(file, []byte(taken), 0o644); err != nil {
		x.t.Fatal(err)
	}
	x.twice("measure", x.show)
	if after, o := x.check(); len(after) > 0 {
		x.failf("nonsense", "readings as expected are called a fault:\n%s\n%s%s", taken, o.out, o.err)
		_ = os.Remove(file)
	}
}

// twice runs a command that only reads, and wants the same words both times.
func (x *trial) twice(args ...string) {
	a, b := x.run(true, args...), x.run(true, args...)
	if a.out != b.out || a.status != b.status {
		x.failf("not the same twice", "%q: status %d and %d\n%s", args, a.status, b.status, difference([]byte(a.out), []byte(b.out)))
	}
}

type toldFinding struct {
	ID, Severity, Text, Place, File, Measured, Assumed, Hint string
}

// check reads the findings of the files; the first check may end a cut-off edit.
func (x *trial) check() (files []toldFinding, o outcome) {
	o = x.run(len(files) > 0, "check", x.show, "--json")
	for _, f := range o.findings() {
		if f.ID == "file" && f.Severity == "stop" {
			files = append(files, f)
		}
	}
	return files, o
}

// outcome is what came of a command.
type outcome struct {
	status   int
	out, err string
	took     time.Duration // of processor time
	peak     int64         // KiB of memory
}

func (o outcome) findings() []toldFinding {
	var all struct{ Findings []toldFinding }
	_ = json.Unmarshal([]byte(o.out), &all) // whether it is JSON is asked elsewhere
	return all.Findings
}

const (
	mostTime   = 30      // s of processor time
	mostMemory = 2 << 20 // KiB
)

var (
	crash    = regexp.MustCompile(`panic|goroutine|runtime error|fatal error|SIGXCPU|DATA RACE`)
	pixels   = regexp.MustCompile(`base64,[^"]*`)
	nonsense = regexp.MustCompile(`\bNaN\b|[+-]Inf\b|%![a-z(]|<nil>`)
	powers   = regexp.MustCompile(`[0-9]e[+-][0-9]+`) // no way to write a number for a person
	rawChars = regexp.MustCompile(`[\x00-\x08\x0b-\x1f\x7f-\x{9f}\x{202a}-\x{202e}\x{2066}-\x{2069}]`)
)

// run runs a command as a process of its own and asks of it what must hold for
// every command; reads says that it may change nothing in the folder.
func (x *trial) run(reads bool, args ...string) outcome {
	x.t.Helper()
	before, around := x.snapshot(x.show), x.snapshot(x.base)
	o := x.start(args)
	name := args[0]
	x.total.count(name, fmt.Sprintf("%d: %q", x.n, args), o)
	words := fmt.Sprintf("%q: status %d, %v, %d MiB\n-- out:\n%s\n-- err:\n%s", args, o.status, o.took, o.peak>>10, o.out, o.err)
	switch {
	case o.took > (mostTime-1)*time.Second:
		x.failf("hang", "%s", words)
	case crash.MatchString(o.out + o.err):
		x.failf("crash", "%s", words)
	case o.status < 0:
		x.failf("hang", "ended by force after %v: %s", o.took, words)
	case o.status > 2:
		x.failf("status", "%s", words)
	case o.peak > mostMemory:
		x.failf("memory", "%s", words)
	}
	all := o.out + o.err
	if o.status == 2 && !strings.Contains(o.err, "lampblack: error: ") || o.status == 1 && strings.TrimSpace(all) == "" {
		x.failf("words", "it does not say why: %s", words)
	}
	look := slices.Contains(args, "--look") && name == "draft" // prints the file as it is
	if c := rawChars.FindString(all); c != "" && !look {
		x.failf("words", "raw %q: %s", c, words)
	}
	if c := nonsense.FindString(all); c != "" && !x.odd && !look && !strings.Contains(fmt.Sprint(args), c) {
		x.failf("nonsense", "%q: %s", c, words)
	}
	said := all
	if slices.Contains(args, "--json") {
		said = ""
		for _, f := range o.findings() {
			said += f.Text + "\n" + f.Measured + "\n" + f.Assumed + "\n" + f.Hint + "\n"
		}
	}
	if c := powers.FindString(said); c != "" && x.class == "valid" && !look {
		x.failf("nonsense", "%q: %s\n%s", c, words, said)
	}
	if o.status == 2 && x.valid && !x.lost(args, o) {
		x.failf("refused", "a valid folder: %s", words)
	}
	if slices.Contains(args, "--json") && o.status < 2 && (len(o.out) > 0 || o.status == 0) && !json.Valid([]byte(o.out)) {
		x.failf("words", "no JSON: %s", words)
	}
	after := x.snapshot(x.show)
	if d := changes(around, x.snapshot(x.base)); d != "" {
		x.failf("outside", "changed outside the folder: %s\n%s", d, words)
	}
	d := changes(before, after)
	if reads && d != "" {
		x.failf("spoiled", "a command that only reads changed %s\n%s", d, words)
	}
	for file, is := range before {
		goes := name == "retime" && after[file] == "" && after["cut-decisions.yaml"]+after["cut-sections.yaml"] != "" // it lost all
		if strings.HasSuffix(file, ".yaml") && after[file] != is && !goes && parses(is) && !parses(after[file]) {
			x.failf("spoiled", "%s does not parse any more: %s\n%s", file, after[file], words)
		}
	}
	if o.status == 2 && d != "" && name != "check" && !strings.Contains(d, ".lampblack-") {
		x.failf("spoiled", "it was not done, and yet changed %s\n%s", d, words)
	}
	return o
}

// lost says that a command may fail in a valid folder: the take, the desk, the
// instant or the moment that it is given may be none of this show's.
func (x *trial) lost(args []string, o outcome) bool {
	says := func(all ...string) bool {
		return slices.ContainsFunc(all, func(s string) bool { return strings.Contains(o.err, s) })
	}
	switch args[0] {
	case "retime":
		return says("is it the right file?") // of whatever times it has by now: the draft has given it some
	case "draft":
		return says("the score has no looks")
	case "desk":
		return says("the show has no cues", "no unit listens to universe", "too few for a show")
	case "picture":
		return says("nobody is there to see") || !slices.Contains(args, x.s.at) || slices.Contains(args, "--height")
	}
	return args[0] == "spotting" || args[0] == "export"
}

func (x *trial) start(args []string) outcome {
	program, err := os.Open(os.Args[0])
	if err != nil {
		x.t.Fatal(err)
	}
	defer program.Close()
	ctx, stop := context.WithTimeout(context.Background(), 10*time.Minute) // for what waits without computing
	defer stop()
	// By its descriptor, so that somebody else may run it who cannot see where it lies.
	c := exec.CommandContext(ctx, "/bin/sh", append([]string{"-c", fmt.Sprintf(`ulimit -t %d; exec /proc/self/fd/3 "$@"`, mostTime), "lampblack"}, args...)...)
	c.ExtraFiles = []*os.File{program}
	cache := filepath.Join(x.base, "cache")
	c.Env = append(os.Environ(), "LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_CACHE="+cache, "PULSE_SERVER=unix:/no-sound", "TMPDIR="+filepath.Join(x.base, "tmp"))
	if x.n%10 != 0 {
		c.Env = append(c.Env, "LAMPBLACK_TEST_COARSE=1")
	}
	c.Dir = x.base
	for _, d := range []string{cache, filepath.Join(x.base, "tmp"), x.out} {
		_ = os.Mkdir(d, 0o755)
		if x.nobody {
			_ = os.Chown(d, 65534, 65534)
		}
	}
	c.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	if x.nobody {
		c.SysProcAttr.Credential = &syscall.Credential{Uid: 65534, Gid: 65534}
	}
	var out, words bytes.Buffer
	c.Stdout, c.Stderr = &out, &words
	err = c.Run()
	if c.ProcessState == nil {
		x.t.Fatal(err)
	}
	use := c.ProcessState.SysUsage().(*syscall.Rusage)
	return outcome{status: c.ProcessState.ExitCode(), out: out.String(), err: words.String(),
		took: c.ProcessState.UserTime() + c.ProcessState.SystemTime(), peak: use.Maxrss}
}

// snapshot says what every file below dir is: its kind and its bytes. Of the
// whole trial, it leaves out the show and what commands are told to write to.
func (x *trial) snapshot(dir string) map[string]string {
	all := map[string]string{}
	_ = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		rel, _ := filepath.Rel(dir, path)
		if dir == x.base && d != nil && d.IsDir() && slices.Contains([]string{"show", "out", "cache", "tmp"}, rel) {
			return fs.SkipDir
		}
		switch {
		case err != nil:
			all[rel] = "unreadable"
		case d.Type().IsRegular():
			b, err := os.ReadFile(path)
			if err != nil {
				all[rel] = "unreadable"
			} else if strings.HasSuffix(rel, ".yaml") && len(b) < 100_000 {
				all[rel] = "= " + string(b)
			} else {
				all[rel] = fmt.Sprintf("%x", sha256.Sum256(b))
			}
		case d.Type()&fs.ModeSymlink != 0:
			to, _ := os.Readlink(path)
			all[rel] = "link to " + to
		default:
			all[rel] = d.Type().String()
		}
		return nil
	})
	return all
}

func parses(is string) bool {
	text, ok := strings.CutPrefix(is, "= ")
	var n yaml.Node
	return ok && yaml.Unmarshal([]byte(text), &n) == nil
}

func changes(a, b map[string]string) string {
	var d []string
	for _, file := range sorted(a) {
		if was, is := a[file], b[file]; was != is {
			d = append(d, cmp.Or(map[bool]string{true: file + " (gone)"}[is == ""], file))
		}
	}
	for _, file := range sorted(b) {
		if a[file] == "" {
			d = append(d, file+" (new)")
		}
	}
	return strings.Join(d, ", ")
}

// difference shows the first lines that differ.
func difference(a, b []byte) string {
	x, y := strings.Split(string(a), "\n"), strings.Split(string(b), "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return fmt.Sprintf("line %d:\n- %s\n+ %s", i+1, x[i], y[i])
		}
	}
	return fmt.Sprintf("%d lines and %d lines", len(x), len(y))
}

func files(dir string) (all []string) {
	_ = filepath.WalkDir(dir, func(path string, d fs.DirEntry, _ error) error {
		if d != nil && !d.IsDir() {
			all = append(all, path)
		}
		return nil
	})
	return all
}

// keep draws a folder that failed once more, for -artifacts.
func (x *trial) keep() {
	if x.t.Failed() {
		x.draw(x.t.ArtifactDir())
	}
}
