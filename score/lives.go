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
	Every *living.Every `key:"every"` // a beat when absent
	Rise  time.Duration `key:"rise"`
	Fall  time.Duration `key:"fall"` // 300 ms when absent
	As    living.Band   `key:"as"`   // rises and falls as the sound of this band does
}

// InTurn is one unit after another.
type InTurn struct {
	source.Pos
	Swing
	Order   Order         `key:"order"`   // left to right when absent
	Every   *living.Every `key:"every"`   // in which all had their turn; a bar when absent
	Overlap si.Ratio      `key:"overlap"` // of a turn, by which the next begins before it is over
	Back    bool          `key:"back"`    // and back again, each second time
}

// Through is a wave that goes through the room.
type Through struct {
	source.Pos
	Swing
	Direction Order         `key:"direction"` // left to right when absent
	Point     *room3        `key:"out from"`  // from this point on outward, in place of a direction
	Speed     si.Speed      `key:"speed"`     // 2 m/s when absent
	Length    si.Length     `key:"length"`    // of the wave, from its rise to its fall; 2 m when absent
	Every     *living.Every `key:"every"`     // when one sets out; a bar when absent
}

// room3 is a point of the room.
type room3 = [3]si.Length

// Follows is light that goes with the loudness or the colour of the sound.
type Follows struct {
	source.Pos
	Swing
	Of   living.Band    `key:"of"`   // all of it when absent
	Rise *time.Duration `key:"rise"` // 50 ms when absent
	Fall *time.Duration `key:"fall"` // 300 ms when absent
}

// Natural is light like that of something that burns, flows or hangs in the wind.
type Natural struct {
	source.Pos
	Swing
	Light living.Natural `key:"light,required"`
}

// Wanders is a slow drift of level, of colour, or of both.
type Wanders struct {
	source.Pos
	Swing
	Every time.Duration `key:"every"` // about how long it takes from one end to the other; 40 s when absent
	Among []Colour      `key:"among"` // colours between which it goes
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

// Most things are said with one word: "on the beat: bar" is "on the beat: {every: bar}".

type (
	onBeat  OnBeat
	inTurn  InTurn
	through Through
	follows Follows
	natural Natural
	wanders Wanders
)

// ReadSource takes how often, or the mapping.
func (b *OnBeat) ReadSource(v source.Value) { short(v, (*onBeat)(b), &b.Every); b.Pos = v.Pos() }

// ReadSource takes the order, or the mapping.
func (b *InTurn) ReadSource(v source.Value) { short(v, (*inTurn)(b), &b.Order); b.Pos = v.Pos() }

// ReadSource takes the direction, or the mapping.
func (b *Through) ReadSource(v source.Value) {
	short(v, (*through)(b), &b.Direction)
	b.Pos = v.Pos()
}

// ReadSource takes the band, or the mapping.
func (b *Follows) ReadSource(v source.Value) { short(v, (*follows)(b), &b.Of); b.Pos = v.Pos() }

// ReadSource takes what it is like, or the mapping.
func (b *Natural) ReadSource(v source.Value) { short(v, (*natural)(b), &b.Light); b.Pos = v.Pos() }

// ReadSource takes how slowly, or the mapping.
func (b *Wanders) ReadSource(v source.Value) { short(v, (*wanders)(b), &b.Every); b.Pos = v.Pos() }

// JSONSchema is that of the word or of the mapping.
func (b *OnBeat) JSONSchema() map[string]any { return shortForm(onBeat{}, living.Every{}) }

// JSONSchema is that of the word or of the mapping.
func (b *InTurn) JSONSchema() map[string]any { return shortForm(inTurn{}, b.Order) }

// JSONSchema is that of the word or of the mapping.
func (b *Through) JSONSchema() map[string]any { return shortForm(through{}, b.Direction) }

// JSONSchema is that of the word or of the mapping.
func (b *Follows) JSONSchema() map[string]any { return shortForm(follows{}, b.Of) }

// JSONSchema is that of the word or of the mapping.
func (b *Natural) JSONSchema() map[string]any { return shortForm(natural{}, b.Light) }

// JSONSchema is that of the word or of the mapping.
func (b *Wanders) JSONSchema() map[string]any { return shortForm(wanders{}, b.Every) }

// short fills whole from a mapping, or its first key from a word.
func short(v source.Value, whole, first any) {
	if v.IsMap() || v.IsList() {
		v.Into(whole)
		return
	}
	v.Into(first)
}

func shortForm(whole, first any) map[string]any {
	return map[string]any{"anyOf": []any{source.Form(whole), source.Form(first)}}
}
