package governor

import (
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"lampblack/check/seen"
	"lampblack/evening"
	"lampblack/living"
	"lampblack/score"
	"lampblack/soundtrack"
)

// noisy is sound that is meant to make light flash: clicks at every rate, sweeps, bursts of noise,
// silence, music-like strokes whose tempo jumps, and loudness that swings.
type noisy struct {
	random      *rand.Rand
	kind        int
	hz, to      float64
	level       float64
	phase, tone float64
	stroke      float64
	left        int // samples of what goes on
	rate        float64
}

const kindsOfNoise = 8

func (n *noisy) next() float32 {
	if n.left--; n.left <= 0 {
		n.left = int(n.rate * (1 + 7*n.random.Float64()))
		n.kind = n.random.IntN(kindsOfNoise)
		n.hz = .5 * math.Pow(60, n.random.Float64())
		n.to = .5 * math.Pow(60, n.random.Float64())
		n.level = math.Pow(10, -2*n.random.Float64())
	}
	noise := 2*n.random.Float64() - 1
	if n.kind == 2 { // from one rate to another
		n.hz += (n.to - n.hz) / n.rate
	}
	n.phase += n.hz / n.rate
	struck := n.phase >= 1
	if struck {
		n.phase--
		n.stroke = 1
		if n.kind == 4 && n.random.IntN(8) == 0 { // the tempo jumps
			n.hz = 1 + 3*n.random.Float64()
		}
	}
	n.stroke *= 1 - 20/n.rate
	n.tone += 2 * math.Pi * (40 + 6000*n.phase) / n.rate
	switch n.kind {
	case 0:
		return 0
	case 1, 2, 4: // strokes
		return float32(n.level * n.stroke * noise)
	case 3: // bursts
		if n.phase < .5 {
			return float32(n.level * noise)
		}
		return 0
	case 5: // a sweep of pitch, again and again
		return float32(n.level * math.Sin(n.tone))
	case 6: // loudness swings
		return float32(n.level * noise * math.Pow(.5+.5*math.Sin(2*math.Pi*n.phase), 4))
	}
	return float32(n.level * noise) // steady
}

// What is sent of light that goes by live sound passes the limits, whatever is heard, as the checks
// count them; without the governor some of it would not.
func TestNothingHeardGoesOver(t *testing.T) {
	minutes := 1
	if os.Getenv("LAMPBLACK_LONG") != "" {
		minutes = 60
	}
	whole := hall(t, 8, 3)
	whole.Track = nil
	moves := []string{"on the beat: {every: beat, fall: 150 ms}", "in turn: {every: beat, overlap: 20 %}", "through the room: {direction: left to right, every: off-beat, speed: 12 m/s, length: 1 m}",
		"follows the sound: {of: low, rise: 0 s, fall: 0 s}", "follows the sound: {of: all, rise: 0 s, fall: 60 ms}, on the beat: {every: beat, fall: 100 ms, from: night}"}
	var text strings.Builder
	text.WriteString("looks:\n  night: {system: all, colour: red, level: 60 %}\n")
	for i, m := range moves {
		text.WriteString("  l" + string(rune('0'+i)) + ":\n    parts: [{system: all, colour: white, level: 100 %, " + m + "}]\n")
	}
	text.WriteString("cues:\n")
	for i := range moves {
		text.WriteString("  - {cue: " + string(rune('1'+i)) + ", at: " + string(rune('0'+i)) + "0 s, look: l" + string(rune('0'+i)) + "}\n")
	}
	sc, faults := score.Read("score.yaml", []byte(text.String()))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := whole.With(sc)
	if faults.Err() != nil || !s.Hears() {
		t.Fatal(faults)
	}
	e := seen.New(s.Transport, s.Rig)
	const (
		rate    = 44
		samples = 16000
	)
	n := &noisy{random: rand.New(rand.NewPCG(15, 8)), rate: samples}
	live, ear, g, f := soundtrack.NewLive(samples, 1), living.NewEar(), New(s.Transport, s.Rig, Allowed{}), s.NewFrame()
	piece := make([]float32, samples/100)
	fed := 0
	sure, held, over, worstUnits, worstEye := 0, 0, 0, 0, 0
	var bare, out seen.Light
	for m := range minutes {
		// Minutes are counted one by one, each with the end of the one before: what a change
		// comes from dates it.
		last(&bare, 10*rate)
		last(&out, 10*rate)
		cue := 0
		for i := range 60 * rate {
			at := time.Duration(float64(m*60*rate+i) / rate * 1e9)
			for ; time.Duration(fed)*10*time.Millisecond < at; fed++ {
				for k := range piece {
					piece[k] = n.next()
				}
				live.Feed(piece)
				heard := live.Heard()
				ear.Hear(heard, heard.At)
			}
			ear.Go(at)
			if i%(7*rate) == 0 {
				cue = n.random.IntN(len(moves))
			}
			s.AtHeard(f, evening.State{In: time.Duration(cue)*10*time.Second + 5*time.Second, Living: at}, ear)
			if strings.HasSuffix(ear.String(), "sure") && strings.Contains(ear.String(), "minute") {
				sure++
			}
			bare.Times, bare.Levels, bare.Rates = append(bare.Times, at), append(bare.Levels, append([]float32(nil), f.Levels...)), append(bare.Rates, append([]float32(nil), f.Flash...))
			levels, rates := append([]float32(nil), f.Levels...), append([]float32(nil), f.Flash...)
			if g.Pass(at, levels, rates, none) > 0 {
				held++
			}
			out.Times, out.Levels, out.Rates = append(out.Times, at), append(out.Levels, levels), append(out.Rates, rates)
		}
		units, eye, by := worst(s, e, &out)
		worstUnits, worstEye = max(worstUnits, units), max(worstEye, eye)
		if units > mostUnits || eye > mostEye {
			w, _ := e.Over(&out).Worst(0, by)
			t.Errorf("minute %d: %d flashes over all units, %d to an eye, by %v, from %v", m, units, eye, by, w.From)
		}
		if units, eye, _ := worst(s, e, &bare); units > mostUnits || eye > mostEye {
			over++
		}
	}
	t.Logf("%d min: %d frames held, at most %d flashes over all units and %d to an eye in a second; without the governor %d of the minutes are over; a beat is sure in %.0f %%", minutes, held, worstUnits, worstEye, over, 100*float64(sure)/float64(minutes*60*rate))
	if over == 0 || held == 0 || sure == 0 {
		t.Errorf("it is no test: %d minutes over without the governor, %d frames held, %d with a sure beat", over, held, sure)
	}
}

// last leaves so many corners of a light.
func last(l *seen.Light, n int) {
	from := max(len(l.Times)-n, 0)
	l.Times, l.Levels, l.Rates = l.Times[from:], l.Levels[from:], l.Rates[from:]
}
