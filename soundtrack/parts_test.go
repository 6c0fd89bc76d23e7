package soundtrack

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// loudnessToPower inverts equation 2 of BS.1770-4.
func loudnessToPower(lufs float64) float32 { return float32(math.Pow(10, (lufs+0.691)/10)) }

// track lays stretches of one loudness each on a line, in blocks of 10 ms.
func track(stretches ...[2]float64) (power []float32) {
	for _, s := range stretches {
		for range int(math.Round(s[0] * blockRate)) {
			power = append(power, loudnessToPower(s[1]))
		}
	}
	return power
}

// A hush begins 40 LU under the programme and ends 32 LU under it; what lies
// between belongs to whatever was before. Its ends are where 100 ms, half of them
// to either side, are quiet or loud.
func TestHushes(t *testing.T) {
	for name, c := range map[string]struct {
		power []float32
		want  [][2]float64 // seconds, ends may be 50 ms off
	}{
		"silence":               {track([2]float64{5, -20}, [2]float64{1, -120}, [2]float64{5, -20}), [][2]float64{{5, 6}}},
		"never quiet":           {track([2]float64{5, -20}, [2]float64{1, -58}, [2]float64{5, -20}), nil},
		"quiet, then less so":   {track([2]float64{5, -20}, [2]float64{1, -65}, [2]float64{1, -53}, [2]float64{5, -20}), [][2]float64{{5, 7}}},
		"quiet, then not":       {track([2]float64{5, -20}, [2]float64{1, -65}, [2]float64{1, -51}, [2]float64{5, -20}), [][2]float64{{5, 6}}},
		"just quiet":            {track([2]float64{5, -20}, [2]float64{1, -60.5}, [2]float64{5, -20}), [][2]float64{{5, 6}}},
		"just not":              {track([2]float64{5, -20}, [2]float64{1, -59.5}, [2]float64{5, -20}), nil},
		"at the end":            {track([2]float64{5, -20}, [2]float64{2, -90}), [][2]float64{{5, 7}}},
		"at the beginning, two": {track([2]float64{1, -90}, [2]float64{3, -20}, [2]float64{2, -80}, [2]float64{3, -20}), [][2]float64{{0, 1}, {4, 6}}},
		"a pause":               {track([2]float64{5, -20}, [2]float64{.45, -90}, [2]float64{5, -20}), nil},
	} {
		got := hushes(c.power, -20, shortestHush)
		if len(got) != len(c.want) {
			t.Errorf("%s: %d hushes, want %d", name, len(got), len(c.want))
			continue
		}
		for i, m := range got {
			if math.Abs(m.Time.Seconds()-c.want[i][0]) > .055 || math.Abs(m.End.Seconds()-c.want[i][1]) > .045 {
				t.Errorf("%s: from %v to %v, want %v", name, m.Time, m.End, c.want[i])
			}
			if want := min(1, (c.want[i][1]-c.want[i][0])/4); math.Abs(m.Strength-want) > .03 {
				t.Errorf("%s: strength %v, want %v", name, m.Strength, want)
			}
		}
	}
}

// The loudness of windows, against sums made one by one.
func TestSliding(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 1))
	power := make([]float32, 100)
	for i := range power {
		power[i] = rng.Float32()
	}
	for _, n := range []int{1, 2, 10, 40} {
		for i, got := range sliding(power, n) {
			sum := 0.0
			for k := i - n/2; k < i-n/2+n; k++ {
				if k >= 0 && k < len(power) {
					sum += float64(power[k])
				}
			}
			if want := -0.691 + 10*math.Log10(sum/float64(n)); math.Abs(float64(got)-want) > 1e-4 {
				t.Fatalf("window %d about block %d: %v, want %v", n, i, got, want)
			}
		}
	}
}

// The rise of a group is that of its bands over the loudest of the three around
// each, one frame before, nothing below the floor: band by band.
func TestRise(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	for range 200 {
		now, before := make([]int16, bandCount), make([]int16, bandCount)
		for b := range now {
			now[b], before[b] = int16(-rng.IntN(20000)), int16(-rng.IntN(20000))
		}
		floor := int32(-rng.IntN(20000))
		got := make([]int16, groupCount)
		rise(got, now, before, floor)
		for g := range got {
			want := 0
			for b := g * groupSize; b < (g+1)*groupSize; b++ {
				most := int(floor)
				for k := max(b-1, 0); k <= min(b+1, bandCount-1); k++ {
					most = max(most, int(before[k]))
				}
				want += max(int(now[b])-most, 0)
			}
			if int(got[g]) != min(want, math.MaxInt16) {
				t.Fatalf("group %d rises by %d, want %d", g, got[g], want)
			}
		}
	}
}

// Of what is added evenly over all bands the middle 80 % runs from a tenth of the
// bands to nine tenths.
func TestMiddle(t *testing.T) {
	added := make([]float64, bandCount)
	for b := range added {
		added[b] = 3
	}
	got := middle(added, 3*bandCount)
	if got[0] != float32(bandCentres[bandCount/10-1]) || got[1] != float32(bandCentres[9*bandCount/10-1]) {
		t.Errorf("it runs from %v to %v", got[0], got[1])
	}
	one := make([]float64, bandCount)
	one[40] = 1
	if got := middle(one, 1); got[0] != got[1] || got[0] != float32(bandCentres[40]) {
		t.Errorf("of one band it runs from %v to %v", got[0], got[1])
	}
}

// What is said of a hit: the loudness of 50 ms before it and of the loudest 50 ms
// that begin within 40 ms, and how long it takes to fall by 20 dB.
func TestDescribe(t *testing.T) {
	loud := func(from int) []float32 { // a burst of 50 ms that begins so many blocks after the hit
		return track([2]float64{2, -40}, [2]float64{.01 * float64(from), -40}, [2]float64{.05, -10}, [2]float64{2, -50})
	}
	for from, want := range map[int]float64{0: -10, 2: -10, 4: -10} {
		h := &heard{Rate: 48000, Frames: 4 * 48000, Power: loud(from)}
		h.Level[0] = make([]uint8, len(h.Power)/2)
		s := &striker{h: h, peaks: []peak{{Time: 2, Score: 1}}, sums: prefix(h.Power), low: prefixBytes(h.Level[0])}
		m := s.describe(0)
		if math.Abs(m.After-want) > .05 || math.Abs(m.Before+40) > .05 {
			t.Errorf("%d blocks on: from %.2f to %.2f LUFS", from, m.Before, m.After)
		}
		if fell := time.Duration(from+5) * hop; m.Decay < fell-60*time.Millisecond || m.Decay > fell {
			t.Errorf("%d blocks on: it falls in %v", from, m.Decay)
		}
		if m.Time != 2*time.Second || m.Low != 2*time.Second-4*time.Millisecond || m.High != 2*time.Second+4*time.Millisecond {
			t.Errorf("it lies at %v, between %v and %v", m.Time, m.Low, m.High)
		}
	}
	// The level of the bass: a byte is a share of 90 dB, for 20 ms.
	s := &striker{low: prefixBytes([]uint8{0, 0, 255, 255, 51, 51})}
	for _, c := range []struct {
		a, b int
		want float64
	}{{0, 4, 0}, {4, 8, 90}, {8, 12, 18}, {0, 12, 36}, {2, 6, 45}, {-8, 4, 0}, {8, 99, 18}, {6, 6, -90}, {40, 60, -90}} {
		if got := s.bass(c.a, c.b); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("bass from block %d to %d: %v dB, want %v", c.a, c.b, got, c.want)
		}
	}
}

// A picture has a minute to a column as long as twelve are enough, and then half a
// minute more to each.
func TestPages(t *testing.T) {
	for length, want := range map[time.Duration]struct {
		span    time.Duration
		columns int
	}{
		0: {time.Minute, 1}, time.Second: {time.Minute, 1}, time.Minute: {time.Minute, 1}, 61 * time.Second: {time.Minute, 2},
		12 * time.Minute: {time.Minute, 12}, 13 * time.Minute: {90 * time.Second, 9}, 18 * time.Minute: {90 * time.Second, 12},
		20 * time.Minute: {2 * time.Minute, 10}, time.Hour: {5 * time.Minute, 12}, 61 * time.Minute: {330 * time.Second, 12},
	} {
		tr := &Track{Duration: length}
		if p := tr.page(); p.span != want.span || p.columns != want.columns {
			t.Errorf("%v: %d columns of %v, want %d of %v", length, p.columns, p.span, want.columns, want.span)
		}
	}
	p := page{time.Minute, 3}
	for at, want := range map[time.Duration][2]float64{0: {24, 64}, 30 * time.Second: {24, 424}, time.Minute: {268, 64}, 150 * time.Second: {512, 424}, 3 * time.Minute: {512, 784}} {
		if x, y := p.at(at); x != want[0] || math.Abs(y-want[1]) > 1e-9 {
			t.Errorf("%v lies at %v, %v, want %v", at, x, y, want)
		}
	}
	var heights []float64
	p.pieces(50*time.Second, 130*time.Second, func(_, _, h float64) { heights = append(heights, h) })
	if len(heights) != 3 || math.Abs(heights[0]-120) > 1e-9 || math.Abs(heights[1]-720) > 1e-9 || math.Abs(heights[2]-120) > 1e-9 {
		t.Errorf("from 50 s to 130 s: pieces of %v", heights)
	}
}

// A turn moves to a hit within 150 ms, the surest by far or the nearest, else to a
// bar within 250 ms, else stays.
func TestSnapped(t *testing.T) {
	hit := func(at, score float64) peak { return peak{Time: at, Score: score} }
	ms := func(v int) time.Duration { return time.Duration(v) * time.Millisecond }
	bars := []time.Duration{ms(8000), ms(10200), ms(12000)}
	for name, c := range map[string]struct {
		at    int
		peaks []peak
		want  int
	}{
		"a hit near":             {10000, []peak{hit(9.9, .9), hit(12, 1)}, 9900},
		"the surer":              {10000, []peak{hit(9.95, .5), hit(10.1, .9)}, 10100},
		"the nearer":             {10000, []peak{hit(9.9, .8), hit(10.02, .8)}, 10020},
		"hits too far: a bar":    {10000, []peak{hit(9.8, 1)}, 10200},
		"a bar before":           {10400, nil, 10200},
		"bars too far":           {9900, nil, 9900},
		"bars farther behind":    {10500, nil, 10500},
		"a weak hit, a bar near": {10100, []peak{hit(9.96, .4)}, 10200},
	} {
		if got := snapped(ms(c.at), c.peaks, bars); got.Round(time.Millisecond) != ms(c.want) {
			t.Errorf("%s: %v, want %d ms", name, got, c.want)
		}
	}
}
