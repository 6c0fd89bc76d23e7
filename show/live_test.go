package show

import (
	"math"
	"strings"
	"testing"
	"time"

	"lampblack/evening"
	"lampblack/living"
	"lampblack/score"
	"lampblack/soundtrack"
	"lampblack/source"
)

// heardHall is a hall without a soundtrack, whose look has a part that lives by what is heard, and
// in silence as the look of the name does.
func heardHall(t testing.TB, lives, silent string) *Show {
	t.Helper()
	sc, faults := score.Read("score.yaml", []byte(`looks:
  night: {system: front, colour: "#2030ff", level: 20 %}
  alive:
    parts:
      - {system: front, colour: "#ffffff", level: 80 %, `+lives+`}
  still: {system: front, colour: "#ffffff", level: 50 %}
cues:
  - {cue: 1, at: 0:00, look: alive}
  - {cue: 2, at: 1:00, look: still, up: 4 s}
`))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	hall := *aliveHall(t, 4, "on the beat: {every: 2 s}", nil)
	hall.Track = nil
	hall.Bill.Live = Live{From: source.Ref{Name: "default"}, Silent: source.Ref{Name: silent}}
	s, faults := hall.With(sc)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// A hit that is heard lights up the frame at which it is known, on a standing look too, whose place
// on the line does not move; every way of moving that goes by sound goes by what is heard; and
// without an ear all is as it was.
func TestLightGoesByWhatIsHeard(t *testing.T) {
	for name, lives := range map[string]string{
		"on the beat":       "on the beat: {every: beat, fall: 300 ms}",
		"in turn":           "in turn: {every: beat}",
		"through the room":  "through the room: {direction: left to right, every: beat, speed: 8 m/s}",
		"follows the sound": "follows the sound: {of: low, rise: 0 s, fall: 200 ms}",
	} {
		s := heardHall(t, lives, "")
		if !s.Hears() {
			t.Errorf("%s does not hear", name)
			continue
		}
		ear := living.NewEar()
		f := s.NewFrame()
		stands := evening.State{In: 10 * time.Second} // as while it waits for go
		moved, dark := false, true
		before := float32(-1)
		for i := range 1000 {
			now := time.Duration(i) * 20 * time.Millisecond
			h := soundtrack.Heard{At: now, Hits: int(now / (700 * time.Millisecond)), Share: [4]float32{float32(.5 + .5*math.Sin(now.Seconds()*6))}}
			ear.Hear(h, now)
			ear.Go(now)
			s.AtHeard(f, stands, ear)
			x := f.Levels[0]
			moved = moved || before >= 0 && x != before
			dark = dark && x == 0
			before = x
		}
		if !moved || dark {
			t.Errorf("%s: it stands while it hears", name)
		}
		s.AtState(f, stands)
		x := f.Levels[0]
		if s.AtState(f, stands); f.Levels[0] != x {
			t.Errorf("%s: without an ear it is no function of the state", name)
		}
	}
}

// What goes by a soundtrack, or by time, or not by sound, does not listen.
func TestSoundtrackIsNotHeardLive(t *testing.T) {
	if s := aliveHall(t, 4, "on the beat: {every: beat}", beating(120, 60)); s.Hears() {
		t.Error("a piece with a soundtrack goes by live sound")
	}
	for _, lives := range []string{"lives like: candle", "on the beat: {every: 2 s}"} {
		if s := heardHall(t, lives, ""); s.Hears() {
			t.Errorf("%s goes by live sound", lives)
		}
	}
}

// In silence the look that is named stands, over a slow fade, in what goes by sound alone; a cue
// that comes meanwhile takes over without a step.
func TestLookInSilence(t *testing.T) {
	s := heardHall(t, "follows the sound: {of: low}", "night")
	ear := living.NewEar()
	f := s.NewFrame()
	night := s.Looks[s.Score.Looks.Index("night")].Levels
	still := s.Looks[s.Score.Looks.Index("still")].Levels
	worst, before := 0.0, []float32(nil)
	at := func(in, now time.Duration) {
		ear.Hear(soundtrack.Heard{At: now, Silent: true}, now)
		ear.Go(now)
		s.AtHeard(f, evening.State{In: in}, ear)
	}
	for now := time.Duration(0); now < 80*time.Second; now += 20 * time.Millisecond {
		at(now, now)
		switch {
		case now > 10*time.Second && now < 60*time.Second:
			for d := range night {
				if f.Levels[d] != night[d] {
					t.Fatalf("at %v drive %d is at %v, not %v", now, d, f.Levels[d], night[d])
				}
			}
		case now > 64*time.Second:
			for d := range still {
				if f.Levels[d] != still[d] {
					t.Fatalf("at %v drive %d is at %v, not %v", now, d, f.Levels[d], still[d])
				}
			}
		}
		if now > 10*time.Second && before != nil {
			for d := range before {
				worst = max(worst, math.Abs(float64(f.Levels[d]-before[d])))
			}
		}
		before = append(before[:0], f.Levels...)
	}
	if worst > .02 {
		t.Errorf("a step of %.3f in 20 ms", worst)
	}
}

func TestHeardAllocatesNothing(t *testing.T) {
	s := heardHall(t, "on the beat: {every: beat}", "night")
	ear := living.NewEar()
	f := s.NewFrame()
	now := time.Duration(0)
	frame := func() {
		now += 20 * time.Millisecond
		ear.Hear(soundtrack.Heard{At: now, Hits: int(now / time.Second)}, now)
		ear.Go(now)
		s.AtHeard(f, evening.State{In: time.Second}, ear)
	}
	frame()
	if n := testing.AllocsPerRun(300, frame); n != 0 {
		t.Errorf("%v allocations a frame", n)
	}
}

func TestLiveFaults(t *testing.T) {
	for text, want := range map[string]string{
		"live sound: {from: default}\n":                                    "",
		"live sound: {from: USB Audio, when silent: night, record: yes}\n": "",
		"live sound: {when silent: night}\n":                               "does not say which sound input",
		"live sound: {record: yes}\n":                                      "does not say which sound input",
		"live sound: {from: default, when silent: nowhere}\n":              `there is no look "nowhere" to stand when live sound falls silent`,
		"live sound: {from: default, record: perhaps}\n":                   "perhaps",
		"live sound: {form: default}\n":                                    "form",
	} {
		_, faults := Read(hallWith(map[string]string{BillFile: "title: t\n" + text, "score.yaml": "looks:\n  night: {system: front, level: 20 %}\ncues:\n  - {cue: 1, at: 0:00, look: night}\n"}))
		if said := faults.Err(); (want == "") != (said == nil) || said != nil && !strings.Contains(said.Error(), want) {
			t.Errorf("%q: %v, want %q", text, said, want)
		}
	}
}
