package soundtrack

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"lampblack/soundfile"
)

// aloud returns what Aloud writes of a sound with moments, decoded.
func aloud(t *testing.T, samples []float32, moments []Moment) []float32 {
	t.Helper()
	track := &Track{Duration: frameTime(int64(len(samples)), 44100)}
	var b bytes.Buffer
	if err := track.Aloud(context.Background(), &b, mono(append([]float32{}, samples...)), moments); err != nil {
		t.Fatal(err)
	}
	s, err := soundfile.Open(bytes.NewReader(b.Bytes()), "a.wav")
	if err != nil {
		t.Fatal(err)
	}
	var out []float32
	buf := make([]float32, 4096)
	for {
		n, err := s.Read(buf)
		out = append(out, buf[:n]...)
		if err != nil {
			break
		}
	}
	if len(out) != len(samples) {
		t.Fatalf("%d samples, want %d", len(out), len(samples))
	}
	return out
}

// Each kind is heard within a millisecond of its time, at both ends where it lasts, and no two
// kinds sound alike; where there is no moment the sound passes as it was, 6 dB lower.
func TestAloud(t *testing.T) {
	silence := make([]float32, 4*44100)
	var all [][]float32
	for _, kind := range Kinds {
		got := aloud(t, silence, []Moment{{Kind: kind, Time: time.Second, End: 3 * time.Second, Strength: 0.7}})
		ends := []float64{1}
		if kind == Swell || kind == Hush || kind == Voice {
			ends = append(ends, 3)
		}
		for i, v := range got {
			at, near := float64(i)/44100, false
			for _, e := range ends {
				near = near || at >= e-1e-4 && at < e+1
			}
			if v != 0 && !near {
				t.Fatalf("%s: heard at %.3f s", kind, at)
			}
		}
		for _, e := range ends {
			loud := 0.0
			for _, v := range got[int(e*44100):][:44] {
				loud = max(loud, math.Abs(float64(v)))
			}
			if loud < 0.02 {
				t.Errorf("%s: nothing is heard within a millisecond of %v s", kind, e)
			}
		}
		for k, other := range all {
			if bytesAlike(got, other) {
				t.Errorf("%s sounds as %s does", kind, Kinds[k])
			}
		}
		all = append(all, got)
	}
	sound := make([]float32, 44100)
	for i := range sound {
		sound[i] = float32(math.Sin(float64(i) * 0.05))
	}
	for i, v := range aloud(t, sound, nil) {
		if math.Abs(float64(v-sound[i]/2)) > 1.0/32768 {
			t.Fatalf("sample %d is %v, want %v", i, v, sound[i]/2)
		}
	}
}

func bytesAlike(a, b []float32) bool {
	same := 0.0
	for i := range a {
		same = max(same, math.Abs(float64(a[i]-b[i])))
	}
	return same < 0.05
}

// The loudest sound there can be, and everything at once: nothing reaches full scale.
func TestAloudNeverClips(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	sound := make([]float32, 44100)
	for i := range sound {
		sound[i] = float32([]float64{-1, 1, 7, -7, math.NaN(), math.Inf(1)}[r.IntN(6)])
	}
	var moments []Moment
	for range 400 {
		at := time.Duration(r.Float64() * float64(time.Second))
		moments = append(moments, Moment{Kind: Kinds[r.IntN(len(Kinds))], Time: at, End: at + 100*time.Millisecond, Strength: 1})
	}
	for i, v := range aloud(t, sound, moments) {
		if v > 0.96 || v < -0.96 || v != v {
			t.Fatalf("sample %d is %v", i, v)
		}
	}
}
