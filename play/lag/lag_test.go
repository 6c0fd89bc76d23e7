package lag_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"lampblack/play/lag"
)

// phone is a made camera and microphone.
type phone struct {
	rate, readout, exposure float64 // frames a second, s, s
	bend                    float64 // exponent of coding
	dropped                 float64 // share of frames
	stamped                 float64 // s that frames are dated late by chance
	grain                   float64 // noise of a band, of full scale
	gain                    float64 // by how much exposure control changes brightness over some seconds
	fast                    float64 // by how much its clock runs fast
	camera, microphone      float64 // s, delays of its own
	zero                    float64 // s of its clock at the show's zero
}

// hall is what is at a place.
type hall struct {
	light, sound float64 // s after they were sent
	cadence      float64 // s by chance that the light is later, as the wire's frames are
	dim, flash   float64 // light of the room and of the flash, of what blows the picture out
	lower        float64 // by how much less the bottom of the picture is lit
	click, room  float64 // levels of sound
	echo         float64 // of the click, decaying over 60 ms
}

func (h hall) behind() float64 { return h.sound - h.light - h.cadence/2 }

const (
	bands = 16
	bin   = .5e-3
)

// record is what the phone takes of the repeats.
func record(p phone, h hall, script []lag.Repeat, seed uint64) lag.Recording {
	rng := rand.New(rand.NewPCG(seed, 7))
	mine := func(show float64) float64 { return p.zero + show*(1+p.fast) }
	end := script[len(script)-1].Click + 1
	type burst struct{ from, to float64 }
	var lights []burst
	for _, r := range script {
		on := r.Flash + h.light + h.cadence*rng.Float64()
		lights = append(lights, burst{on, on + lag.FlashFor + h.cadence*(rng.Float64()-.5)})
	}
	out := lag.Recording{Bin: bin}
	for k := 0; ; k++ {
		at := -.5 + (float64(k)+rng.Float64()*0)/p.rate // show's time, for what it is
		if at > end {
			break
		}
		if rng.Float64() < p.dropped {
			continue
		}
		f := lag.Frame{At: mine(at) + p.camera + p.stamped*rng.ExpFloat64()}
		control := 1 + p.gain*math.Sin(at/3)
		for b := range bands {
			share, height := 0.0, (float64(b)+.5)/bands
			stop := at + height*p.readout
			for _, l := range lights {
				share += max(0, min(stop, l.to)-max(stop-p.exposure, l.from)) / p.exposure
			}
			light := control * (h.dim + h.flash*share*max(1-h.lower*height, 0))
			f.Rows = append(f.Rows, max(0, min(1, math.Pow(min(light, 1), p.bend)+p.grain*rng.NormFloat64())))
		}
		out.Frames = append(out.Frames, f)
	}
	const levels = 256
	var block lag.Block
	for t := -.5; t < end; t += bin {
		v := h.room * math.Abs(1+.4*rng.NormFloat64())
		for _, r := range script {
			switch d := t - r.Click - h.sound; {
			case d >= -bin && d < 8e-3:
				v += h.click * math.Sin(math.Pi*max(d, 0)/8e-3)
			case d >= 0 && d < .3:
				v += h.echo * h.click * math.Exp(-d/.06) * math.Abs(rng.NormFloat64())
			}
		}
		block.Levels = append(block.Levels, v)
		if len(block.Levels) == levels {
			block.At = mine(t+bin) + p.microphone + .004*rng.ExpFloat64()
			out.Blocks = append(out.Blocks, block)
			block = lag.Block{}
		}
	}
	return out
}

var usual = phone{rate: 30, readout: .02, exposure: .015, bend: .45, dropped: .02, stamped: .002, grain: .01, gain: .1, fast: 40e-6, camera: .06, microphone: .025, zero: 1234.5}

func seat(metres float64) hall {
	return hall{light: .02, sound: .012 + metres/343.2, cadence: .023, dim: .02, flash: .5, lower: .5, click: .1, room: .01, echo: .3}
}

// Sound takes 2.9 ms to the metre (343.2 m/s in air of 20 °C, ISO 9613-1, from memory): 15 m
// further back it comes 43.7 ms later, on every kind of phone, within 5 ms.
func TestTwoPlaces(t *testing.T) {
	const want = 43.7e-3
	script := lag.Script(60, 1)
	kinds := map[string]func(p *phone, front, back *hall){
		"a phone":                 func(*phone, *hall, *hall) {},
		"24 a second":             func(p *phone, _, _ *hall) { p.rate = 24; p.exposure = .04 },
		"25 a second":             func(p *phone, _, _ *hall) { p.rate = 25 },
		"60 a second":             func(p *phone, _, _ *hall) { p.rate = 60; p.readout = .012; p.exposure = .01 },
		"all at once":             func(p *phone, _, _ *hall) { p.readout = 0 },
		"read slowly":             func(p *phone, _, _ *hall) { p.readout = .03 },
		"upside down":             func(p *phone, _, _ *hall) { p.readout = -.02 },
		"short exposure":          func(p *phone, _, _ *hall) { p.exposure = .001 },
		"long exposure":           func(p *phone, _, _ *hall) { p.exposure = .033 },
		"frames are lost":         func(p *phone, _, _ *hall) { p.dropped = .1 },
		"dated badly":             func(p *phone, _, _ *hall) { p.stamped = .008 },
		"grainy":                  func(p *phone, _, _ *hall) { p.grain = .04 },
		"exposure control":        func(p *phone, _, _ *hall) { p.gain = .4 },
		"clock runs fast":         func(p *phone, _, _ *hall) { p.fast = 150e-6 },
		"blown out":               func(_ *phone, a, b *hall) { a.flash, b.flash = 2, 2 },
		"weak light":              func(_ *phone, a, b *hall) { a.flash, b.flash = .03, .03 },
		"a loud room":             func(_ *phone, a, b *hall) { a.room, b.room = .025, .025 },
		"an echo":                 func(_ *phone, _, b *hall) { b.echo = .8 },
		"lit above, at one place": func(_ *phone, _, b *hall) { b.lower = 3 },
	}
	for name, change := range kinds {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p, front, back := usual, seat(5), seat(20)
			change(&p, &front, &back)
			a, err := lag.Estimate(record(p, front, script, 3), script)
			if err != nil {
				t.Fatal("front:", err)
			}
			p.zero += 300
			b, err := lag.Estimate(record(p, back, script, 4), script)
			if err != nil {
				t.Fatal("back:", err)
			}
			got := lag.Between(a, b)
			miss := got.Best.Seconds() - want
			t.Logf("%v, misses by %.1f ms; rate %.2f, readout %v, exposure %v, %d seen, %d heard", got, miss*1000, a.Rate, a.Readout, a.Exposure, a.Flashes, a.Clicks)
			if math.Abs(miss) > .005 {
				t.Errorf("misses by %.1f ms", miss*1000)
			}
			// What cannot be told apart makes the interval wider: light in one part of the
			// picture alone, or rows that are read at once and leave gaps between frames.
			most := 5 * time.Millisecond
			if name == "all at once" || name == "blown out" || name == "lit above, at one place" {
				most = 7 * time.Millisecond
			}
			if got.Half() > most {
				t.Errorf("half width %v", got.Half())
			}
			if math.Abs(a.Rate-p.rate) > .05*p.rate {
				t.Errorf("%v frames a second, want %v", a.Rate, p.rate)
			}
		})
	}
}

// The 95 % interval holds the truth nearly as often as it says.
func TestIntervalsHold(t *testing.T) {
	n, least := 5, 4
	if os.Getenv("LAMPBLACK_LONG") != "" {
		n, least = 200, 176
	}
	hold, sum := 0, [2]float64{}
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 5))
		p := usual
		p.rate = []float64{24, 25, 30, 60}[rng.IntN(4)]
		p.readout = .005 + rng.Float64()*(min(.03, 1/p.rate)-.005)
		p.exposure = .001 + rng.Float64()*(min(.033, 1/p.rate)-.001)
		p.bend = .45 + .55*rng.Float64()
		script := lag.Script(60, uint64(i))
		front, back := seat(3+4*rng.Float64()), seat(8+20*rng.Float64())
		a, err := lag.Estimate(record(p, front, script, uint64(2*i)), script)
		if err != nil {
			t.Fatal(err)
		}
		// At the back of every other hall the exposure is another, and the light may be above alone; one camera
		// dates a frame by the end of an exposure, another by its beginning.
		beginning := rng.IntN(2) == 1
		was := p.exposure
		other := i % 2
		if other == 1 {
			p.exposure, back.lower = .001+rng.Float64()*(min(.033, 1/p.rate)-.001), 3*rng.Float64()
		}
		if beginning {
			p.camera += was - p.exposure
		}
		b, err := lag.Estimate(record(p, back, script, uint64(2*i+1)), script)
		if err != nil {
			t.Fatal(err)
		}
		want := back.behind() - front.behind()
		d := lag.Between(a, b)
		sum[other] += d.Half().Seconds()
		if d.Low.Seconds() <= want && want <= d.High.Seconds() {
			hold++
		} else {
			t.Logf("%d: %v, want %.1f ms (%.0f/s, readout %.1f, exposure %.1f ms, bend %.2f)", i, d, want*1000, p.rate, p.readout*1000, p.exposure*1000, p.bend)
		}
	}
	t.Logf("%d of %d hold the truth; half width in the mean %.1f ms, %.1f ms where the exposure changes", hold, n, sum[0]/float64(n-n/2)*1000, sum[1]/float64(n/2)*1000)
	if hold < least {
		t.Errorf("%d of %d intervals hold the truth", hold, n)
	}
}

// What is not there is not found: a room without clicks, a picture without flashes, nothing.
func TestNothingThere(t *testing.T) {
	script := lag.Script(60, 1)
	quiet, dark := seat(5), seat(5)
	quiet.click, dark.flash = 0, 0
	for name, c := range map[string]struct {
		r    lag.Recording
		want error
	}{
		"nothing":        {lag.Recording{Bin: bin}, lag.ErrNotHeard},
		"no clicks":      {record(usual, quiet, script, 1), lag.ErrNotHeard},
		"no flashes":     {record(usual, dark, script, 1), lag.ErrNotSeen},
		"another script": {record(usual, seat(5), lag.Script(60, 2), 1), lag.ErrNotHeard},
	} {
		if got, err := lag.Estimate(c.r, script); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, %v, want %v", name, got, err, c.want)
		}
	}
}

// There are never more than 3 flashes a second (W3C WCAG 2.2, 2.3.1, from memory), nor more
// than 1.5, which is our own.
func TestScriptIsSlow(t *testing.T) {
	for seed := range uint64(50) {
		s := lag.Script(60, seed)
		for i := range s {
			if d := math.Abs(s[i].Flash - s[i].Click); d > .02 {
				t.Fatalf("flash and click are %v s apart", d)
			}
			if i > 0 && s[i].Flash-s[i-1].Flash < 1/1.5 {
				t.Fatalf("seed %d: flashes %d and %d are %v s apart", seed, i-1, i, s[i].Flash-s[i-1].Flash)
			}
		}
	}
}

func ExampleBetween() {
	ms := time.Millisecond
	front := lag.Result{Behind: lag.Interval{Best: -20 * ms, Low: -22 * ms, High: -18 * ms}}
	back := lag.Result{Behind: lag.Interval{Best: 24 * ms, Low: 22 * ms, High: 26 * ms}}
	fmt.Println(lag.Between(front, back))
	// Output: 44.0 ms (41.2 to 46.8 ms)
}

// Somebody to whom what lies within 60 ms either way is together finds what is so to 20 ms.
func TestByEye(t *testing.T) {
	for _, behind := range []float64{-.12, -.03, 0, .044, .15} {
		e := lag.NewEye()
		answers := 0
		for !e.Done() {
			answers++
			switch after := behind + e.Early(); { // the sound after the light, at the ear
			case after > .06:
				e.Answer(lag.Light)
			case after < -.06:
				e.Answer(lag.Sound)
			default:
				e.Answer(lag.Together)
			}
		}
		got := e.Behind()
		if miss := got.Best.Seconds() - behind; math.Abs(miss) > .02 || got.Half() < 20*time.Millisecond || answers > 15 {
			t.Errorf("%v for %v after %d answers", got, behind, answers)
		}
	}
}
