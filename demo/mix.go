package demo

import (
	"io"

	"lampblack/soundfile"
)

// block is how many frames are mixed at a time: a tenth of a second.
const block = Rate / 10

// bus is what the voices of one worker add up to in a block.
type bus struct {
	left, right, room [block]float64
	voice             [block]float64
}

// playing is a sound under way.
type playing struct {
	sound
	voice
	wait              int // frames until it begins, within this block
	left, right, room float64
}

// Synthesise writes the plan's soundtrack as a WAV file: 44.1 kHz, 16 bits,
// stereo. Progress, when not nil, is called now and then with the share done.
func Synthesise(w io.Writer, p Plan, progress func(done float64)) error {
	out, err := soundfile.NewWAVWriter(w, soundfile.Format{Rate: Rate, Channels: 2, Bits: 16, Frames: p.frames})
	if err != nil {
		return err
	}
	m := newMixer(p)
	for at := int64(0); at < p.frames; at += block {
		frames := min(block, p.frames-at)
		if err := out.Write(m.next(int(frames))); err != nil {
			return err
		}
		if progress != nil {
			progress(float64(at+frames) / float64(p.frames))
		}
	}
	return out.Close()
}

// mixer plays all sounds of a plan in step.
type mixer struct {
	plan   Plan
	at     int64
	coming int // index of the first sound that has not begun
	active []*playing
	buses  [2]bus
	hall   *hall
	out    []float32
	open   float64 // gain of the gate that cuts close
}

// newMixer makes a mixer at the plan's beginning.
func newMixer(p Plan) *mixer {
	return &mixer{plan: p, hall: newHall(), out: make([]float32, 2*block), open: 1}
}

// next mixes the next block and returns its first frames, interleaved.
func (m *mixer) next(frames int) []float32 {
	m.begin()
	// Two workers, always two: sums come in one order whatever the machine.
	done := make(chan struct{})
	go func() { m.work(1); close(done) }()
	m.work(0)
	<-done
	m.end()
	m.master()
	m.at += block
	return m.out[:2*frames]
}

// begin starts the sounds that fall into this block.
func (m *mixer) begin() {
	for ; m.coming < len(m.plan.sounds); m.coming++ {
		s := m.plan.sounds[m.coming]
		if s.at >= m.at+block {
			return
		}
		gain := decibels(s.db)
		m.active = append(m.active, &playing{
			sound: s, voice: s.plays.start(dice(m.coming + 1)), wait: int(s.at - m.at),
			left: float64(gain * cosine((1+s.pan)/8)), right: float64(gain * sine((1+s.pan)/8)),
			room: float64(gain * s.room),
		})
	}
}

// work mixes every other voice into one bus. Which voice goes where does not
// depend on how many processors there are.
func (m *mixer) work(which int) {
	b := &m.buses[which]
	clear(b.left[:])
	clear(b.right[:])
	clear(b.room[:])
	for i := which; i < len(m.active); i += 2 {
		m.active[i].mix(b)
	}
}

// mix adds a block of the voice to the bus, and drops the voice at its end.
func (p *playing) mix(b *bus) {
	dst := b.voice[p.wait:]
	if !p.render(dst) {
		p.voice = nil
	}
	for i, x := range dst {
		b.left[p.wait+i] += float64(p.left * x)
		b.right[p.wait+i] += float64(p.right * x)
		b.room[p.wait+i] += float64(p.room * x)
	}
	p.wait = 0
}

// end forgets voices that are over.
func (m *mixer) end() {
	kept := m.active[:0]
	for _, p := range m.active {
		if p.voice != nil {
			kept = append(kept, p)
		}
	}
	m.active = kept
}

// master adds the reverberation, closes the gate in cuts, and bends peaks so
// that nothing clips.
func (m *mixer) master() {
	a, b := &m.buses[0], &m.buses[1]
	for i := range block {
		l, r := m.hall.step(a.room[i] + b.room[i])
		l += a.left[i] + b.left[i]
		r += a.right[i] + b.right[i]
		want := 1.0
		if m.cut(m.at + int64(i)) {
			want = 0
		}
		m.open += float64(0.003 * (want - m.open))
		m.out[2*i] = float32(bend(float64(m.open * l)))
		m.out[2*i+1] = float32(bend(float64(m.open * r)))
	}
}

// cut tells whether all sound is stopped at a sample.
func (m *mixer) cut(at int64) bool {
	for _, c := range m.plan.cuts {
		if at >= c.at && at < c.on {
			return true
		}
	}
	return false
}

// Peaks above knee are bent towards ceiling (-2 dB), which none reaches.
const (
	knee    = 0.5
	ceiling = 0.79
)

// bend is straight up to knee, and goes on with the same slope towards ceiling.
func bend(x float64) float64 {
	sign := 1.0
	if x < 0 {
		x, sign = -x, -1
	}
	if x > knee {
		over := (x - knee) / (ceiling - knee)
		x = knee + float64((ceiling-knee)*(over/(1+over)))
	}
	return sign * x
}
