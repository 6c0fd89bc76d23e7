package show

import (
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/play/line"
	"lampblack/si"
)

// billOf reads a folder that holds but a show.yaml and what is given; its other faults are no
// matter here.
func billOf(t *testing.T, bill string, more map[string]string) (Files, string) {
	t.Helper()
	files := fstest.MapFS{"show.yaml": {Data: []byte("title: t\nsoundtrack: a.wav\n" + bill)}, "bell.wav": {Data: []byte("RIFF")}}
	for name, text := range more {
		files[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := Read(files)
	var told []string
	for _, x := range faults {
		if x.Pos.File == BillFile || x.Pos.File == TrimsFile || x.Pos.File == OrderFile {
			told = append(told, x.Error())
		}
	}
	return f, strings.Join(told, "\n")
}

// What show.yaml says of its sound is read in its units, and means what is not said.
func TestSoundOfAShow(t *testing.T) {
	f, told := billOf(t, "place: hall\nsound: {device: USB, channels: 3-4, level: 50 %, fade in: 0.5 s, fade out: 3 s, stops over: 5 s}\nextra sounds:\n  bell: {file: bell.wav, level: -6 dB, key: F3, trigger: door}\n  low: {file: bell.wav, channels: 1}\n",
		map[string]string{"triggers.yaml": "triggers: {door: {source: page}}\n", "hall.yaml": "trims:\n  - {channel: 3, level: 2 dB}\n  - {hall: barn, channel: 3, level: -9 dB}\n  - {hall: hall, channel: 3, level: -2 dB, delay: 12 ms}\n  - {channel: 4, delay: 3 ms}\n"})
	if told != "" {
		t.Fatal(told)
	}
	s := &f.Bill.Sound
	if s.Device != "USB" || s.To() != (line.Channels{First: 3, Last: 4}) || (s.Level+6.0206).String() != "0 dB" || s.FadeIn != 500*time.Millisecond || s.FadeOut != 3*time.Second || s.Stop != 5*time.Second {
		t.Errorf("%+v", s)
	}
	bell, low := f.Bill.Extras.Get("bell"), f.Bill.Extras.Get("low")
	if bell.Key.Name != "f3" || bell.Level != -6 || bell.To(s) != s.To() || low.To(s) != (line.Channels{First: 1, Last: 1}) {
		t.Errorf("%+v, %+v", bell, low)
	}
	// The hall's own trims come before those of any hall, and another's are none.
	got := f.Trims.In("hall")
	if len(got) != 2 || got[0].Level != -2 || got[0].Delay != 12*time.Millisecond || got[1].Channel != 4 {
		t.Errorf("in the hall: %+v", got)
	}
	if got := f.Trims.In(""); len(got) != 2 || got[0].Level != 2 {
		t.Errorf("in any: %+v", got)
	}
	if (&Sound{}).To() != (line.Channels{First: 1, Last: 2}) || (*Trims)(nil).In("x") != nil || f.Trims.Elsewhere("x") {
		t.Error("what is not said is another")
	}
}

// What is wrong is told where it stands.
func TestFaultsOfSound(t *testing.T) {
	for bill, want := range map[string]string{
		"sound: {level: 6}\n":                                                               `level "6" should have one of the units dB or % of the amplitude`,
		"sound: {level: 30 dB}\n":                                                           "outside -60 dB to 24 dB",
		"sound: {channels: 2-1}\n":                                                          "the sound: ",
		"sound: {fade in: 11 min}\n":                                                        "the fade in of the sound lies outside 0 to 10:00",
		"sound: {fade out: -1 s}\n":                                                         "the fade out of the sound lies outside",
		"extra sounds: {a: {level: 0 dB}}\n":                                                `"file" is missing`,
		"extra sounds: {a: {file: no.wav}}\n":                                               "the file of extra sound a is missing: no.wav",
		"extra sounds: {a: {file: ../b.wav}}\n":                                             "leaves the show's folder",
		"extra sounds: {a: {file: bell.wav, key: s}}\n":                                     "a key that steers the run",
		"extra sounds: {a: {file: bell.wav, key: f13}}\n":                                   "the key of extra sound a",
		"extra sounds: {a: {file: bell.wav, key: f1}, b: {file: bell.wav, key: F1}}\n":      "extra sound b has the key of extra sound a",
		"extra sounds: {a: {file: bell.wav, trigger: door}}\n":                              `trigger "door", which there is not`,
		"extra sounds: {a: {file: bell.wav, channels: 1-3}}\n":                              "extra sound a: ",
		"extra sounds: {" + strings.Repeat("a", 60) + ": {file: bell.wav, level: 25 dB}}\n": "outside -60 dB to 24 dB",
	} {
		if _, told := billOf(t, bill, nil); !strings.Contains(told, want) || !strings.HasPrefix(told, "show.yaml:") {
			t.Errorf("%s is told as %q, want %q", bill, told, want)
		}
	}
	for trims, want := range map[string]string{
		"trims: [{channel: 0}]\n":                             "channel 0 lies outside 1 to 32",
		"trims: [{channel: 1, level: 7 dB}]\n":                "a level of 7 dB lies outside -60 dB to 6 dB",
		"trims: [{channel: 1, delay: 301 ms}]\n":              "the delay lies outside 0 to 300 ms",
		"trims: [{channel: 1}, {channel: 1, level: -1 dB}]\n": "channel 1 has two trims in one hall; the first is on line 1",
		"trims: [{level: 0 dB}]\n":                            `"channel" is missing`,
	} {
		if _, told := billOf(t, "", map[string]string{"hall.yaml": trims}); !strings.Contains(told, want) {
			t.Errorf("%s is told as %q, want %q", trims, told, want)
		}
	}
}

// Trims that are set one after another are all there, whatever the file held and in whatever
// order they come: the last of each channel in each hall, and every comment.
func TestTrimsAreKept(t *testing.T) {
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 66))
		var data []byte
		if seed%2 == 1 {
			data = []byte("# by hand\ntrims:\n  # the left one\n  - channel: 1\n    level: -1 dB # soft\n  - {hall: 'barn: old', channel: 2, speaker: balcony, delay: 4 ms}\n")
		}
		type place struct {
			hall    string
			channel int
		}
		want := map[place]ChannelTrim{}
		if data != nil {
			want[place{"", 1}] = ChannelTrim{Channel: 1, Level: -1}
			want[place{"barn: old", 2}] = ChannelTrim{Channel: 2, Speaker: "balcony", Delay: 4 * time.Millisecond}
		}
		for range 12 {
			c := ChannelTrim{Hall: []string{"", "barn: old", "#hall, \"two\""}[rng.IntN(3)], Channel: 1 + rng.IntN(3), Level: si.Decibels(rng.IntN(200)-140) / 10, Delay: time.Duration(rng.IntN(300)) * time.Millisecond}
			if c.Level > 6 {
				if _, err := c.With(data); err == nil {
					t.Fatalf("seed %d: %v is kept", seed, c.Level)
				}
				continue
			}
			var err error
			if data, err = c.With(data); err != nil {
				t.Fatalf("seed %d: %v\n%s", seed, err, data)
			}
			c.Speaker = want[place{c.Hall, c.Channel}].Speaker
			want[place{c.Hall, c.Channel}] = c
		}
		got, faults := ReadTrims(data)
		if faults.Err() != nil || len(got.Trims) != len(want) {
			t.Fatalf("seed %d: %v, %d of %d\n%s", seed, faults, len(got.Trims), len(want), data)
		}
		for _, c := range got.Trims {
			w := want[place{c.Hall, c.Channel}]
			if c.Level != w.Level || c.Delay != w.Delay || c.Speaker != w.Speaker {
				t.Errorf("seed %d: %+v, want %+v", seed, c, w)
			}
		}
		if seed%2 == 1 && (!strings.Contains(string(data), "# the left one") || !strings.Contains(string(data), "# soft")) {
			t.Errorf("seed %d: a comment is lost:\n%s", seed, data)
		}
	}
}
