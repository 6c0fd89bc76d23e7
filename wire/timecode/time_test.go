package timecode_test

import (
	"math/big"
	"strings"
	"testing"
	"time"

	"lampblack/wire/timecode"

	"pgregory.net/rapid"
)

func parse(t testing.TB, r timecode.Rate, s string) timecode.Time {
	t.Helper()
	tc, err := r.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return tc
}

// Drop frame as SMPTE ST 12-1 counts it: one hour of numbers is 107 892
// frames, 3599.9964 s; a day is 2 589 408 frames, 86.4 ms short of the clock.
// The pairs with 30 frames are those of MIDI Show Control 1.0, section 3.2,
// note 3: 00:22:00;02 is the frame 00:21:58:22 without drop.
func TestDropFrame(t *testing.T) {
	r := timecode.Rate2997Drop
	hour := parse(t, r, "01:00:00;00")
	if hour.Count() != 107892 || hour.Offset() != 3599996400*time.Microsecond {
		t.Errorf("one hour: frame %d, %v", hour.Count(), hour.Offset())
	}
	if r.Day() != 2589408 || 24*time.Hour-r.Duration(r.Day()) != 86400*time.Microsecond {
		t.Errorf("a day: %d frames, %v", r.Day(), r.Duration(r.Day()))
	}
	if a, b := parse(t, r, "00:22:00;02"), parse(t, timecode.Rate30, "00:21:58:22"); a.Count() != b.Count() {
		t.Errorf("00:22:00;02 is frame %d, 00:21:58:22 without drop is %d", a.Count(), b.Count())
	}
	for from, to := range map[string]string{"00:00:59;29": "00:01:00;02", "00:09:59;29": "00:10:00;00", "23:59:59;29": "00:00:00;00"} {
		if got := parse(t, r, from).Add(1).String(); got != to {
			t.Errorf("after %s comes %s, want %s", from, got, to)
		}
	}
}

// Every frame of a day has its own number, and Count undoes Frame.
func TestEveryFrameOfADay(t *testing.T) {
	for _, r := range timecode.Rates {
		before := r.Frame(-1)
		for n := range r.Day() {
			f := r.Frame(n)
			if f.Count() != n || f.Check() != nil || f == before {
				t.Fatalf("%v: frame %d is %v, which counts as %d (%v)", r, n, f, f.Count(), f.Check())
			}
			before = f
		}
		if f := r.Frame(r.Day()); f != r.Frame(0) {
			t.Errorf("%v: a day later is %v", r, f)
		}
	}
}

// Frames against exact rational arithmetic.
func TestFramesExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(timecode.Rates[:]).Draw(t, "rate")
		d := rapid.Int64Range(-int64(1000*time.Hour), int64(1000*time.Hour)).Draw(t, "time")
		num, den := r.Fraction()
		x := big.NewRat(d, int64(time.Second))
		x.Mul(x, big.NewRat(num, den))
		want := new(big.Int).Div(x.Num(), x.Denom()) // Euclidean: the floor
		if got := r.Frames(time.Duration(d)); got != want.Int64() {
			t.Fatalf("%v: Frames(%v) = %d, want %v", r, time.Duration(d), got, want)
		}
		n := rapid.Int64Range(-1e8, 1e8).Draw(t, "n")
		exact := new(big.Rat).Mul(big.NewRat(n, 1), big.NewRat(den*1e9, num))
		off := new(big.Rat).Sub(exact, big.NewRat(int64(r.Duration(n)), 1))
		if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
			t.Fatalf("%v: Duration(%d) = %v is more than half a nanosecond off", r, n, r.Duration(n))
		}
	})
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		rate timecode.Rate
		in   string
		says string
	}{
		{timecode.Rate25, "10:20:30:24", ""},
		{timecode.Rate2997Drop, "10:20:30;29", ""},
		{timecode.Rate25, "10:20:30:25", "want at most 23:59:59:24"},
		{timecode.Rate25, "24:00:00:00", "want at most"},
		{timecode.Rate25, "10:20:30;01", "want hours:minutes"},
		{timecode.Rate25, "1:2:3", "want hours:minutes"},
		{timecode.Rate25, "1:2:3:x", `got "x"`},
		{timecode.Rate2997Drop, "00:01:00;01", "drop frame leaves out"},
	} {
		got, err := c.rate.Parse(c.in)
		switch {
		case c.says == "" && (err != nil || got.String() != c.in):
			t.Errorf("%s: %v, %v", c.in, got, err)
		case c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)):
			t.Errorf("%s: error %v, want %q in it", c.in, err, c.says)
		}
	}
	for _, r := range timecode.Rates {
		if got, err := timecode.ParseRate(r.String()); got != r || err != nil {
			t.Errorf("rate %v reads as %v, %v", r, got, err)
		}
	}
	if _, err := timecode.ParseRate("26"); err == nil {
		t.Error("26 frames a second is a rate")
	}
}

// The example of the MIDI Time Code specification: 01:37:52:16 at 30 frames a
// second is F1 00 11 24 33 45 52 61 76.
func TestQuarterFrames(t *testing.T) {
	tc := parse(t, timecode.Rate30, "01:37:52:16")
	var q timecode.QuarterFrames
	for piece, want := range []byte{0x0, 0x1, 0x4, 0x3, 0x5, 0x2, 0x1, 0x6} {
		p, n := timecode.Rate30.Quarter(4*tc.Count() + int64(piece))
		if p != byte(piece) || n != want {
			t.Errorf("piece %d says %d, want %d", p, n, want)
		}
		if _, _, locked := q.Feed(p, n); locked {
			t.Errorf("after piece %d: locked", piece)
		}
	}
	for i := range int64(16) {
		p, n := timecode.Rate30.Quarter(4*tc.Count() + 8 + i)
		rate, quarter, locked := q.Feed(p, n)
		if locked != (i >= 3) || locked && (rate != timecode.Rate30 || quarter != 4*tc.Count()+8+i) {
			t.Errorf("piece %d after the first eight: quarter %d, locked %v", i, quarter, locked)
		}
	}
}

// From any point of any day, at any rate, the state locks after at most 19
// quarter frames and says the right instant of each from then on; a jump
// unlocks it and it locks again.
func TestQuarterFramesLock(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(timecode.Rates[:]).Draw(t, "rate")
		var q timecode.QuarterFrames
		for range 3 {
			n := rapid.Int64Range(0, 4*r.Day()-1).Draw(t, "from")
			lockedAt := -1
			for i := range 40 {
				piece, nibble := r.Quarter(n + int64(i))
				rate, quarter, locked := q.Feed(piece, nibble)
				if !locked {
					continue
				}
				if want := (n + int64(i)) % (4 * r.Day()); lockedAt >= 0 && (rate != r || quarter != want) {
					t.Fatalf("piece %d: rate %v quarter %d, want %v %d", i, rate, quarter, r, want)
				}
				if rate == r && quarter == (n+int64(i))%(4*r.Day()) && lockedAt < 0 {
					lockedAt = i
				}
			}
			// A jump may look like time going on for as long as the nibbles
			// agree: seven pieces at most, then nineteen to lock.
			if lockedAt < 0 || lockedAt > 26 {
				t.Fatalf("locked after %d quarter frames", lockedAt)
			}
		}
	})
}

func TestQuarterFramesRefuse(t *testing.T) {
	var q timecode.QuarterFrames
	for piece, n := range []byte{0xF, 1, 0, 0, 0, 0, 0, 0} { // frame 31
		if _, _, locked := q.Feed(byte(piece), n); locked {
			t.Error("locked on frame 31 at 24 frames a second")
		}
	}
	for i := range int64(64) { // backwards
		p, n := timecode.Rate25.Quarter(1000 - i)
		if _, _, locked := q.Feed(p, n); locked {
			t.Error("locked on time that runs backwards")
		}
	}
}
