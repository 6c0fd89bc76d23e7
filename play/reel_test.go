package play

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"lampblack/play/clock"

	"pgregory.net/rapid"
)

// all reads frames of a reel in pieces of any length.
func (r *reel) all(frames int64, pieces *rand.Rand) []int16 {
	c := r.track.channels
	out := make([]int16, 0, int(frames)*c)
	for int64(len(out)) < frames*int64(c) {
		buf := make([]int16, (1+pieces.IntN(3000))*c)
		n := r.read(buf)
		out = append(out, buf[:n*c]...)
		if n < len(buf)/c {
			break
		}
	}
	return out[:min(len(out), int(frames)*c)]
}

func pieces() *rand.Rand { return rand.New(rand.NewPCG(12, 1)) }

// counting is a track whose samples are their own numbers, so that what is heard tells
// where it came from.
func counting(rate, frames int) *pcm {
	p := &pcm{rate: rate, channels: 1, samples: make([]int16, frames)}
	for i := range p.samples {
		p.samples[i] = int16(i)
	}
	return p
}

// Away from its joins a reel is what a hand plays that goes back at the end of each pass,
// frame by frame, and it goes on behind the last. The loops lie on whole frames here, at
// 1000 a second, and all of it is the same in pieces of any length.
func TestReelIsPlayedByHand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		track := counting(1000, rapid.IntRange(900, 2500).Draw(t, "frames"))
		var loops []clock.Loop
		var passes []int
		for at := 0; len(loops) < 3; {
			from := at + rapid.SampledFrom([]int{0, 3, 30, 200}).Draw(t, "gap")
			to := from + rapid.IntRange(100, 400).Draw(t, "length")
			if to > len(track.samples) {
				break
			}
			loops = append(loops, clock.Loop{From: time.Duration(from) * time.Millisecond, To: time.Duration(to) * time.Millisecond})
			passes = append(passes, rapid.IntRange(1, 4).Draw(t, "passes"))
			at = to
		}
		r := wound(track, loops...)
		r.pass(passes)

		// By hand; near is how far a frame is from a splice.
		var want, near []int
		at, left := 0, append([]int(nil), passes...)
		for at < len(track.samples) {
			want = append(want, at)
			near = append(near, 1000)
			at++
			for i, l := range loops {
				if at == int(l.To/time.Millisecond) && left[i] > 1 {
					left[i]--
					at = int(l.From / time.Millisecond)
					near[len(near)-1] = 0
				}
			}
		}
		for i, spliced := range near {
			for d := -16; spliced == 0 && d <= 16; d++ {
				if i+d >= 0 && i+d < len(near) && near[i+d] != 0 {
					near[i+d] = 1
				}
			}
		}
		heard := r.all(int64(len(want)+100), pieces())
		if len(heard) != len(want) {
			t.Fatalf("%v, %v: %d frames, want %d", loops, passes, len(heard), len(want))
		}
		for i, w := range want {
			if near[i] == 1000 && int(heard[i]) != w {
				t.Fatalf("%v, %v: frame %d is %d of the track, want %d", loops, passes, i, heard[i], w)
			}
		}
		from := rapid.IntRange(0, len(want)-1).Draw(t, "jump")
		again := r.at(time.Duration(from) * time.Millisecond)
		for i, v := range again.all(int64(len(want)), pieces()) {
			if v != heard[from+i] {
				t.Fatalf("%v, %v: after a jump to %d frame %d is %d, want %d", loops, passes, from, i, v, heard[from+i])
			}
		}
	})
}

// Loops that lie on no frames, at any rate, are what the line says: outside of the fades
// each frame is within one of its place on the track, a jump hears the same, and the end
// is where it should be.
func TestReelBetweenFrames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]int{1, 7, 40, 1000, 8000, 44100}).Draw(t, "rate")
		track := counting(rate, min(3*rate, 30000))
		grid := rapid.SampledFrom([]time.Duration{1, 500 * time.Microsecond}).Draw(t, "grid") // the latter half a frame at 1 kHz
		var loops []clock.Loop
		var passes []int
		for at := time.Duration(0); len(loops) < 3; {
			draw := func(what string) time.Duration {
				return time.Duration(rapid.Int64Range(0, int64(time.Second/grid)).Draw(t, what)) * grid
			}
			l := clock.Loop{From: at}
			if rapid.Bool().Draw(t, "apart") {
				l.From += draw("gap")
			}
			l.To = l.From + clock.MinLoop + draw("length")
			if l.To > track.length() {
				break
			}
			loops, passes, at = append(loops, l), append(passes, rapid.IntRange(1, 4).Draw(t, "passes")), l.To
		}
		r := wound(track, loops...)
		r.pass(passes)
		heard := r.all(1_000_000, pieces())
		if off := int64(len(heard)) - track.frame(r.end()); off < -1 || off > 1 {
			t.Fatalf("%d frames, the end is at %v", len(heard), r.end())
		}
		fade := joinTime + 3*time.Second/time.Duration(rate)
		for i, v := range heard {
			at := track.time(int64(i))
			p := r.line.Place(at)
			if p.Loop >= 0 {
				l := loops[p.Loop]
				if p.Track-l.From < fade && p.Pass > 1 || l.To-p.Track < fade {
					continue
				}
			}
			if off := int64(v) - track.frame(p.Track); off < -1 || off > 1 {
				t.Fatalf("loops %v, passes %v, rate %d: frame %d is %d, want %d", loops, passes, rate, i, v, track.frame(p.Track))
			}
		}
		from := track.frame(time.Duration(rapid.Int64Range(0, int64(r.end())).Draw(t, "jump")))
		for i, v := range r.at(track.time(from)).all(1_000_000, pieces()) {
			if v != heard[from+int64(i)] {
				t.Fatalf("loops %v, passes %v: after a jump to %d frame %d is %d, want %d", loops, passes, from, i, v, heard[from+int64(i)])
			}
		}
	})
}

// What is heard in a loop comes back one length of it later for ever: to the frame where
// the length is a whole number of frames, and otherwise to the nearest, for ten thousand
// passes and without a drift.
func TestPassesDoNotDrift(t *testing.T) {
	const rate, passes = 8000, 10_000
	for _, length := range []time.Duration{125 * time.Millisecond, 137*time.Millisecond + 777*time.Microsecond, 100*time.Millisecond + time.Nanosecond} {
		track := &pcm{rate: rate, channels: 1, samples: make([]int16, rate)}
		loop := clock.Loop{From: 200*time.Millisecond + 33*time.Microsecond}
		loop.To = loop.From + length
		const click = .25 // s on the track
		track.samples[click*rate] = 30000
		track.samples[rate-100] = 12345 // behind the loop
		r := wound(track, loop)
		r.pass([]int{passes})
		heard, worst := 0, 0.
		at := int64(0)
		buf := make([]int16, 4096)
		for n := r.read(buf); n > 0; n = r.read(buf) {
			for i, v := range buf[:n] {
				frame := float64(at + int64(i))
				switch v {
				case 30000:
					exact := (click + length.Seconds()*float64(heard)) * rate
					worst = max(worst, math.Abs(frame-exact))
					heard++
				case 12345:
					exact := rate - 100 + length.Seconds()*(passes-1)*rate
					worst = max(worst, math.Abs(frame-exact))
				}
			}
			at += int64(n)
		}
		if end := r.track.frame(r.end()); heard != passes || at != end {
			t.Errorf("a loop of %v was heard %d times in %d frames, want %d in %d", length, heard, at, passes, end)
		}
		t.Logf("a loop of %v, %d passes: a click is at most %.3f frames from its place", length, heard, worst)
		if whole := length == 125*time.Millisecond; worst > .501 || whole && worst > 1e-6 {
			t.Errorf("a loop of %v: a click is %.3f frames from its place, want 0.5 at the most", length, worst)
		}
	}
}

// A release in time is heard at the end of this pass; one for which the device has taken
// too much already, a pass later; and the reel makes as many as it said.
func TestReleaseOfAReel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		track := counting(1000, 1000)
		r := wound(track, clock.Loop{From: 200 * time.Millisecond, To: 400 * time.Millisecond})
		taken := rapid.Int64Range(0, 3000).Draw(t, "taken")
		ahead := rapid.Int64Range(0, 500).Draw(t, "ahead")
		heard := r.all(taken, pieces())
		r.next = int64(len(heard)) // all took whole pieces
		n := r.release(time.Duration(max(taken-ahead, 0))*time.Millisecond, true)
		heard = append(heard, r.all(10_000, pieces())...)
		if want := 1000 + (n-1)*200; len(heard) != want {
			t.Errorf("with %d frames taken it said %d passes, and is %d frames long, want %d", taken, n, len(heard), want)
		}
		planned := wound(track, clock.Loop{From: 200 * time.Millisecond, To: 400 * time.Millisecond})
		planned.pass([]int{n})
		if !slices.Equal(heard, planned.all(10_000, pieces())) {
			t.Errorf("with %d frames taken it said %d passes, and what is heard are not those", taken, n)
		}
		if most := max(int(taken+15-200)/200+1, 1); n > most {
			t.Errorf("with %d frames taken it makes %d passes, want %d", taken, n, most)
		}
	})
}

func TestReelRefusesLoopsBehindTheTrack(t *testing.T) {
	_, err := newReel(counting(1000, 1000), []clock.Loop{{From: 0, To: 1001 * time.Millisecond}})
	if err == nil || err.Error() != "loop 1 ends at 1.001s: behind the track, which is 1s long" {
		t.Error(err)
	}
}
