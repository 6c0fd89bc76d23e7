package midi_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lampblack/wire/midi"
	"lampblack/wire/outside"
)

func writeFile(t *testing.T, f *midi.File) string {
	t.Helper()
	b, err := f.Append(nil)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "cues.mid")
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestMidicsvReadsFile(t *testing.T) {
	outside.Need(t, "midicsv", "midicsv")
	f, _ := oneOfEach()
	got := outside.Run(t, "midicsv", writeFile(t, f))
	for _, line := range []string{
		"0, 0, Header, 0, 1, 500",
		"1, 0, Tempo, 500000",
		`1, 0, Title_t, "cues"`,
		"1, 1234, Note_on_c, 0, 60, 100",
		"1, 1334, Note_off_c, 0, 60, 0",
		"1, 61001, System_exclusive, 19, 127, 127, 2, 1, 1, 50, 51, 53, 46, 54, 0, 51, 54, 46, 54, 0, 53, 57, 247",
		`1, 3600000, Cue_point_t, "end"`,
		"1, 3600000, End_track",
	} {
		if !strings.Contains(got, line+"\n") {
			t.Errorf("no line %q in\n%s", line, got)
		}
	}
}

// python3-mido adds up the deltas as seconds in its own way.
func TestMidoReadsTimes(t *testing.T) {
	outside.Need(t, "python3", "/usr/bin/python3")
	if _, err := os.Stat("/usr/lib/python3/dist-packages/mido"); err != nil {
		t.Skip("outside check left out: needs mido (Debian package python3-mido)")
	}
	f := midi.NewFile(1)
	var want []time.Duration
	for i := range 200 {
		at := time.Duration(i) * 180_123_456_789 // 3 min apart, over ten hours
		f.Add(0, at, midi.NoteOn(0, byte(i%128), 64))
		want = append(want, at)
	}
	out := outside.Run(t, "/usr/bin/python3", "-c", `
import json, sys, mido
now, got = 0.0, []
for m in mido.MidiFile(sys.argv[1]):
    now += m.time
    if m.type == 'note_on': got.append(now)
print(json.dumps(got))`, writeFile(t, f))
	var got []float64
	if err := json.Unmarshal([]byte(out), &got); err != nil || len(got) != len(want) {
		t.Fatalf("mido read %d notes, %v", len(got), err)
	}
	worst := 0.0
	for i := range want {
		worst = max(worst, math.Abs(got[i]-want[i].Seconds()))
	}
	if worst > 0.0005+1e-9 {
		t.Errorf("worst error %.6f s, want at most half a tick of 1 ms", worst)
	}
}

func TestNodeReadsFile(t *testing.T) {
	f, _ := oneOfEach()
	f.Add(0, 2*time.Second, []byte{0xF7, 0xF1, 0x12})
	b, err := f.Append(nil)
	if err != nil {
		t.Fatal(err)
	}
	out := outside.Node(t, "midi-file", `
const f = mod.parseMidi(input);
let now = 0;
for (const e of f.tracks[0]) { now += e.deltaTime; console.log(now, e.type, e.noteNumber ?? e.text ?? e.microsecondsPerBeat ?? ''); }`, b)
	want := "0 setTempo 500000\n0 trackName cues\n1234 noteOn 60\n1334 noteOff 60\n2000 endSysEx \n61001 sysEx \n3600000 cuePoint end\n3600000 endOfTrack \n"
	if out != want {
		t.Errorf("got\n%s\nwant\n%s", out, want)
	}
}

// tshark knows MIDI bytes inside RTP (RFC 6295): 12 octets of RTP header and
// one of length before them.
func TestTsharkNamesMessages(t *testing.T) {
	s := midi.ShowControl{Device: 5, Format: midi.Lighting, Command: midi.Go, Cue: "12.5", List: "1"}
	var packets [][]byte
	for i, m := range [][]byte{midi.NoteOn(0, 60, 100), midi.Program(2, 7), s.Append(nil)} {
		packet := []byte{0x80, 97, 0, byte(i), 0, 0, 0, 0, 1, 2, 3, 4, byte(len(m))}
		packets = append(packets, append(packet, m...))
	}
	got := outside.Explain(t, 5004, packets, "rtpmidi,sysex", "-d", "udp.port==5004,rtp", "-d", "rtp.pt==97,rtpmidi")
	for _, want := range []string{"Note On (c=1, n=C4, v=100)", "Program Change (c=3, p=7)", "MIDI Show Control", "Lighting (General Category)"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
}
