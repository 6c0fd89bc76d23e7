package chase

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"lampblack/wire/midi"
	"lampblack/wire/timecode"
)

// tape is another machine whose timecode we hear: at every instant it has a
// position, or is silent.
type tape struct {
	pieces []piece
}

// piece is a stretch of time: from an instant on the tape runs from p.
type piece struct {
	at, p  time.Duration
	silent bool
	run    time.Duration // when the run began that this continues
}

// roughTape runs for a length with random dropouts of 50 ms to 1.9 s and jumps,
// at least 3 s apart from each other.
func roughTape(seed uint64, length time.Duration, dropouts, jumps int) tape {
	rng := rand.New(rand.NewPCG(seed, 7))
	events := make([]bool, dropouts+jumps) // true for a jump
	for i := range jumps {
		events[i] = true
	}
	rng.Shuffle(len(events), func(i, j int) { events[i], events[j] = events[j], events[i] })
	var t tape
	base := 10 * time.Hour
	t.pieces = append(t.pieces, piece{p: base})
	step := length / time.Duration(len(events)+1)
	for i, jump := range events {
		at := step*time.Duration(i+1) + time.Duration(rng.Int64N(int64(step/4)))
		if jump {
			base = time.Duration(rng.Int64N(int64(23 * time.Hour)))
			t.pieces = append(t.pieces, piece{at: at, p: base, run: at})
			base -= at
			continue
		}
		now := t.pieces[len(t.pieces)-1]
		gap := 50*time.Millisecond + time.Duration(rng.Int64N(int64(1850*time.Millisecond)))
		t.pieces = append(t.pieces, piece{at: at, p: now.p + at - now.at, silent: true, run: now.run}, piece{at: at + gap, p: now.p + at + gap - now.at, run: now.run})
	}
	return t
}

// at returns the tape's position at an instant, for silence the one it would
// have, and since when it runs from where it does.
func (t tape) at(now time.Duration) (p time.Duration, silent bool, since time.Duration) {
	i, found := slices.BinarySearchFunc(t.pieces, now, func(x piece, v time.Duration) int { return int(min(max(x.at-v, -1), 1)) })
	if !found {
		i--
	}
	x := t.pieces[i]
	return x.p + now - x.at, x.silent, x.run
}

// verdict is how well a tape was followed.
type verdict struct {
	worst          time.Duration // while locked or freewheeling, half a second after each jump and later
	firstLock      time.Duration
	slowest        time.Duration // lock after a jump
	unlocked       time.Duration // time neither locked nor freewheeling
	jumps          int
	farWhileLocked time.Duration // time that it claimed to be locked and was more than 40 ms off
}

// judge looks at the follower's position at every frame of 44 a second, as the
// light does, and compares it with the tape's.
type judge struct {
	tape tape
	v    verdict
	next time.Duration
	good time.Duration // the instant since which it is right, of the present piece
	of   time.Duration
}

func (j *judge) look(f *Follower, zero time.Time, until time.Duration) {
	for ; j.next < until; j.next += time.Second / 44 {
		p, _, since := j.tape.at(j.next)
		s := f.At(zero.Add(j.next))
		off := (s.Position - p).Abs()
		claims := s.State == Locked || s.State == Freewheeling
		if since != j.of {
			j.of, j.good = since, 0
		}
		if claims && off <= Tolerance && j.good == 0 {
			j.good = j.next
			if since == 0 {
				j.v.firstLock = j.next
			} else {
				j.v.slowest = max(j.v.slowest, j.next-since)
			}
		}
		if !claims {
			j.v.unlocked += time.Second / 44
		}
		if claims && off > Tolerance {
			j.v.farWhileLocked += time.Second / 44
		}
		if claims && j.next-since > 500*time.Millisecond {
			j.v.worst = max(j.v.worst, off)
		}
		j.v.jumps = s.Jumps
	}
}

func checkVerdict(t *testing.T, name string, v verdict, jumps int) {
	t.Helper()
	t.Logf("%s: first lock after %v, after a jump %v at the latest; once locked at most %v off; %v far off before jumps were noticed", name,
		v.firstLock.Round(time.Millisecond), v.slowest.Round(time.Millisecond), v.worst.Round(10*time.Microsecond), v.farWhileLocked.Round(time.Millisecond))
	if v.firstLock > 500*time.Millisecond || v.slowest > 500*time.Millisecond {
		t.Errorf("%s: locked after %v, %v after a jump, want 0.5 s at most", name, v.firstLock, v.slowest)
	}
	if v.worst > Tolerance {
		t.Errorf("%s: %v off while locked, want 40 ms at most", name, v.worst)
	}
	if v.jumps != jumps {
		t.Errorf("%s: %d jumps noticed, want %d", name, v.jumps, jumps)
	}
}

// MIDI time code with 3 ms of jitter, 50 dropouts and 10 jumps, at all rates,
// byte by byte as a port delivers it.
func TestFollowsRoughMIDITimeCode(t *testing.T) {
	for _, r := range timecode.Rates {
		const length = 10 * time.Minute
		rng := rand.New(rand.NewPCG(3, uint64(r)))
		f := NewFollower("test", 0, Loss{})
		in := MIDIInput{Follower: f}
		zero := time.Unix(1000, 0)
		j := judge{tape: roughTape(uint64(r)+1, length, 50, 10)}
		num, den := r.Fraction()
		quarterLong := time.Duration(int64(time.Second) * den / (4 * num))
		for now := time.Duration(0); now < length; now += quarterLong {
			// The quarter frame that is due next after now, and when.
			p, silent, _ := j.tape.at(now)
			n := int64(p/quarterLong) + 1
			at := now + quarterTime(r, n) - p
			if q, s2, _ := j.tape.at(at); s2 || silent || (q-quarterTime(r, n)).Abs() > time.Millisecond {
				continue
			}
			piece, nibble := r.Quarter(n)
			jitter := time.Duration(rng.Int64N(int64(3 * time.Millisecond)))
			j.look(f, zero, at+jitter)
			in.Feed(zero.Add(at+jitter), midi.QuarterFrame{Piece: piece, Nibble: nibble}.Append(nil))
		}
		checkVerdict(t, "MIDI time code "+r.String(), j.v, 10)
	}
}

// Linear timecode with noise at 20 dB, in blocks of 1024 samples that arrive up
// to 5 ms late. With LAMPBLACK_LONG=1 as many dropouts and jumps as above.
func TestFollowsRoughLinearTimecode(t *testing.T) {
	for _, r := range timecode.Rates {
		length, dropouts, jumps := 36*time.Second, 5, 1
		if os.Getenv("LAMPBLACK_LONG") != "" {
			length, dropouts, jumps = 10*time.Minute, 50, 10
		}
		const fs = 16000
		rng := rand.New(rand.NewPCG(4, uint64(r)))
		f := NewFollower("test", 0, Loss{})
		in := NewAudioInput(f, fs, r)
		zero := time.Unix(1000, 0)
		j := judge{tape: roughTape(uint64(r)+11, length, dropouts, jumps)}
		var enc *timecode.Encoder
		var skip []float32
		of := time.Duration(-1)
		block := make([]float32, 1024)
		for n := 0; time.Duration(n)*time.Second/fs < length; n += len(block) {
			now := time.Duration(n) * time.Second / fs
			p, silent, since := j.tape.at(now)
			if of != since || enc == nil {
				// The tape runs from a frame's beginning: throw away what of
				// it lies before p.
				of = since
				start := r.Frame(r.Frames(p))
				enc, _ = timecode.NewEncoder(timecode.EncoderOptions{Start: start, SampleRate: fs})
				skip = make([]float32, int((p-start.Offset()).Seconds()*fs+.5))
				enc.Read(skip)
			}
			enc.Read(block)
			for i := range block {
				if silent {
					block[i] = 0
				}
				block[i] += 0.05 * float32(rng.NormFloat64())
			}
			arrival := now + time.Duration(len(block))*time.Second/fs + time.Duration(rng.Int64N(int64(5*time.Millisecond)))
			j.look(f, zero, arrival)
			in.Feed(zero.Add(arrival), block)
		}
		checkVerdict(t, "linear timecode "+r.String(), j.v, jumps)
	}
}

func TestFreewheelAndLoss(t *testing.T) {
	f := NewFollower("test", time.Hour, Loss{})
	zero := time.Unix(1000, 0)
	at := func(d time.Duration) Status { return f.At(zero.Add(d)) }
	if s := at(0); s.State != Waiting || s.Position != 0 {
		t.Errorf("at first: %+v", s)
	}
	for i := range 100 {
		d := time.Duration(i) * 10 * time.Millisecond
		f.Mark(zero.Add(d), time.Hour+d)
	}
	end := 990 * time.Millisecond
	for _, c := range []struct {
		after time.Duration
		state State
		pos   time.Duration
	}{
		{0, Locked, end},
		{100 * time.Millisecond, Locked, end + 100*time.Millisecond},
		{time.Second, Freewheeling, end + time.Second},
		{Freewheel, Freewheeling, end + Freewheel},
		{time.Minute, Lost, end + Freewheel},
	} {
		if s := at(end + c.after); s.State != c.state || (s.Position-c.pos).Abs() > time.Millisecond {
			t.Errorf("%v after the last mark: %v at %v, want %v at %v", c.after, s.State, s.Position, c.state, c.pos)
		}
	}
	f.Locate(zero.Add(time.Hour), 2*time.Hour)
	if s := at(2 * time.Hour); s.State != Standing || s.Position != time.Hour {
		t.Errorf("after a full message: %+v", s)
	}
	f.Locate(zero.Add(3*time.Hour), 0)
	if s := at(3 * time.Hour); s.Position != 0 {
		t.Errorf("before the show's beginning: %v, want 0", s.Position)
	}
}

// A tape that runs 3 % fast is followed at its speed, and freewheels at it.
func TestFollowsSpeed(t *testing.T) {
	f := NewFollower("test", 0, Loss{})
	zero := time.Unix(1000, 0)
	var d time.Duration
	for d = 0; d < 5*time.Second; d += 10 * time.Millisecond {
		f.Mark(zero.Add(d), time.Duration(1.03*float64(d)))
	}
	s := f.At(zero.Add(d + time.Second))
	want := time.Duration(1.03 * float64(d+time.Second))
	if (s.Position-want).Abs() > 5*time.Millisecond || s.Speed < 1.029 || s.Speed > 1.031 {
		t.Errorf("%v at speed %v, want %v at 1.03", s.Position, s.Speed, want)
	}
}

// Over midnight the timecode begins again and the show goes on.
func TestMidnight(t *testing.T) {
	f := NewFollower("test", 23*time.Hour, Loss{})
	zero := time.Unix(1000, 0)
	for i := range 400 {
		d := time.Duration(i) * 10 * time.Millisecond
		f.Mark(zero.Add(d), (24*time.Hour-2*time.Second+d)%(24*time.Hour))
	}
	s := f.At(zero.Add(3990 * time.Millisecond))
	if want := time.Hour + 1990*time.Millisecond; (s.Position-want).Abs() > time.Millisecond || s.Jumps != 0 {
		t.Errorf("%v after %d jumps, want %v", s.Position, s.Jumps, want)
	}
}

func TestHold(t *testing.T) {
	f := NewFollower("test", 0, Loss{})
	for i := range 10 {
		f.Mark(time.Now().Add(time.Duration(i-10)*10*time.Millisecond), time.Hour+time.Duration(i)*10*time.Millisecond)
	}
	f.Hold(time.Now())
	p := f.Read(time.Now()).Position
	f.Mark(time.Now(), 2*time.Hour)
	if q := f.Read(time.Now()).Position; q != p {
		t.Errorf("held at %v, then %v", p, q)
	}
	f.Run(time.Now(), 0)
	if q := f.Read(time.Now()).Position; q == p {
		t.Error("it is still held")
	}
}

func TestOneWildMarkIsNotFollowed(t *testing.T) {
	f := NewFollower("test", 0, Loss{})
	zero := time.Unix(1000, 0)
	for i := range 200 {
		d := time.Duration(i) * 10 * time.Millisecond
		p := time.Hour + d
		if i%17 == 5 {
			p += time.Duration(i) * time.Second
		}
		f.Mark(zero.Add(d), p)
		if s := f.At(zero.Add(d)); i > 4 && (s.Position-time.Hour-d).Abs() > time.Millisecond {
			t.Fatalf("mark %d: %v, want %v", i, s.Position, time.Hour+d)
		}
	}
}

func FuzzMIDIInput(f *testing.F) {
	f.Add([]byte{0xF1, 0, 0xF1, 0x11, 0xF0, 0x7F, 0x7F, 1, 1, 0x61, 0x25, 0x34, 0x10, 0xF7})
	f.Fuzz(func(t *testing.T, b []byte) {
		fl := NewFollower("fuzz", 0, Loss{})
		in := MIDIInput{Follower: fl, Other: func(time.Time, []byte) {}}
		at := time.Unix(0, 0)
		for i := range b {
			at = at.Add(time.Duration(b[i]) * time.Millisecond)
			in.Feed(at, b[i:i+1])
			if s := fl.At(at); s.Position < 0 || s.Position > day {
				t.Fatal(s)
			}
		}
	})
}

func ExampleStatus() {
	fmt.Println(Status{State: Locked, Off: 1200 * time.Microsecond, Jitter: 800 * time.Microsecond, Speed: 1.0001})
	// Output: locked, last mark +1.2 ms off, jitter 0.8 ms, speed +0.01 %
}
