package retake

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"lampblack/soundfile"
)

const testRate = 22050

// show is a made-up soundtrack, mono at testRate: tunes over a drum loop whose
// sounds are the same samples each time, storms, speech-like syllables, soft
// beds, silences.
func show(seconds float64, seed uint64) []float32 {
	rng := rand.New(rand.NewPCG(seed, 77))
	out := make([]float32, int(seconds*testRate))
	hit := make([]float32, testRate/5)
	for i := range hit {
		at := float64(i) / testRate
		hit[i] = float32((rng.Float64()-0.5)*math.Exp(-40*at) + 0.5*math.Sin(2*math.Pi*90*at)*math.Exp(-15*at))
	}
	for start := 0; start < len(out); {
		n := min(testRate*3+rng.IntN(testRate*9), len(out)-start)
		part := out[start : start+n]
		switch rng.IntN(6) {
		case 0, 1, 2:
			tune(part, rng, hit)
		case 3:
			storm(part, rng)
		case 4:
			speech(part, rng)
		case 5:
			if rng.IntN(2) == 0 {
				bed(part, rng)
			} else {
				silence := min(n, testRate/2+rng.IntN(3*testRate))
				n = silence
			}
		}
		start += n
	}
	return out
}

func tune(x []float32, rng *rand.Rand, hit []float32) {
	beat := testRate * 60 / (80 + rng.IntN(60))
	scale := []float64{0, 2, 4, 5, 7, 9, 11, 12, 14, 16}
	root := 110 * math.Exp2(rng.Float64())
	for at := 0; at < len(x); at += beat / 2 {
		if at/(beat/2)%2 == 0 {
			add(x, at, hit, 0.7)
		}
		if rng.IntN(3) == 0 {
			continue
		}
		hz := root * math.Exp2(scale[rng.IntN(len(scale))]/12)
		length := beat/2 + rng.IntN(beat)
		for i := range min(length, len(x)-at) {
			s := float64(i) / testRate
			v := 0.0
			for h := 1.0; h <= 6; h++ {
				v += math.Sin(2*math.Pi*hz*h*s) / h
			}
			x[at+i] += float32(0.15 * v * math.Exp(-3*s) * math.Min(1, s*200))
		}
	}
}

func add(x []float32, at int, what []float32, gain float32) {
	for i := range min(len(what), len(x)-at) {
		x[at+i] += gain * what[i]
	}
}

// storm is low noise that swells and breaks.
func storm(x []float32, rng *rand.Rand) {
	low, level := 0.0, 0.2
	for i := range x {
		if i%2000 == 0 {
			level = math.Max(0.05, math.Min(1, level+0.3*(rng.Float64()-0.5)))
		}
		low += 0.15 * (rng.Float64() - 0.5 - low)
		x[i] += float32(1.5 * level * low)
	}
}

// speech is buzzing syllables with moving formants and pauses.
func speech(x []float32, rng *rand.Rand) {
	for at := 0; at < len(x); {
		length := testRate/12 + rng.IntN(testRate/5)
		pitch, f1, f2 := 90+60*rng.Float64(), 300+500*rng.Float64(), 900+1200*rng.Float64()
		for i := range min(length, len(x)-at) {
			s := float64(i) / testRate
			buzz := math.Mod(s*pitch, 1)
			v := math.Exp(-buzz*3) * (math.Sin(2*math.Pi*f1*buzz/pitch) + 0.6*math.Sin(2*math.Pi*f2*buzz/pitch))
			x[at+i] += float32(0.3 * v * math.Sin(math.Pi*float64(i)/float64(length)))
		}
		at += length
		if rng.IntN(6) == 0 {
			at += rng.IntN(testRate / 2)
		}
	}
}

// bed is a soft chord that hardly moves.
func bed(x []float32, rng *rand.Rand) {
	hz := 150 * math.Exp2(rng.Float64())
	slow := 0.1 + 0.3*rng.Float64()
	for i := range x {
		s := float64(i) / testRate
		v := 0.0
		for k, r := range []float64{1, 1.26, 1.5, 2.01} {
			v += math.Sin(2*math.Pi*hz*r*s + 2*math.Sin(2*math.Pi*slow*s+float64(k)))
		}
		x[i] += float32(0.04*v + 0.002*(rng.Float64()-0.5))
	}
}

// piece is a stretch of the new track: of the old one, or of other sound.
type piece struct {
	from, to int // old samples; other sound when from < 0, to samples long
	at       int // in the new track, new samples at testRate, before the speed
}

// edit is a new take with its truth.
type edit struct {
	name    string
	pieces  []piece
	speed   float64 // old seconds in a new second, of the whole take
	samples []float32
	file    []byte // of samples after coding
}

// place returns every new time, in seconds, of an old time.
func (e *edit) place(old float64) (at []float64) {
	x := old * testRate
	for _, p := range e.pieces {
		if p.from >= 0 && x >= float64(p.from) && x < float64(p.to) {
			at = append(at, (float64(p.at)+x-float64(p.from))/testRate/e.speed)
		}
	}
	return at
}

// nearCut tells whether an old time lies within a distance, in seconds, of a
// place where a piece begins or ends.
func (e *edit) nearCut(old, distance float64) bool {
	for _, p := range e.pieces {
		if p.from >= 0 && (math.Abs(old-float64(p.from)/testRate) < distance || math.Abs(old-float64(p.to)/testRate) < distance) {
			return true
		}
	}
	return false
}

// shapes of edits.
var shapes = []string{"leader", "cut", "insert", "repeat", "swap", "many"}

// treatments of the whole take.
var treatments = []string{"none", "gain", "mp3", "vorbis", "opus", "48 kHz", "stereo", "filter", "noise", "speed", "speed mp3", "all"}

// newEdit makes one from a seed.
func newEdit(t testing.TB, old []float32, shape, treatment string, seed uint64) *edit {
	rng := rand.New(rand.NewPCG(seed, 5))
	e := &edit{name: fmt.Sprint(shape, ", ", treatment, ", seed ", seed), speed: 1}
	e.pieces = arrange(len(old), shape, rng)
	other := show(20, seed+1e6)
	at := 0
	for i := range e.pieces {
		p := &e.pieces[i]
		p.at = at
		if p.from >= 0 {
			e.samples = append(e.samples, old[p.from:p.to]...)
		} else {
			e.samples = append(e.samples, other[:min(p.to, len(other))]...)
		}
		at = len(e.samples)
	}
	e.treat(t, treatment, rng)
	return e
}

// arrange makes the pieces of a shape.
func arrange(n int, shape string, rng *rand.Rand) (ps []piece) {
	somewhere := func() int { return n/8 + rng.IntN(n*3/4) }
	length := func() int { return testRate/2 + rng.IntN(8*testRate) }
	whole := piece{0, n, 0}
	switch shape {
	case "leader":
		if rng.IntN(2) == 0 {
			return []piece{{-1, length(), 0}, whole}
		}
		return []piece{{length(), n, 0}}
	case "cut":
		a := somewhere()
		return []piece{{0, a, 0}, {min(a+length(), n), n, 0}}
	case "insert":
		a := somewhere()
		return []piece{{0, a, 0}, {-1, length(), 0}, {a, n, 0}}
	case "repeat":
		a := somewhere()
		b := min(a+3*testRate+length(), n)
		return []piece{{0, b, 0}, {a, n, 0}}
	case "swap":
		a, b := n/5+rng.IntN(n/5), n/2+rng.IntN(n/4)
		return []piece{{0, a, 0}, {b, n, 0}, {a, b, 0}}
	}
	// Many: each stretch is kept, dropped, or has something put in front.
	for at := 0; at < n; {
		to := min(at+4*testRate+rng.IntN(20*testRate), n)
		switch rng.IntN(5) {
		case 0:
		case 1:
			ps = append(ps, piece{-1, length(), 0}, piece{at, to, 0})
		default:
			ps = append(ps, piece{at, to, 0})
		}
		at = to
	}
	return ps
}

func (e *edit) treat(t testing.TB, how string, rng *rand.Rand) {
	x, rate, channels := e.samples, testRate, 1
	gain := func() {
		g := float32(math.Pow(10, (rng.Float64()*24-18)/20))
		for i := range x {
			x[i] *= g
		}
	}
	speed := func() {
		from := testRate + int(float64(testRate)*0.03*(2*rng.Float64()-1))
		x = resampled(x, from, testRate)
		e.speed = float64(from) / testRate
	}
	noise := func() {
		power := 0.0
		for _, v := range x {
			power += float64(v) * float64(v)
		}
		sigma := math.Sqrt(power/float64(len(x))) * 0.1 // 20 dB
		for i := range x {
			x[i] += float32(sigma * rng.NormFloat64())
		}
	}
	stereo := func() {
		y := make([]float32, 0, 2*len(x))
		for i, v := range x {
			side := float32(0)
			if i > 300 {
				side = 0.2 * x[i-300] // some room that the mono mix keeps
			}
			y = append(y, v+side, 0.7*v-side)
		}
		x, channels = y, 2
	}
	code := ""
	switch how {
	case "gain":
		gain()
	case "mp3":
		code = "mp3"
	case "vorbis":
		code = "ogg"
	case "opus":
		code = "opus"
	case "48 kHz":
		x, rate = resampled(x, testRate, 48000), 48000
	case "stereo":
		stereo()
	case "filter":
		filter(x, rng)
	case "noise":
		noise()
	case "speed":
		speed()
	case "speed mp3":
		speed()
		code = "mp3"
	case "all":
		speed()
		gain()
		filter(x, rng)
		noise()
		stereo()
		code = []string{"mp3", "ogg", "opus"}[rng.IntN(3)]
	}
	e.samples = nil
	e.file = encode(t, x, rate, channels, code)
}

// filter is a low-pass or a high-pass of one pole.
func filter(x []float32, rng *rand.Rand) {
	low := float32(0)
	if rng.IntN(2) == 0 {
		a := float32(1 - math.Exp(-2*math.Pi*(1500+3000*rng.Float64())/testRate))
		for i, v := range x {
			low += a * (v - low)
			x[i] = low
		}
		return
	}
	a := float32(1 - math.Exp(-2*math.Pi*(80+150*rng.Float64())/testRate))
	for i, v := range x {
		low += a * (v - low)
		x[i] = v - low
	}
}

// encode returns a WAV file, or what ffmpeg makes of it.
func encode(t testing.TB, x []float32, rate, channels int, code string) []byte {
	var wav bytes.Buffer
	if err := soundfile.WriteWAV(&wav, rate, channels, 16, x); err != nil {
		t.Fatal(err)
	}
	if code == "" {
		return wav.Bytes()
	}
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("outside check left out: needs ffmpeg (Debian package ffmpeg)")
	}
	path := filepath.Join(t.TempDir(), "a."+code)
	codec := map[string]string{"mp3": "libmp3lame", "ogg": "libvorbis", "opus": "libopus"}[code]
	cmd := exec.Command("ffmpeg", "-nostdin", "-v", "error", "-i", "-", "-c:a", codec, "-b:a", "64k", path)
	cmd.Stdin = &wav
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("ffmpeg: %v: %s", err, strings.TrimSpace(string(out)))
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// resampled is one channel at another rate.
func resampled(x []float32, from, to int) []float32 {
	r, err := soundfile.NewResampler(from, to, 1)
	if err != nil {
		panic(err)
	}
	return r.Flush(r.Append(nil, x))
}
