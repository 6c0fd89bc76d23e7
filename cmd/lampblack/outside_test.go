package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"encoding/hex"
	"fmt"
	"io"
	"math"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"lampblack/demo"
	"lampblack/export"
	"lampblack/show"
	"lampblack/si"
	"lampblack/soundtrack"
)

// need skips the test where an outside program is absent.
func need(t *testing.T, program, debian string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("outside check left out: needs %s (Debian package %s)", program, debian)
	}
}

// lampblack runs the command line in this process.
func lampblack(t *testing.T, args ...string) string {
	t.Helper()
	t.Setenv("LAMPBLACK_CACHE", filepath.Join(t.TempDir(), "cache"))
	c := root()
	var out, words bytes.Buffer
	c.SetOut(&out)
	c.SetErr(&words)
	c.SetArgs(args)
	if err := c.ExecuteContext(t.Context()); err != nil {
		t.Fatalf("lampblack %v: %v\n%s%s", args, err, words.String(), out.String())
	}
	return out.String()
}

// loadShow is load for tests: a show without faults.
func loadShow(t *testing.T, dir string) *show.Show {
	t.Helper()
	t.Setenv("LAMPBLACK_CACHE", filepath.Join(t.TempDir(), "cache"))
	l, err := load(context.Background(), io.Discard, dir)
	if err != nil || l.show == nil {
		t.Fatal(err, l)
	}
	return l.show
}

// midicsv reads the exported file back to the cue times, within 0.5 ms, after
// ten hours as at the beginning.
func TestMidiFileByMidicsv(t *testing.T) {
	need(t, "midicsv", "midicsv")
	dir := filepath.Join(t.TempDir(), "show")
	if err := demo.New(t.Context(), dir, "ten hours"); err != nil {
		t.Fatal(err)
	}
	score := "looks: {dark: {purpose: nothing}}\ncues:\n"
	for i := range 200 {
		score += fmt.Sprintf("  - {cue: %d, at: \"%d:%02d:%06.3f\", look: dark}\n", i+1, i/20, i%20*3, 1.0005+float64(i)*.2437)
	}
	if err := os.WriteFile(filepath.Join(dir, "score.yaml"), []byte(score), 0o644); err != nil {
		t.Fatal(err)
	}
	s := loadShow(t, dir)
	data, err := export.MIDI(s)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "out.mid")
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	notes := noteTimes(t, path)
	if len(notes) != 200 || s.Cues[199].Start < 9*time.Hour {
		t.Fatalf("%d notes, the last cue at %v", len(notes), s.Cues[199].Start)
	}
	for i, at := range notes {
		if d := math.Abs(at - s.Cues[i].Start.Seconds()); d > .0005 {
			t.Errorf("note %d is %.4f s off its cue", i, d)
		}
	}
}

// noteTimes returns the note-on times by midicsv's ticks and tempo.
func noteTimes(t *testing.T, path string) []float64 {
	t.Helper()
	out, err := exec.Command("midicsv", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(out))
	r.FieldsPerRecord, r.TrimLeadingSpace, r.LazyQuotes = -1, true, true
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	division, tempo := 0.0, 500000.0
	var times []float64
	for _, row := range rows {
		tick, _ := strconv.ParseFloat(row[1], 64)
		switch row[2] {
		case "Header":
			division, _ = strconv.ParseFloat(row[5], 64)
		case "Tempo":
			tempo, _ = strconv.ParseFloat(row[3], 64)
		case "Note_on_c":
			times = append(times, tick*tempo/division/1e6)
		}
	}
	return times
}

// tshark, which knows E1.31, dissects the frames of a run on loopback:
// universe, priority, sequence and slots as computed. Logged, not judged, is
// the spacing of the packets: it is this machine's, at this moment.
func TestRunByTshark(t *testing.T) {
	need(t, "tshark", "tshark")
	if testing.Short() {
		t.Skip("left out of short runs: captures packets in real time")
	}
	dir := filepath.Join(t.TempDir(), "show")
	if err := demo.New(t.Context(), dir, "wire"); err != nil {
		t.Fatal(err)
	}
	moving := "looks:\n  dark: {purpose: nothing}\n  light: {parts: [{system: " + firstSystem(t, dir) + ", level: 100 %}]}\ncues:\n  - {cue: 1, at: 0:00, look: dark}\n  - {cue: 2, at: 0:00.2, look: light, up: 30 s}\n  - {cue: 3, at: 0:30.5, look: dark, up: 30 s}\n"
	if err := os.WriteFile(filepath.Join(dir, "score.yaml"), []byte(moving), 0o644); err != nil {
		t.Fatal(err)
	}
	s := loadShow(t, dir)
	lamp, err := net.ListenPacket("udp4", "127.0.0.1:0") // a port that nobody else sends to
	if err != nil {
		t.Fatal(err)
	}
	defer lamp.Close()
	port := fmt.Sprint(lamp.LocalAddr().(*net.UDPAddr).Port)
	rows := capture(t, port, func() {
		lampblack(t, "run", dir, "--silent", "--outputs", "e131 127.0.0.1 port "+port, "--for", runLength())
	})
	checkPackets(t, s, rows)
}

// runLength is long enough for 1,000 frames where time is given.
func runLength() string {
	if os.Getenv("LAMPBLACK_LONG") != "" {
		return "23s"
	}
	return "3s"
}

func firstSystem(t *testing.T, dir string) string {
	t.Helper()
	return loadShow(t, dir).Rig.Systems()[0]
}

// packet is what tshark says of one E1.31 data packet.
type packet struct {
	at                           float64
	priority, sequence, universe int
	slots                        []byte
}

func capture(t *testing.T, port string, run func()) []packet {
	t.Helper()
	file := filepath.Join(t.TempDir(), "run.pcapng")
	c := exec.Command("tshark", "-i", "lo", "-f", "udp dst port "+port, "-w", file)
	words, err := c.StderrPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Skipf("outside check left out: tshark does not capture: %v", err)
	}
	lines := bufio.NewScanner(words)
	for lines.Scan() && !strings.Contains(lines.Text(), "Capturing on") {
	}
	go func() { _, _ = io.Copy(io.Discard, words) }()
	run()
	_ = c.Process.Signal(os.Interrupt)
	if err := c.Wait(); err != nil {
		t.Skipf("outside check left out: tshark may not capture here: %v", err)
	}
	out, err := exec.Command("tshark", "-r", file, "--enable-heuristic", "acn", "-o", "acn.dmx_enable:TRUE", "-T", "fields",
		"-e", "frame.time_epoch", "-e", "acn.dmx.priority", "-e", "acn.dmx.seq_number", "-e", "acn.dmx.universe", "-e", "udp.payload",
		"-Y", "acn.dmx.universe").Output()
	if err != nil {
		t.Fatal(err)
	}
	var packets []packet
	for line := range strings.Lines(string(out)) {
		f := strings.Split(strings.TrimSpace(line), "\t")
		var p packet
		payload, err := hex.DecodeString(f[4])
		if err != nil || len(payload) < 126 {
			t.Fatalf("tshark printed %q", line)
		}
		p.at, _ = strconv.ParseFloat(f[0], 64)
		p.priority, _ = strconv.Atoi(f[1])
		p.sequence, _ = strconv.Atoi(f[2])
		p.universe, _ = strconv.Atoi(f[3])
		p.slots = payload[126:] // ANSI E1.31-2018, 7.7: property values after the START code
		packets = append(packets, p)
	}
	return packets
}

func checkPackets(t *testing.T, s *show.Show, packets []packet) {
	t.Helper()
	// A slow machine sends fewer than the 130 of three seconds, but its last light among them.
	const ending = 30
	if len(packets) == 0 {
		t.Fatal("tshark dissected no packet")
	}
	// Every state of the show that a frame can have had, to compare with.
	states := map[string]bool{}
	f := s.NewFrame()
	for at := time.Duration(0); at < 24*time.Second; at += time.Millisecond {
		states[string(s.At(f, at).Universes[0].Slots[:])] = true
	}
	var gaps []float64
	known := 0
	for i, p := range packets {
		if p.universe != 1 || p.priority != 100 {
			t.Fatalf("packet %d: universe %d, priority %d", i, p.universe, p.priority)
		}
		if i > 0 {
			gaps = append(gaps, p.at-packets[i-1].at)
			if p.sequence != (packets[i-1].sequence+1)%256 {
				t.Fatalf("packet %d has sequence %d after %d", i, p.sequence, packets[i-1].sequence)
			}
		}
		if states[string(p.slots)] {
			known++
		}
	}
	if known < len(packets)-ending {
		t.Errorf("%d of %d packets hold a state of the show", known, len(packets))
	}
	if len(gaps) == 0 {
		return
	}
	slices.Sort(gaps)
	t.Logf("%d packets; spacing median %.3f ms, 99.9th percentile %.3f ms", len(packets), 1e3*gaps[len(gaps)/2], 1e3*gaps[len(gaps)*999/1000])
}

// A real piece of music, made by nobody here, goes all the way: listening, a
// score with cues on its hits, check, run and export.
func TestRealMusic(t *testing.T) {
	const music = "/usr/share/games/supertux2/music/antarctic/arctic_cave.ogg"
	if _, err := os.Stat(music); err != nil {
		t.Skip("outside check left out: needs music of the Debian package supertux-data")
	}
	need(t, "midicsv", "midicsv")
	dir := filepath.Join(t.TempDir(), "show")
	if err := demo.New(t.Context(), dir, "real music"); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(music)
	if err != nil {
		t.Fatal(err)
	}
	track, err := soundtrack.AnalyseFile(t.Context(), music, soundtrack.Options{})
	if err != nil {
		t.Fatal(err)
	}
	bill := "title: real music\nsoundtrack: music.ogg\n"
	score := "looks:\n  still: {purpose: between}\n  hit: {parts: [{system: " + firstSystem(t, dir) + ", level: 40 %}]}\ncues:\n  - {cue: 1, at: 0:00, look: still}\n"
	hits := spaced(track.Ranked(60), 2*time.Second)
	for i, h := range hits {
		score += fmt.Sprintf("  - {cue: %d, on: hit %s, look: hit, up: 0.05 s, returns: 0.8 s, lands: peaks}\n", i+2, si.FormatTime(h.Time))
	}
	for name, text := range map[string]string{"show.yaml": bill, "score.yaml": score, "music.ogg": string(data)} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	lampblack(t, "check", dir)
	lampblack(t, "run", dir, "--silent", "--outputs", "e131 127.0.0.1", "--for", "1s", "--from", "0:05")
	out := filepath.Join(t.TempDir(), "music.mid")
	lampblack(t, "export", "midi", dir, "-o", out)
	notes := noteTimes(t, out)
	if len(notes) != len(hits)+1 || len(hits) < 10 {
		t.Fatalf("%d notes for %d hits", len(notes), len(hits))
	}
	for i, h := range hits {
		if d := math.Abs(notes[i+1] + .05 - h.Time.Seconds()); d > .0015 {
			t.Errorf("the note of hit %d lands %.4f s off it", i, d)
		}
	}
}

// spaced takes hits by rank while they keep a distance, and returns them by
// time.
func spaced(ranked []soundtrack.Moment, apart time.Duration) []soundtrack.Moment {
	var out []soundtrack.Moment
	for _, m := range ranked {
		near := func(o soundtrack.Moment) bool { return (o.Time - m.Time).Abs() < apart }
		if m.Time > apart && !slices.ContainsFunc(out, near) {
			out = append(out, m)
		}
	}
	slices.SortFunc(out, func(a, b soundtrack.Moment) int { return int((a.Time - b.Time) / time.Microsecond) })
	return out
}
