package main

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"lampblack/demo"
	"lampblack/play"
	"lampblack/play/hand"
	"lampblack/web"
)

// tap listens to what a run sends as ANSI E1.31 on this machine. It keeps the newest slots of
// the first universe, and when they came.
type tap struct {
	conn net.PacketConn
	mu   sync.Mutex
	news *sync.Cond
	now  [512]byte
	came time.Time
	n    int
	film []shot // the last frames, the oldest first
}

// shot is what a frame had in its first slots, and when it came.
type shot struct {
	came  time.Time
	slots [24]byte
}

func newTap(t *testing.T) *tap {
	t.Helper()
	c, err := net.ListenPacket("udp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	x := &tap{conn: c}
	x.news = sync.NewCond(&x.mu)
	t.Cleanup(func() { c.Close() })
	go func() {
		b := make([]byte, 2048)
		for {
			n, _, err := c.ReadFrom(b)
			if err != nil {
				return
			}
			came := time.Now()
			// Octets 18 to 21 say that it is data, 113 and 114 the universe, 125 the start code
			// (ANSI E1.31, table 4-1).
			if n < 638 || binary.BigEndian.Uint32(b[18:]) != 4 || binary.BigEndian.Uint16(b[113:]) != 1 || b[125] != 0 {
				continue
			}
			x.mu.Lock()
			copy(x.now[:], b[126:638])
			x.came = came
			x.n++
			if len(x.film) == 1000 {
				x.film = x.film[500:]
			}
			x.film = append(x.film, shot{came, [24]byte(x.now[:24])})
			x.news.Broadcast()
			x.mu.Unlock()
		}
	}()
	return x
}

// await waits for a frame that fits, and returns when it came.
func (x *tap) await(t *testing.T, what string, fits func(slots []byte) bool) time.Time {
	t.Helper()
	timer := time.AfterFunc(time.Minute, x.news.Broadcast)
	defer timer.Stop()
	end := time.Now().Add(time.Minute)
	x.mu.Lock()
	defer x.mu.Unlock()
	for n := x.n; ; {
		if x.n > n && fits(x.now[:]) {
			return x.came
		}
		if time.Now().After(end) {
			t.Fatalf("no frame came in which %s; the last: %v", what, x.now[:24])
		}
		x.news.Wait()
	}
}

// since waits for the first frame after an instant that fits, and returns when it came.
func (x *tap) since(t *testing.T, began time.Time, what string, fits func(slots []byte) bool) time.Time {
	t.Helper()
	seen := func() (time.Time, bool) {
		for i := range x.film {
			if f := &x.film[i]; f.came.After(began) && fits(f.slots[:]) {
				return f.came, true
			}
		}
		return time.Time{}, false
	}
	var came time.Time
	x.mu.Lock()
	came, ok := seen()
	x.mu.Unlock()
	if !ok {
		x.await(t, what, func([]byte) bool { came, ok = seen(); return ok })
	}
	return came
}

// slots are those of the newest frame.
func (x *tap) slots() []byte {
	x.mu.Lock()
	defer x.mu.Unlock()
	return slices.Clone(x.now[:])
}

// served is a book with a run, as a process of its own.
type served struct {
	t   *testing.T
	c   *exec.Cmd
	url string
	key string
	tap *tap
	err *heardWords
}

// heardWords is what a process has said so far.
type heardWords struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (w *heardWords) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.Write(p)
}

func (w *heardWords) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.String()
}

// serveRun starts a command that serves pages, and waits for its address.
func serveRun(t *testing.T, x *tap, args ...string) *served {
	t.Helper()
	_, port, _ := net.SplitHostPort(x.conn.LocalAddr().String())
	args = append(args, "--outputs", "e131 127.0.0.1 port "+port)
	if !slices.Contains(args, "--address") {
		args = append(args, "--address", "127.0.0.1:0")
	}
	s := &served{t: t, c: exec.Command(os.Args[0], args...), tap: x, err: &heardWords{}}
	s.c.Env = append(os.Environ(), "LAMPBLACK_TEST_COMMAND=1", "LAMPBLACK_TEST_COARSE=1", "PULSE_SERVER=unix:/nowhere")
	s.c.Stderr = s.err
	out, err := s.c.StdoutPipe()
	if err == nil {
		err = s.c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.c.Process.Kill(); _ = s.c.Wait() })
	line, _ := bufio.NewReader(out).ReadString('\n')
	if s.url, s.key, _ = strings.Cut(strings.TrimSpace(line), "/#key="); !strings.HasPrefix(s.url, "http://") || s.key == "" {
		t.Fatalf("no address: %q %s", line, s.err)
	}
	x.await(t, "anything is sent", func([]byte) bool { return true })
	return s
}

// ask asks as a script of the user does.
func (s *served) ask(method, path string, body []byte) (*http.Response, error) {
	r, err := http.NewRequest(method, s.url+path, bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	r.Header.Set("Authorization", "Bearer "+s.key)
	return http.DefaultClient.Do(r)
}

// post sends what a page would, and returns the answer's words, "" for none.
func (s *served) post(path string, body any) string {
	s.t.Helper()
	text, _ := json.Marshal(body)
	r, err := s.ask("POST", path, text)
	if err != nil {
		s.t.Fatalf("%v; %s", err, s.err)
	}
	defer r.Body.Close()
	words, _ := io.ReadAll(r.Body)
	if r.StatusCode == http.StatusNoContent {
		return ""
	}
	return fmt.Sprintf("%d %s", r.StatusCode, words)
}

func (s *served) order(o hand.Order) {
	s.t.Helper()
	if words := s.post("/api/hand", o); words != "" {
		s.t.Fatalf("%+v: %s", o, words)
	}
}

func (s *served) lamps() (l web.Lamps) {
	s.t.Helper()
	r, err := s.ask("GET", "/api/lamps", nil)
	if err != nil {
		s.t.Fatal(err)
	}
	defer r.Body.Close()
	if err := json.NewDecoder(r.Body).Decode(&l); err != nil {
		s.t.Fatal(err)
	}
	return l
}

// small writes the smallest show.
func small(t *testing.T) (dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "small")
	if err := demo.NewSmall(t.Context(), dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

// What a hand has set for the night is there again when the program is killed and started anew.
func TestTrimsSurvive(t *testing.T) {
	dir, x := small(t), newTap(t)
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	s.order(hand.Order{Do: hand.TrimTo, Units: []string{"2"}, Level: .5})
	s.order(hand.Order{Do: hand.TakeOut, Units: []string{"3"}, Why: "flickers"})
	s.order(hand.Order{Do: hand.Set, Units: []string{"5"}, Colour: "#0000ff", Level: .25})
	dark := func(slots []byte) bool { return slots[6] == 0 && slots[7] == 0 && slots[8] == 0 }
	before := func() {
		x.await(t, "unit 3 is dark and unit 5 blue", func(slots []byte) bool { return dark(slots) && slots[14] > 0 && slots[12] < slots[14]/2 })
		// The likes take over within some seconds, when the looks are solved anew.
		x.await(t, "unit 1 is brighter than unit 2, which is trimmed", func(slots []byte) bool { return slots[0] > slots[3]+20 })
	}
	before()
	if err := s.c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = s.c.Wait()
	s = serveRun(t, x, "open", dir, "--run", "--silent")
	before()
	if l := s.lamps(); len(l.Trims) != 1 || len(l.Outs) != 1 || l.Outs[0].Why != "flickers" || len(l.Held) != 1 {
		t.Errorf("after a restart a hand holds %+v %+v %+v", l.Trims, l.Outs, l.Held)
	}
	if !strings.Contains(s.err.String(), "by hand tonight: 2 at 50 %; 3 is out (flickers)") {
		t.Errorf("it does not say what was taken up: %s", s.err)
	}
}

// What is wrong beside the show is told where the operator looks, while the show runs: faders
// that do not answer, and a folder in which nothing can be kept.
func TestHandsTroubleIsTold(t *testing.T) {
	dir, x := small(t), newTap(t)
	rig := filepath.Join(dir, "rig.yaml")
	text, _ := os.ReadFile(rig)
	if err := os.WriteFile(rig, bytes.Replace(text, []byte("address: 1}"), []byte("address: 1, systems: front}"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	port := filepath.Join(t.TempDir(), "midi")
	if err := os.WriteFile(filepath.Join(dir, "triggers.yaml"), []byte("faders: {front: controller "+port+" number 7}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	s.fault("faders do not answer: plug the controller in")
	if err := syscall.Mkfifo(port, 0o600); err != nil {
		t.Fatal(err)
	}
	s.fault("")
	if err := os.Rename(dir, dir+" elsewhere"); err != nil {
		t.Fatal(err)
	}
	s.order(hand.Order{Do: hand.TrimTo, System: "front", Level: .5})
	s.fault("what the hand holds would be lost if the program ended now")
}

// fault waits until the pages are told of a fault that begins so; "" is none.
func (s *served) fault(want string) {
	s.t.Helper()
	r, err := s.ask("GET", "/api/events", nil)
	if err != nil {
		s.t.Fatal(err)
	}
	timer := time.AfterFunc(time.Minute, func() { r.Body.Close() })
	defer timer.Stop()
	defer r.Body.Close()
	last := ""
	for lines := bufio.NewScanner(r.Body); lines.Scan(); {
		var head web.Playhead
		data, ok := strings.CutPrefix(lines.Text(), "data: {")
		if !ok || json.Unmarshal([]byte("{"+data), &head) != nil {
			continue
		}
		if last = head.Fault; want == "" && last == "" || want != "" && strings.HasPrefix(last, want) {
			return
		}
	}
	s.t.Fatalf("the pages are told %q, want %q; %s", last, want, s.err)
}

// What the run's loop asks waits for no change of a file.
func TestFollowWaitsForNothing(t *testing.T) {
	s, err := solve(t.Context(), io.Discard, small(t), reading{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	l := &byHand{}
	if l.hand, _, err = hand.New(s.stage(), hand.State{}, hand.Options{}); err != nil {
		t.Fatal(err)
	}
	l.files.Lock() // something is being written
	defer l.files.Unlock()
	told := make(chan struct{})
	go func() {
		l.follow(&play.Status{})
		l.Lamps()
		close(told)
	}()
	select {
	case <-told:
	case <-time.After(time.Minute):
		t.Fatal("it waits for a disk")
	}
}

// A page's port that is taken keeps no show from running: it takes another, and says so.
func TestPortTaken(t *testing.T) {
	dir, x := small(t), newTap(t)
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	s := serveRun(t, x, "open", dir, "--run", "--silent", "--address", taken.Addr().String())
	if s.url == "http://"+taken.Addr().String() {
		t.Error("it serves at an address that somebody else has")
	}
	if l := s.lamps(); len(l.Lamps) != 5 {
		t.Errorf("%d lamps", len(l.Lamps))
	}
	if want := taken.Addr().String() + " is taken"; !strings.Contains(s.err.String(), want) {
		t.Errorf("it does not say %q: %s", want, s.err)
	}
}

// Whatever brings a unit back brings its light back: to drop all does so too.
func TestDropBringsBack(t *testing.T) {
	dir, x := small(t), newTap(t)
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	like := func(slots []byte) bool { return slots[6] > 0 && slices.Equal(slots[0:3], slots[6:9]) }
	x.await(t, "unit 3 shows what unit 1 does", like)
	s.order(hand.Order{Do: hand.TakeOut, Units: []string{"3"}, Why: "flickers"})
	x.await(t, "unit 3 is dark, and unit 2 takes its part over", func(slots []byte) bool { return slots[6] == 0 && slots[3] > slots[0]+20 })
	s.order(hand.Order{Do: hand.Drop})
	x.await(t, "unit 3 is back", like)
}

// What is no light is not written into a look: the show would not run any more.
func TestKeepRefuses(t *testing.T) {
	dir, x := small(t), newTap(t)
	file := filepath.Join(dir, "score.yaml")
	text, _ := os.ReadFile(file)
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	for _, c := range []struct {
		held hand.Held
		want string
	}{
		{hand.Held{Units: []string{"1"}, Colour: "mud", Level: .5}, `colour "mud"`},
		{hand.Held{Units: []string{"1"}, Colour: "red", Level: -3}, "-3 is not between 0 and 1"},
		{hand.Held{Units: []string{"1"}, Colour: "red", Level: 7}, "7 is not between 0 and 1"},
	} {
		if words := s.post("/api/keep", web.Kept{Look: "night", Held: []hand.Held{c.held}}); !strings.Contains(words, c.want) {
			t.Errorf("keeping %+v is answered %q, want %q", c.held, words, c.want)
		}
		if now, _ := os.ReadFile(file); !bytes.Equal(now, text) {
			t.Fatalf("keeping %+v writes\n%s", c.held, now)
		}
	}
}

// A unit that was renamed in rig.yaml while the show runs is not written into a look by its old
// name: the show would not start any more.
func TestKeepOfAnotherRig(t *testing.T) {
	dir, x := small(t), newTap(t)
	file, rig := filepath.Join(dir, "score.yaml"), filepath.Join(dir, "rig.yaml")
	text, _ := os.ReadFile(file)
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	s.order(hand.Order{Do: hand.Set, Units: []string{"2"}, Colour: "red", Level: 1})
	units, _ := os.ReadFile(rig)
	if err := os.WriteFile(rig, bytes.Replace(units, []byte("unit: 2,"), []byte("unit: two,"), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	if words := s.post("/api/keep", web.Kept{Look: "night"}); !strings.Contains(words, "start it again") {
		t.Errorf("answered %q", words)
	}
	if now, _ := os.ReadFile(file); !bytes.Equal(now, text) {
		t.Errorf("written:\n%s", now)
	}
}

// Two people who keep at once, on a laptop and on a phone, both have what they kept.
func TestKeepTogether(t *testing.T) {
	dir, x := small(t), newTap(t)
	file := filepath.Join(dir, "score.yaml")
	text, _ := os.ReadFile(file)
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	var all sync.WaitGroup
	for i := range 5 {
		unit, look := fmt.Sprint(i+1), []string{"welcome", "night"}[i%2]
		all.Go(func() {
			if words := s.post("/api/keep", web.Kept{Look: look, Held: []hand.Held{{Units: []string{unit}, Colour: "green", Level: .5}}}); words != "" {
				t.Errorf("unit %s: %s", unit, words)
			}
		})
	}
	all.Wait()
	if now, _ := os.ReadFile(file); bytes.Count(now, []byte("green")) != 5 {
		t.Errorf("of five there are in the file\n%s", now)
	}
	for range 5 {
		if words := s.post("/api/undo", nil); words != "" {
			t.Error(words)
		}
	}
	if now, _ := os.ReadFile(file); !bytes.Equal(now, text) {
		t.Errorf("all is taken back, and the file is\n%s", now)
	}
}

// Keep, undo and let go leave the file and the light as they were, in whatever order they come.
// LAMPBLACK_LONG=1 goes through a thousand sequences.
func TestKeepUndo(t *testing.T) {
	sequences := 12
	if os.Getenv("LAMPBLACK_LONG") != "" {
		sequences = 1000
	} else if testing.Short() {
		t.Skip("left out of short runs: works looks out many times")
	}
	dir, x := small(t), newTap(t)
	file := filepath.Join(dir, "score.yaml")
	text, _ := os.ReadFile(file)
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	plain := func(slots []byte) bool {
		return slots[0] > 0 && slices.Equal(slots[0:3], slots[3:6]) && slices.Equal(slots[0:3], slots[12:15])
	}
	x.await(t, "all units show the first look", plain)
	var light []byte
	settle := func(what string, fits func([]byte) bool) {
		same := 0
		var last []byte
		x.await(t, what, func(slots []byte) bool {
			if slices.Equal(slots, last) {
				same++
			} else {
				same, last = 0, slices.Clone(slots)
			}
			return same > 0 && fits(slots)
		})
		light = last
	}
	settle("the first look stands", plain)
	first := light
	r := rand.New(rand.NewPCG(20260314, 13))
	units := []string{"1", "2", "3", "4", "5"}
	looks := []string{"welcome", "night", "red", "bows"}
	for i := range sequences {
		kept := 0
		for range 1 + r.IntN(5) {
			switch r.IntN(4) {
			case 0, 1:
				s.order(hand.Order{Do: hand.Set, Units: units[r.IntN(5):][:1], Colour: []string{"#ff0000", "#00ff00", "#4060ff"}[r.IntN(3)], Level: float64(1+r.IntN(10)) / 10, Over: .05})
			case 2:
				before, _ := os.ReadFile(file)
				if words := s.post("/api/keep", web.Kept{Look: looks[r.IntN(4)]}); words == "" {
					if after, _ := os.ReadFile(file); !bytes.Equal(before, after) { // it may be written so already
						kept++
					}
				} else if !strings.Contains(words, "nothing") {
					t.Fatalf("sequence %d: %s", i, words)
				}
			case 3:
				s.order(hand.Order{Do: hand.LetGo, Units: units[r.IntN(5):][:1], Over: .05})
			}
		}
		for range kept {
			if words := s.post("/api/undo", nil); words != "" {
				t.Fatalf("sequence %d: %s", i, words)
			}
		}
		s.order(hand.Order{Do: hand.Drop, Over: .05})
		if now, _ := os.ReadFile(file); !bytes.Equal(now, text) {
			t.Fatalf("sequence %d: all is taken back, and the file is\n%s", i, now)
		}
		x.await(t, fmt.Sprintf("the light is as it was before sequence %d", i), func(slots []byte) bool { return slices.Equal(slots, first) })
	}
	if words := s.post("/api/undo", nil); !strings.Contains(words, "nothing more to take back") {
		t.Errorf("undo of nothing: %q", words)
	}
}

// What is kept stays on the lamps when the hand lets go: there is no dip between the two.
func TestKeepHolds(t *testing.T) {
	dir, x := small(t), newTap(t)
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	x.await(t, "the first look is up", func(slots []byte) bool { return slots[0] > 100 })
	s.order(hand.Order{Do: hand.Set, Units: []string{"2"}, Colour: "#0000ff", Level: .5})
	blue := func(slots []byte) bool { return slots[5] > 60 && slots[3] < 40 }
	x.await(t, "unit 2 is blue", blue)
	kept := time.Now()
	if words := s.post("/api/keep", web.Kept{Look: "welcome"}); words != "" {
		t.Fatal(words)
	}
	least := byte(255)
	for end := time.Now().Add(time.Minute); len(s.lamps().Held) > 0 && time.Now().Before(end); {
		x.await(t, "a frame comes", func([]byte) bool { return true })
	}
	for range 3 { // light that stands is sent about once a second (ANSI E1.31, 6.6.1)
		x.await(t, "a frame comes", func([]byte) bool { return true })
	}
	x.mu.Lock()
	for i := range x.film {
		if f := &x.film[i]; f.came.After(kept) {
			least = min(least, f.slots[5])
		}
	}
	x.mu.Unlock()
	if least < 60 {
		t.Errorf("while it was kept the blue went down to %d", least)
	}
	if !blue(x.slots()) {
		t.Errorf("kept, and let go: %v", x.slots()[3:6])
	}
	if text, _ := os.ReadFile(filepath.Join(dir, "score.yaml")); !strings.Contains(string(text), `welcome: {colour: orange, level: 60 %, parts: [{units: [2], colour: "#0000ff", level: 50 %}]}`) {
		t.Errorf("%s", text)
	}
}

// From a hand to the wire: how long an order of a page takes until the frame that shows it has
// come by the network. LAMPBLACK_LONG=1 takes 400, and 400 more with pages open in a browser, and
// prints them.
func TestHandToWire(t *testing.T) {
	dir, x := small(t), newTap(t)
	s := serveRun(t, x, "open", dir, "--run", "--silent")
	x.await(t, "the first look is up", func(slots []byte) bool { return slots[0] > 100 })
	if os.Getenv("LAMPBLACK_LONG") == "" {
		s.handToWire(12, "with no page open")
		return
	}
	s.handToWire(400, "with no page open")
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Log("the rest is left out: needs chromium (Debian package chromium)")
		return
	}
	for _, page := range []string{"/night", "/hand"} {
		c := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--remote-debugging-port=0", "--user-data-dir="+t.TempDir(), s.url+page+"#key="+s.key)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		defer func() { _ = c.Process.Kill(); _ = c.Wait() }()
	}
	time.Sleep(5 * time.Second) // both have loaded
	s.handToWire(400, "with the pages Night and By hand open in a browser")
}

// handToWire takes orders and prints how long they took.
func (s *served) handToWire(n int, how string) {
	s.t.Helper()
	var took []time.Duration
	r := rand.New(rand.NewPCG(20260314, 14))
	for i := range n {
		level := .5 + float64(i%2)*.06 // too little to count as a flash
		// At any time between two frames, when the order before has settled.
		time.Sleep(time.Duration(180e6 + r.IntN(100e6)))
		was := s.tap.slots()
		began := time.Now()
		s.order(hand.Order{Do: hand.Set, Units: []string{"2"}, Colour: "#ffffff", Level: level})
		came := s.tap.since(s.t, began, "unit 2 moves", func(slots []byte) bool { return !slices.Equal(slots[3:6], was[3:6]) })
		took = append(took, came.Sub(began))
	}
	slices.Sort(took)
	s.t.Logf("from an order to the wire, %s, %d orders: median %v, 99 %% %v, worst %v", how, n, took[n/2].Round(100*time.Microsecond), took[n*99/100].Round(100*time.Microsecond), took[n-1].Round(100*time.Microsecond))
}
