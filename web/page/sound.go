package page

import (
	"math"
	"time"

	"lampblack/show"
	"lampblack/soundtrack"
)

// soundHop is the step of the sound's ribbon: finer than a pixel at the
// book's usual scale.
const soundHop = 50 * time.Millisecond

// Sound is the soundtrack's outline as columns: the level of three bands, 0
// (60 dB below the loudest, or less) to 255.
type Sound struct {
	Hop  float64 `json:"hop"`  // s
	From float64 `json:"from"` // s, of the first step
	Low  []byte  `json:"low"`  // below 200 Hz
	Mid  []byte  `json:"mid"`
	High []byte  `json:"high"` // above 2 kHz
}

// Moments is what was heard, as columns of one length, by time.
type Moments struct {
	Kind     []string  `json:"kind"`
	Time     []float64 `json:"time"`
	End      []float64 `json:"end"`
	Strength []float64 `json:"strength"`
	Change   []float64 `json:"change"` // of loudness over a hit or a swell, LU; a fall is negative
	Why      []string  `json:"why"`
	Label    []string  `json:"label"` // of a turn
	Bar      []int     `json:"bar"`
	Beat     []int     `json:"beat"`
}

func seconds(t time.Duration) float64 { return float64(t.Microseconds()) / 1e6 }

// soundOf brings the outline to steps of 50 ms, whatever the hop that listening has.
func soundOf(t *soundtrack.Track) Sound {
	s := Sound{Hop: soundHop.Seconds(), Low: []byte{}, Mid: []byte{}, High: []byte{}}
	if t == nil {
		return s
	}
	n := int(t.Duration/soundHop) + 1
	s.Low = loudest(t.Overview.Low, t.Overview.Hop, n)
	s.Mid = loudest(t.Overview.Mid, t.Overview.Hop, n)
	s.High = loudest(t.Overview.High, t.Overview.Hop, n)
	return s
}

// loudest takes the greatest of the values that fall into each step, so that
// a short attack stays visible.
func loudest(values []uint8, hop time.Duration, n int) []byte {
	out := make([]byte, n)
	for i, v := range values {
		if at := int(time.Duration(i) * hop / soundHop); at < n {
			out[at] = max(out[at], v)
		}
	}
	return out
}

// momentsOf turns moments into columns. All have one length, moments that have no bar
// or label with 0 and "".
func momentsOf(t *soundtrack.Track) Moments {
	m := Moments{[]string{}, []float64{}, []float64{}, []float64{}, []float64{}, []string{}, []string{}, []int{}, []int{}}
	if t == nil {
		return m
	}
	for _, x := range t.Moments {
		m.Kind = append(m.Kind, string(x.Kind))
		m.Time = append(m.Time, seconds(x.Time))
		m.End = append(m.End, seconds(x.End))
		m.Strength = append(m.Strength, math.Round(finite(x.Strength)*1000)/1000)
		m.Change = append(m.Change, math.Round(finite(x.After-x.Before)*10)/10)
		m.Why = append(m.Why, x.Why)
		m.Label = append(m.Label, x.Label)
		m.Bar = append(m.Bar, x.Bar)
		m.Beat = append(m.Beat, x.Beat)
	}
	return m
}

// onLine puts what was heard on the line of a show whose waits make it longer than its
// soundtrack: the sound of a span that repeats is there once for every pass.
func onLine(s *show.Show, sound Sound, m Moments) (Sound, Moments) {
	if len(s.Waits) == 0 || len(sound.Mid) == 0 {
		return sound, m
	}
	at := func(t float64) float64 { return seconds(s.OnLine(time.Duration(t * float64(time.Second)))) }
	out := Sound{Hop: sound.Hop}
	for i := range int(s.Length/soundHop) + 1 {
		from := int(s.InTrack(time.Duration(i)*soundHop) / soundHop)
		low, mid, high := byte(0), byte(0), byte(0)
		if from < len(sound.Mid) {
			low, mid, high = sound.Low[from], sound.Mid[from], sound.High[from]
		}
		out.Low, out.Mid, out.High = append(out.Low, low), append(out.Mid, mid), append(out.High, high)
	}
	for i := range m.Time {
		m.Time[i], m.End[i] = at(m.Time[i]), at(m.End[i])
	}
	return out, m
}
