package main

import (
	"bufio"
	"io"
	"net"
	"net/http"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/alarm"
	"lampblack/play/clock"
	"lampblack/play/course"
	"lampblack/play/output"
)

// The forms of the text format, version 0.0.4, by its published description ("Exposition
// formats" of the Prometheus documentation): a line each for help, type and sample.
var (
	helpLine   = regexp.MustCompile(`^# HELP ([a-zA-Z_:][a-zA-Z0-9_:]*) ([^\\]|\\\\|\\n)*$`)
	typeLine   = regexp.MustCompile(`^# TYPE ([a-zA-Z_:][a-zA-Z0-9_:]*) (counter|gauge|histogram|summary|untyped)$`)
	sampleLine = regexp.MustCompile(`^([a-zA-Z_:][a-zA-Z0-9_:]*)(?:\{((?:[a-zA-Z_][a-zA-Z0-9_]*="(?:[^"\\\n]|\\\\|\\"|\\n)*",?)*)\})? (\S+)$`)
)

// exposed reads the format strictly, and returns each sample by its name and labels.
func exposed(t *testing.T, text string) map[string]float64 {
	t.Helper()
	got := map[string]float64{}
	kinds := map[string]string{}
	now := ""
	if !strings.HasSuffix(text, "\n") {
		t.Error("the last line has no end")
	}
	for lines := bufio.NewScanner(strings.NewReader(text)); lines.Scan(); {
		line := lines.Text()
		switch {
		case strings.HasPrefix(line, "# HELP "):
			m := helpLine.FindStringSubmatch(line)
			if m == nil {
				t.Fatalf("no help: %q", line)
			}
			now = m[1]
		case strings.HasPrefix(line, "# TYPE "):
			m := typeLine.FindStringSubmatch(line)
			if m == nil || m[1] != now || kinds[now] != "" {
				t.Fatalf("no type, or one too many: %q", line)
			}
			kinds[now] = m[2]
		default:
			m := sampleLine.FindStringSubmatch(line)
			if m == nil || m[1] != now || kinds[now] == "" {
				t.Fatalf("no sample of %s: %q", now, line)
			}
			v, err := strconv.ParseFloat(m[3], 64)
			if _, twice := got[m[1]+m[2]]; err != nil || twice {
				t.Fatalf("%v, or twice: %q", err, line)
			}
			if kinds[now] == "counter" != strings.HasSuffix(now, "_total") {
				t.Errorf("%s is a %s", now, kinds[now])
			}
			got[m[1]+m[2]] = v
		}
	}
	return got
}

func TestMetrics(t *testing.T) {
	f, err := openFigures(":0", []string{`e131 "main"`, "artnet"})
	if err != nil {
		t.Fatal(err)
	}
	defer f.close()
	if host, _, _ := net.SplitHostPort(f.listener.Addr().String()); host != "127.0.0.1" {
		t.Errorf("without a host it listens on %s", host)
	}
	get := func() string {
		t.Helper()
		r, err := http.Get("http://" + f.listener.Addr().String() + "/metrics")
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		text, _ := io.ReadAll(r.Body)
		if kind := r.Header.Get("Content-Type"); !strings.HasPrefix(kind, "text/plain; version=0.0.4") {
			t.Errorf("it is %q", kind)
		}
		return string(text)
	}
	exposed(t, get()) // before the first frame
	f.set(play.Status{
		Frames: 440, Late: output.Lateness{Median: 50 * time.Microsecond, P999: 2 * time.Millisecond, Worst: 15 * time.Millisecond, Missed: 3},
		Outputs: []output.Stats{{Sent: 440, Packets: 880}, {Dropped: 7}},
		Wrong:   []play.Trouble{{Of: "artnet", Fault: output.Fault{Cause: output.NoLink}}},
		Alarm:   alarm.State{Stands: true, Inputs: []alarm.Status{{Name: "panel"}, {Name: "button", Fault: "unplugged"}}},
		Zones: []course.Status{
			{Zone: "gate\\ \"x\"\nand more", State: evening.State{Step: 2, In: 90 * time.Second, Held: true}, Clock: clock.Reading{State: clock.Lost}},
			{Zone: "hall", Clock: clock.Reading{State: clock.Runs, Speed: 1}},
		},
	})
	f.count(evening.Trigger)
	f.count(evening.Trigger)
	text := get()
	if name := os.Getenv("LAMPBLACK_METRICS"); name != "" { // for a look by another program
		_ = os.WriteFile(name, []byte(text), 0o644)
	}
	got := exposed(t, text)
	for name, want := range map[string]float64{
		"lampblack_frames_total": 440, "lampblack_frames_missed_total": 3,
		`lampblack_frame_lateness_secondsshare="0.999"`:                   .002,
		`lampblack_output_packets_totaloutput="e131 \"main\"",number="1"`: 880,
		`lampblack_output_dropped_totaloutput="artnet",number="2"`:        7,
		`lampblack_clock_statezone="gate\\ \"x\"\nand more",state="lost"`: 1,
		`lampblack_clock_statezone="gate\\ \"x\"\nand more",state="runs"`: 0,
		`lampblack_position_secondszone="gate\\ \"x\"\nand more"`:         90,
		`lampblack_faultof="artnet",cause="no link"`:                      1, "lampblack_alarm": 1, `lampblack_alarm_input_silentinput="button"`: 1, `lampblack_alarm_input_silentinput="panel"`: 0,
		`lampblack_heldzone="hall"`: 0, `lampblack_clock_speedzone="hall"`: 1,
		`lampblack_events_totalkind="trigger"`: 2,
	} {
		if v, ok := got[name]; !ok || v != want {
			t.Errorf("%s is %g (%v), want %g", name, v, ok, want)
		}
	}
	if got["lampblack_memory_bytes"] < 1<<20 || got["lampblack_goroutines"] < 1 {
		t.Errorf("the process: %g bytes, %g goroutines", got["lampblack_memory_bytes"], got["lampblack_goroutines"])
	}
	r, err := http.Post("http://"+f.listener.Addr().String()+"/metrics", "", nil)
	if err != nil || r.StatusCode != http.StatusMethodNotAllowed {
		t.Errorf("an order to it: %v", err)
	}
	rebound, _ := http.NewRequest("GET", "http://"+f.listener.Addr().String()+"/metrics", nil)
	rebound.Host = "evil.example:9512"
	if r, err := http.DefaultClient.Do(rebound); err != nil || r.StatusCode != http.StatusForbidden {
		t.Errorf("by another name: %v", err)
	}
	if _, err := openFigures("9512", nil); err == nil {
		t.Error("no address is taken")
	}
}
