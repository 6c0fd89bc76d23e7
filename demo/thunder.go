package demo

import "time"

// thunder is a crack of broad noise and a rumble that rolls away behind it.
// The rumble comes and goes over tenths of a second and more, so that the
// crack is the only attack.
type thunder struct {
	roll float64 // s until the rumble has fallen by 60 dB
	near float64 // 0 far and dull … 1 overhead
}

func (t thunder) shape() (rise, decay time.Duration) {
	return 4 * time.Millisecond, seconds(t.roll / 5)
}

// rumble is thunder being heard.
type rumble struct {
	noise                dice
	crack, crackFall     float64
	edge                 float64 // rises to 1 over the first milliseconds
	dull                 lowpass
	deep, deeper         lowpass
	roll, rollFall       float64
	swing, target, chase float64
	wait                 int
}

func (t thunder) start(d dice) voice {
	return &rumble{
		noise: d, crack: 1.3, crackFall: fall(0.7 + float64(0.6*t.near)),
		dull: corner(900 + float64(5000*t.near)), deep: corner(160), deeper: corner(220),
		roll: 11, rollFall: fall(t.roll), chase: 1 - fall(1.2), target: 1,
	}
}

// render makes the crack of noise through one low-pass and the rumble of the same noise
// through two. The level that the rumble swings to is drawn anew every half second or so
// and followed slowly.
func (r *rumble) render(dst []float64) bool {
	for i := range dst {
		x := r.noise.noise()
		r.edge += float64(0.02 * (1 - r.edge))
		if r.wait--; r.wait < 0 {
			r.wait = int(r.noise.between(0.25, 0.7) * Rate)
			r.target = r.noise.between(0.35, 1)
		}
		r.swing += float64(r.chase * (r.target - r.swing))
		y := float64(r.crack * r.dull.step(x))
		y += float64(float64(r.roll*r.swing) * r.deeper.step(r.deep.step(x)))
		dst[i] = float64(r.edge * y)
		r.crack = float64(r.crack * r.crackFall)
		r.roll = float64(r.roll * r.rollFall)
	}
	return r.roll > inaudible
}
