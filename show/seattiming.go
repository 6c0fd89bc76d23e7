package show

import (
	"errors"
	"fmt"
	"time"

	"lampblack/si"
	"lampblack/source"
)

// Heard is the timing when sound was found to be so long behind light, as an interval, at a
// seat that is so far from the speaker. What is measured is the difference of the two delays,
// so that the sound's stands still, at its middle, and the light's has the interval; where that
// would be less than none, both are more by as much.
func (t Timing) Heard(behind Delay, distance si.Length) Timing {
	air := Travel(distance)
	sound := t.Sound.Best()
	light := Delay{Low: sound + air - behind.High, High: sound + air - behind.Low}
	if light.Low < 0 {
		sound -= light.Low
		light.Low, light.High = 0, light.High-light.Low
	}
	const step = 100 * time.Microsecond
	t.Sound = Delay{Low: sound.Round(step), High: sound.Round(step)}
	t.Light = Delay{Low: light.Low.Round(step), High: light.High.Round(step)}
	return t
}

// With is the text of show.yaml with the delays of the timing set; all else stays as it is.
func (t Timing) With(data []byte) ([]byte, error) {
	text, faults := source.OpenText(BillFile, data)
	if faults.Err() != nil {
		return nil, faults
	}
	sound, light := delayText(t.Sound.Low), delayText(t.Light.Low)+" to "+delayText(t.Light.High)
	var err error
	if _, there := text.Find("timing"); there {
		err = errors.Join(text.SetKey("sound delay", sound, "timing"), text.SetKey("light delay", light, "timing"))
	} else {
		err = text.SetKey("timing", fmt.Sprintf("{sound delay: %s, light delay: %s}", sound, light))
	}
	if err != nil {
		return nil, err
	}
	return text.Bytes()
}
