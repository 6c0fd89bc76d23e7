package score

import (
	"time"

	"lampblack/living"
	"lampblack/si"
	"lampblack/source"
)

// Lives is how light of a part moves by itself while its look stands. What the part
// asks for otherwise is the most of it: each of these takes the light of a unit from there
// down, or over to another look, and back. Several of them take a share of one another's.
// Most are said with one word: "on the beat: bar" is "on the beat: {every: bar}".
type Lives struct {
	OnBeat  *OnBeat  `key:"on the beat"`
	InTurn  *InTurn  `key:"in turn"`
	Through *Through `key:"through the room"`
	Follows *Follows `key:"follows the sound"`
	Like    *Natural `key:"lives like"`
	Wanders *Wanders `key:"wanders"`
}

// Any tells whether anything of it was written.
func (l *Lives) Any() bool { return *l != Lives{} }

// Swing is how far light that moves goes.
type Swing struct {
	Down *si.Ratio  `key:"down to"` // the least that is left of the part's light
	From source.Ref `key:"from"`    // a look: the light goes to what the units have there, not darker
}

// Least is the least that is left of the part's light, or usual where nothing is said.
func (s *Swing) Least(usual float32) float32 {
	if s.Down == nil {
		return usual
	}
	return float32(*s.Down)
}

// OnBeat is a rise with the music's beats.
type OnBeat struct {
	source.Pos
	Swing
	Every *living.Every `key:"every,word"` // a beat when absent
	Rise  time.Duration `key:"rise"`
	Fall  time.Duration `key:"fall"` // 300 ms when absent
	As    living.Band   `key:"as"`   // rises and falls as the sound of this band does
}

// InTurn is one unit after another.
type InTurn struct {
	source.Pos
	Swing
	Order   Order         `key:"order,word"` // left to right when absent
	Every   *living.Every `key:"every"`      // in which all had their turn; a bar when absent
	Overlap si.Ratio      `key:"overlap"`    // of a turn, by which the next begins before it is over
	Back    bool          `key:"back"`       // and back again, each second time
}

// Through is a wave that goes through the room.
type Through struct {
	source.Pos
	Swing
	Direction Order         `key:"direction,word"` // left to right when absent
	Point     *[3]si.Length `key:"out from"`       // from this point on outward, in place of a direction
	Speed     si.Speed      `key:"speed"`          // 2 m/s when absent
	Length    si.Length     `key:"length"`         // of the wave, from its rise to its fall; 2 m when absent
	Every     *living.Every `key:"every"`          // when one sets out; a bar when absent
}

// Follows is light that goes with the loudness or the colour of the sound.
type Follows struct {
	source.Pos
	Swing
	Of   living.Band    `key:"of,word"` // all of it when absent
	Rise *time.Duration `key:"rise"`    // 50 ms when absent
	Fall *time.Duration `key:"fall"`    // 300 ms when absent
}

// Natural is light like that of something that burns, flows or hangs in the wind.
type Natural struct {
	source.Pos
	Swing
	Light living.Natural `key:"light,required,word"`
}

// Wanders is a slow drift of level, of colour, or of both.
type Wanders struct {
	source.Pos
	Swing
	Every time.Duration `key:"every,word"` // about how long it takes from one end to the other; 40 s when absent
	Among []Colour      `key:"among"`      // colours between which it goes
}

// Order is an order of places in a room, as the audience sees it.
type Order string

// The orders. Left and right are the audience's.
const (
	LeftToRight Order = "left to right"
	RightToLeft Order = "right to left"
	FrontToBack Order = "front to back"
	BackToFront Order = "back to front"
	Upward      Order = "upward"
	Downward    Order = "downward"
	Outward     Order = "outward"
	Inward      Order = "inward"
	Round       Order = "round"
)

// Choices lists the orders.
func (Order) Choices() []string {
	return []string{string(LeftToRight), string(RightToLeft), string(FrontToBack), string(BackToFront), string(Upward), string(Downward), string(Outward), string(Inward), string(Round)}
}
