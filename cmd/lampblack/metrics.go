package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"net"
	"net/http"
	"runtime/metrics"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/clock"
	"lampblack/play/course"
)

// figures serves what a run comes to as it runs, in the text format of Prometheus, version
// 0.0.4. Nobody needs a key: there is nothing to order, and names of steps are all that it
// tells of the show.
type figures struct {
	outputs  []string
	began    time.Time
	listener net.Listener
	server   *http.Server
	done     chan error

	mu     sync.Mutex
	status play.Status
	events map[evening.Kind]int
}

// openFigures begins to serve. An address without a host is this computer's own.
func openFigures(address string, outputs []string) (*figures, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return nil, hinted{fmt.Errorf("--metrics %q: %w", address, err), "as --metrics 127.0.0.1:9512"}
	}
	if host == "" {
		host = "127.0.0.1"
	}
	f := &figures{outputs: outputs, began: time.Now(), done: make(chan error, 1), events: map[evening.Kind]int{}}
	if f.listener, err = net.Listen("tcp", net.JoinHostPort(host, port)); err != nil {
		return nil, hinted{fmt.Errorf("serve the figures: %w: %w", errTaken, err), "--metrics 127.0.0.1:0 takes a free port"}
	}
	f.listener = &boundedListener{Listener: f.listener}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /metrics", func(w http.ResponseWriter, r *http.Request) {
		if !plainHost(r.Host) { // a name that a page elsewhere has pointed here
			http.Error(w, "ask by the address of this computer", http.StatusForbidden)
			return
		}
		f.answer(w, r)
	})
	f.server = &http.Server{Handler: mux, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 5 * time.Second, WriteTimeout: 10 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10}
	go func() { f.done <- f.server.Serve(f.listener) }()
	return f, nil
}

// plainHost tells whether a request names an address, which nobody else can point here.
func plainHost(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	return host == "localhost" || net.ParseIP(strings.Trim(host, "[]")) != nil
}

func (f *figures) set(s play.Status) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.status = s
}

func (f *figures) count(k evening.Kind) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.events[k]++
}

func (f *figures) close() error {
	err := f.server.Close()
	if end := <-f.done; !errors.Is(end, http.ErrServerClosed) {
		err = errors.Join(err, end)
	}
	return err
}

func (f *figures) answer(w http.ResponseWriter, _ *http.Request) {
	f.mu.Lock()
	s, events := f.status, maps.Clone(f.events)
	f.mu.Unlock()
	w.Header().Set("Content-Type", "text/plain; version=0.0.4; charset=utf-8")
	w.Header().Set("X-Content-Type-Options", "nosniff")
	m := &exposition{w: w}
	m.ofFrames(&s)
	m.ofOutputs(&s, f.outputs)
	m.ofTrouble(&s)
	zones := s.Zones
	if zones == nil {
		zones = []course.Status{s.Status}
	}
	m.ofZones(zones)
	m.family("lampblack_events_total", "counter", "What happened, by kind, as the journal has it.")
	for _, k := range slices.Sorted(maps.Keys(events)) {
		m.value(float64(events[k]), "kind", string(k))
	}
	m.ofProcess(f.began)
}

// exposition writes families of samples.
type exposition struct {
	w    io.Writer
	name string
}

// family begins a metric with its help and type; its samples follow.
func (m *exposition) family(name, kind, help string) {
	m.name = name
	fmt.Fprintf(m.w, "# HELP %s %s\n# TYPE %s %s\n", name, help, name, kind)
}

// escapes are those of a label's value: backslash, quote, line feed.
var escapes = strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`)

// value writes a sample with labels, names and values in turn.
func (m *exposition) value(v float64, labels ...string) {
	var b strings.Builder
	b.WriteString(m.name)
	for i := 0; i+1 < len(labels); i += 2 {
		b.WriteByte("{,"[min(i, 1)])
		b.WriteString(labels[i] + `="` + escapes.Replace(strings.ToValidUTF8(labels[i+1], "?")) + `"`)
	}
	if len(labels) > 0 {
		b.WriteByte('}')
	}
	fmt.Fprintf(m.w, "%s %s\n", b.String(), strconv.FormatFloat(v, 'g', -1, 64))
}

func (m *exposition) one(name, kind, help string, v float64) {
	m.family(name, kind, help)
	m.value(v)
}

func (m *exposition) ofFrames(s *play.Status) {
	m.one("lampblack_frames_total", "counter", "Frames that were handed out.", float64(s.Frames))
	m.one("lampblack_frames_missed_total", "counter", "Frames that were never made, as the computer stalled.", float64(s.Late.Missed))
	m.family("lampblack_frame_lateness_seconds", "gauge", "How late frames were handed out since the beginning: the share that was no later.")
	m.value(s.Late.Median.Seconds(), "share", "0.5")
	m.value(s.Late.P999.Seconds(), "share", "0.999")
	m.value(s.Late.Worst.Seconds(), "share", "1")
}

func (m *exposition) ofOutputs(s *play.Status, names []string) {
	for _, c := range []struct {
		name, help string
		of         func(i int) uint64
	}{
		{"sent", "Frames that left.", func(i int) uint64 { return s.Outputs[i].Sent }},
		{"packets", "Packets that left, repeats among them.", func(i int) uint64 { return s.Outputs[i].Packets }},
		{"dropped", "Frames that did not leave.", func(i int) uint64 { return s.Outputs[i].Dropped }},
		{"late", "Frames that left more than 11 ms late.", func(i int) uint64 { return s.Outputs[i].Late }},
		{"reconnects", "Times that a lost device or network was found again.", func(i int) uint64 { return s.Outputs[i].Reconnects }},
	} {
		m.family("lampblack_output_"+c.name+"_total", "counter", c.help)
		for i := range min(len(s.Outputs), len(names)) {
			m.value(float64(c.of(i)), "output", names[i], "number", strconv.Itoa(i+1))
		}
	}
}

// ofTrouble tells what is wrong now: of outputs, of this computer, and whether an alarm stands.
func (m *exposition) ofTrouble(s *play.Status) {
	m.family("lampblack_fault", "gauge", "What is wrong now, 1 for each.")
	seen := map[[2]string]float64{}
	for i := range s.Wrong {
		seen[[2]string{s.Wrong[i].Of, string(s.Wrong[i].Cause)}]++
	}
	for _, key := range slices.SortedFunc(maps.Keys(seen), func(a, b [2]string) int { return strings.Compare(a[0]+"\x00"+a[1], b[0]+"\x00"+b[1]) }) {
		m.value(seen[key], "of", key[0], "cause", key[1])
	}
	m.one("lampblack_alarm", "gauge", "Whether an alarm stands.", flag(s.Alarm.Stands))
	m.family("lampblack_alarm_input_silent", "gauge", "Whether an alarm input can say nothing.")
	for _, in := range s.Alarm.Inputs {
		m.value(flag(in.Fault != ""), "input", in.Name)
	}
}

// flag is how a yes and a no are written.
func flag(v bool) float64 {
	if v {
		return 1
	}
	return 0
}

func (m *exposition) ofZones(zones []course.Status) {
	each := func(name, help string, of func(z *course.Status) float64) {
		m.family("lampblack_"+name, "gauge", help)
		for i := range zones {
			m.value(of(&zones[i]), "zone", zones[i].Zone)
		}
	}
	each("position_seconds", "Where the step is.", func(z *course.Status) float64 { return z.State.In.Seconds() })
	each("clock_speed", "Seconds of the show in a second.", func(z *course.Status) float64 { return z.Clock.Speed })
	each("step", "The step of the running order, from 1; 0 before and after.", func(z *course.Status) float64 { return float64(z.State.Step) })
	each("held", "Whether a hand holds it.", func(z *course.Status) float64 { return flag(z.State.Held) })
	each("lights_up", "Whether the lights are up.", func(z *course.Status) float64 { return flag(z.State.LightsUp) })
	each("light_frozen", "Whether the light is frozen.", func(z *course.Status) float64 { return flag(z.State.Frozen) })
	m.family("lampblack_clock_state", "gauge", "Whether the clock is in this state.")
	for i := range zones {
		for _, state := range []clock.State{clock.Held, clock.Runs, clock.Freewheels, clock.Lost} {
			m.value(flag(zones[i].Clock.State == state), "zone", zones[i].Zone, "state", state.String())
		}
	}
}

func (m *exposition) ofProcess(began time.Time) {
	samples := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/objects:bytes"}, {Name: "/sched/goroutines:goroutines"}}
	metrics.Read(samples) // which stops nothing
	for i, name := range []string{"lampblack_memory_bytes", "lampblack_memory_used_bytes", "lampblack_goroutines"} {
		help := []string{"Memory that the system has given.", "Memory that is in use.", "Goroutines."}[i]
		m.one(name, "gauge", help, float64(samples[i].Value.Uint64()))
	}
	m.one("lampblack_start_time_seconds", "gauge", "When the run began, seconds since 1970.", float64(began.UnixMilli())/1000)
	m.family("lampblack_build_info", "gauge", "The version of the program.")
	m.value(1, "version", ownVersion())
}
