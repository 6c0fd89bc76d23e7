package web

import (
	"bufio"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"lampblack/play/lag"
)

// bench takes what a page sends, and answers as a measuring would.
type bench struct {
	mu     sync.Mutex
	now    SeatsNow
	taken  lag.Recording
	levels int
	asked  []string
}

func (b *bench) does(text string) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.asked = append(b.asked, text)
	return nil
}

func (b *bench) Seats() SeatsNow {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.now
}

func (b *bench) Begin(place, opening string) error {
	if place == "" {
		return errors.New("say where you are")
	}
	b.mu.Lock()
	b.now.Place, b.now.Eye, b.now.Takes, b.now.Of = place, opening == "", opening, 60
	b.mu.Unlock()
	return b.does("begin " + place)
}

func (b *bench) Take(t SeatTake) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	return t.AddTo(&b.taken, &b.levels)
}
func (b *bench) Came(c lag.Came) error         { return b.does("came " + string(c)) }
func (b *bench) Said(place, text string) error { return b.does("said " + place + " " + text) }
func (b *bench) Stop() error {
	b.mu.Lock()
	b.now.Place, b.now.Eye, b.now.Takes = "", false, ""
	b.mu.Unlock()
	return b.does("stop")
}

func (b *bench) orders() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return len(b.asked)
}

func (b *bench) seconds() float64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	if n := len(b.taken.Frames); n > 0 {
		return b.taken.Frames[n-1].At - b.taken.Frames[0].At
	}
	return 0
}

// Camera and microphone of the film: 30 frames a second, rows read in 20 ms, 15 ms exposed.
const (
	filmRate, filmReadout, filmExposure = 30, .02, .015
	filmWidth, filmHeight               = 160, 120
)

// film writes what a camera and a microphone would take of the repeats.
func film(t *testing.T, dir string, script []lag.Repeat, length float64) (video, audio string) {
	t.Helper()
	video, audio = filepath.Join(dir, "camera.y4m"), filepath.Join(dir, "microphone.wav")
	write := func(name string, do func(w *bufio.Writer)) {
		f, err := os.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		w := bufio.NewWriter(f)
		do(w)
		if err := errors.Join(w.Flush(), f.Close()); err != nil {
			t.Fatal(err)
		}
	}
	rng := rand.New(rand.NewPCG(8, 8))
	write(video, func(w *bufio.Writer) {
		fmt.Fprintf(w, "YUV4MPEG2 W%d H%d F%d:1 Ip A1:1 C420\n", filmWidth, filmHeight, filmRate)
		for k := range int(length * filmRate) {
			fmt.Fprint(w, "FRAME\n")
			for y := range filmHeight {
				end := float64(k)/filmRate + filmReadout*float64(y)/filmHeight
				lit := 0.0
				for _, r := range script {
					lit += max(0, min(end, r.Flash+lag.FlashFor)-max(end-filmExposure, r.Flash)) / filmExposure
				}
				for range filmWidth {
					w.WriteByte(byte(16 + 219*math.Pow(.01+.4*lit, 1/2.2) + 3*rng.Float64()))
				}
			}
			for range filmWidth * filmHeight / 2 {
				w.WriteByte(128)
			}
		}
	})
	write(audio, func(w *bufio.Writer) {
		const rate = 48000
		n := int(length * rate)
		w.WriteString("RIFF")
		head := []any{uint32(36 + 2*n), [8]byte([]byte("WAVEfmt ")), uint32(16), uint16(1), uint16(1), uint32(rate), uint32(2 * rate), uint16(2), uint16(16), [4]byte([]byte("data")), uint32(2 * n)}
		for _, v := range head {
			binary.Write(w, binary.LittleEndian, v)
		}
		samples := make([]int16, n)
		for i := range samples {
			samples[i] = int16(60 * rng.NormFloat64())
		}
		for _, r := range script {
			for i := range rate * 8 / 1000 {
				s := float64(i) / rate
				if at := int(r.Click*rate) + i; at < n {
					samples[at] += int16(4000 * math.Sin(math.Pi*s/8e-3) * math.Sin(2*math.Pi*2000*s))
				}
			}
		}
		binary.Write(w, binary.LittleEndian, samples)
	})
	return video, audio
}

// filmed is a browser whose camera and microphone play files.
func filmed(t *testing.T, video, audio string) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skipf("outside check left out: needs chromium (Debian package chromium): %v", err)
	}
	all, stop := chromedp.NewExecAllocator(context.Background(), append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-video-capture", video), chromedp.Flag("use-file-for-fake-audio-capture", audio+"%noloop"),
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"))...)
	ctx, cancel := chromedp.NewContext(all)
	t.Cleanup(func() { cancel(); stop() })
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// A camera and a microphone that play files: their light and sound are 40 ms apart in the
// second half by more than in the first; the page counts all of them, and in the long form what it sends says
// how far apart they are. A browser's own delays are in both.
func TestSeatMeasures(t *testing.T) {
	repeats, within := 10, 5*time.Millisecond
	long := os.Getenv("LAMPBLACK_LONG") != ""
	if long {
		repeats = 40
	} else if testing.Short() {
		t.Skip("half a minute of film")
	}
	const apart = .04
	script := lag.Script(2*repeats, 3)
	shot := append([]lag.Repeat{}, script...)
	for i := range shot {
		shot[i].Flash += 1
		shot[i].Click += 1
		if i >= repeats {
			shot[i].Click += apart
		}
	}
	length := shot[len(shot)-1].Click + 3
	video, audio := film(t, t.TempDir(), shot, length)
	b := &bench{}
	server, err := New(Options{Gate: ownGate(), Show: openHall(t, 1), Seats: b})
	if err != nil {
		t.Fatal(err)
	}
	url := serve(t, server)
	page := openTabIn(t, filmed(t, video, audio), url+"/seat", 390, 844)
	page.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".seat input[type=checkbox]").click()`))
	page.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".seat .ticks .yes").click()`))
	for stop := time.Now().Add(4 * time.Minute); b.seconds() < length-1.5; time.Sleep(100 * time.Millisecond) {
		if time.Now().After(stop) {
			t.Fatalf("only %.1f s came; the page says %q", b.seconds(), value[string](page, `document.querySelector(".seat .told").textContent`))
		}
	}
	page.picture("seat-measures")
	// A machine that cannot play the film in time shows nothing of the page.
	if n, want := len(b.taken.Frames), int(b.seconds()*filmRate); n < want*9/10 {
		t.Skipf("the machine is too busy to play the film: %d frames of %d", n, want)
	}
	first, err := lag.Estimate(b.taken, script[:repeats])
	second, failed := lag.Estimate(b.taken, script[repeats:])
	if err = errors.Join(err, failed); err != nil && !long {
		t.Skipf("the machine is too busy to play the film evenly: %v", err)
	} else if err != nil {
		t.Fatal(err)
	}
	got := lag.Between(first, second)
	t.Logf("%v apart: %+v, %+v", got, first, second)
	if long && (first.Flashes != repeats || first.Clicks != repeats || second.Flashes != repeats || second.Clicks != repeats) {
		t.Errorf("of %d flashes and clicks each, %d and %d were seen and heard, then %d and %d", repeats, first.Flashes, first.Clicks, second.Flashes, second.Clicks)
	}
	// A browser whose film slips on a busy machine says nothing of it, so the figure is for the long form.
	within = max(within, got.Half())
	if miss := got.Best - time.Duration(apart*float64(time.Second)); long && (miss < -within || miss > within) {
		t.Errorf("%v apart, want %v s", got, apart)
	}
	page.clean()
}

// Without a camera the page still leads somewhere: an eye, or a figure that is typed. Before
// anything flashes, somebody has to say that all know.
func TestSeatWithoutCamera(t *testing.T) {
	b := &bench{now: SeatsNow{Light: "par 1 and par 2 flash in white", Rows: []SeatRow{
		{Place: "centre seat", Beside: "0 ms", Behind: "12 ms (4 to 20 ms)", How: "camera and microphone, 60 flashes"},
		{Place: "back row", Beside: "29.1 ms (25.8 to 32.4 ms)", Behind: "41 ms (32 to 50 ms)", How: "camera and microphone, 58 flashes"},
	}}}
	server, err := New(Options{Gate: ownGate(), Show: openHall(t, 1), Seats: b})
	if err != nil {
		t.Fatal(err)
	}
	page := openTab(t, serve(t, server)+"/seat", 390, 844)
	press := func(text string) {
		t.Helper()
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`[...document.querySelectorAll(".seat button")].find((b) => b.textContent === %q).click()`, text)))
	}
	page.wait(`document.querySelectorAll(".seat tbody tr").length === 2`)
	press("By eye and ear")
	page.wait(`document.querySelector(".seat .told").textContent.startsWith("Say it in the hall first")`)
	page.whole("seat")
	page.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".seat input[type=checkbox]").click()`))
	press("By eye and ear")
	page.wait(`!document.querySelector(".seat .eye").hidden`)
	page.whole("seat-eye")
	arrived := func(want int) { // each order finds its own way
		t.Helper()
		for began := time.Now(); b.orders() < want; time.Sleep(5 * time.Millisecond) {
			if time.Since(began) > time.Minute {
				t.Fatalf("%d orders arrived, want %d", b.orders(), want)
			}
		}
	}
	press("Together")
	arrived(2)
	page.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".seat details input").value = "12 ms"`))
	press("It is so here")
	arrived(3)
	press("Stop")
	page.wait(`document.querySelector(".seat .eye").hidden`)
	if wide := value[bool](page, `document.documentElement.scrollWidth > innerWidth`); wide {
		t.Error("the page is wider than the phone")
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if got, want := strings.Join(b.asked, ", "), "begin centre seat, came together, said centre seat 12 ms, stop"; got != want {
		t.Errorf("asked %q, want %q", got, want)
	}
	page.clean()
}

// What no camera and no microphone sends is refused in words, and nothing of it is kept.
func TestSeatRefuses(t *testing.T) {
	b := &bench{}
	server, err := New(Options{Gate: ownGate(), Show: openHall(t, 1), Seats: b})
	if err != nil {
		t.Fatal(err)
	}
	url := serve(t, server)
	for _, c := range []struct {
		do, body string
		status   int
	}{
		{"take", `{`, 400}, {"take", `{"bin":0}`, 422}, {"take", `{"bin":1e9}`, 422}, {"take", `{"bin":0.0005,"frames":[{"at":1e300,"rows":"AAA="}]}`, 422},
		{"take", `{"bin":0.0005,"frames":[{"at":1,"rows":"AA=="}]}`, 422}, {"take", `{"bin":0.0005,"frames":[{"at":1,"rows":""}]}`, 422}, {"take", `{"bin":0.0005,"blocks":[{"at":1,"levels":""}]}`, 422},
		{"begin", `{"place":""}`, 422}, {"dance", `{}`, 404}, {"take", strings.Repeat("x", mostOrder+1), 413},
		{"take", `{"bin":0.0005,"frames":[{"at":1,"rows":"AAAA"}]}`, 422}, {"take", `{"bin":0.0005,"blocks":[{"at":1,"levels":"gIA="}],"frames":[{"at":1,"rows":"gAA="},{"at":1,"rows":"gAA="}]}`, 204},
	} {
		r, err := http.DefaultClient.Do(byOwner("POST", url+"/api/seats/"+c.do, c.body))
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != c.status {
			t.Errorf("%s %.60s: %d, want %d", c.do, c.body, r.StatusCode, c.status)
		}
	}
	if len(b.taken.Frames) != 1 || len(b.taken.Blocks) != 1 {
		t.Errorf("%d frames and %d blocks were kept", len(b.taken.Frames), len(b.taken.Blocks))
	}
}
