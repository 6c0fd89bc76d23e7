package page

import (
	"crypto/sha256"
	"encoding/json"
	"math"

	"lampblack/check/finding"
	"lampblack/light"
	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
)

// Contents is what a page is first sent: the show's name, its cues and looks by their names
// and times, what was found in numbers. All else comes by spans as it is looked at.
type Contents struct {
	Edition   string   `json:"edition"`   // another one when the files changed
	Steerable bool     `json:"steerable"` // a run is attached that the Night page may steer
	Rescues   bool     `json:"rescues"`   // the reader may bring the lights up there, if nothing else
	Reader    string   `json:"reader"`    // who reads it, as "phone 2"
	Right     string   `json:"right"`     // what they may do
	Owner     bool     `json:"owner"`     // they own the laptop
	Writes    bool     `json:"writes"`    // they may change the show's texts
	Stale     bool     `json:"stale"`     // what was found is that of before the last change
	Plays     bool     `json:"plays"`     // its sound can be played in the page
	Title     string   `json:"title"`
	Place     string   `json:"place"`
	Length    float64  `json:"length"` // s
	Heard     bool     `json:"heard"`  // false until the soundtrack was listened to
	Units     int      `json:"units"`
	Ribbons   []Ribbon `json:"ribbons"`
	Looks     []Sketch `json:"looks"`
	Cues      Times    `json:"cues"`
	Found     Found    `json:"found"`
	Room      Hall     `json:"room"`
}

// Sketch is a look in short.
type Sketch struct {
	Name    string `json:"name"`
	Purpose string `json:"purpose"`
	// Swatches holds red, green, blue, level for each ribbon.
	Swatches []byte `json:"swatches"`
}

// Times are all cues as columns of one length, by their start.
type Times struct {
	Number   []string  `json:"number"`
	Look     []int     `json:"look"`   // in Contents.Looks
	Moment   []float64 `json:"moment"` // what it lands on
	Start    []float64 `json:"start"`
	Complete []float64 `json:"complete"`
	// Drafted are the places of those that the draft proposed and nobody has taken or refused.
	Drafted []int `json:"drafted"`
}

// Book is a show made ready for the pages. It does not change after New and
// may be read by many goroutines at once.
type Book struct {
	show     *show.Show
	contents Contents
	looks    []Look
	cues     []Cue
	findings []finding.Finding
	sound    Sound
	moments  Moments
	rig      Rig
	shape    Room
	ribbons  []mixture
	glows    map[string][]light.XYZ // by object, then drive at full
	staged   staged
	sights   *sights
	part     litPart
}

// New prepares the book of a show. Ribbons come first, as looks have a swatch for each.
// The glow of the room is found by asking for each drive alone, which is most of the
// time that New takes.
func New(s *show.Show, findings []finding.Finding) *Book {
	return from(&Book{show: s, glows: glowsOf(s), sights: &sights{}}, findings)
}

// Next is the book of a show that was changed, made quickly where the light in the room is that
// of this one: what was made ready for pictures is taken over. Stale tells that the findings are
// those of before the change.
func (b *Book) Next(s *show.Show, findings []finding.Finding, stale bool) *Book {
	next := New
	if s.Transport == b.show.Transport && s.Room == b.show.Room && s.Rig == b.show.Rig {
		next = func(s *show.Show, findings []finding.Finding) *Book {
			return from(&Book{show: s, glows: b.glows, sights: b.sights}, findings)
		}
	}
	out := next(s, findings)
	out.contents.Stale = stale
	return out
}

// from fills a book.
func from(b *Book, findings []finding.Finding) *Book {
	s := b.show
	b.makeRibbons(b.glowOf(nil))
	b.sound, b.moments = onLine(s, soundOf(s.Track), momentsOf(s.Track))
	b.looks, b.cues = b.makeLooks(), cuesOf(s)
	b.findings = findingsOf(findings)
	b.rig = Rig{unitsIn(s.Rig), typesOf(s.Rig), circuitsOf(s.Rig), supportsOf(s.Rig), append([]string{}, source.Names(s.Rig.Lines)...), builtIn(s.Rig)}
	b.shape = roomOf(s)
	c := &b.contents
	c.Title, c.Place, c.Length, c.Heard = s.Bill.Title, s.Bill.Place, seconds(s.Length), s.Track != nil
	c.Units, c.Looks, c.Cues = len(s.Rig.Units), sketches(b.looks), timesOf(b.cues)
	c.Found, c.Room = foundOf(b.findings, c.Length), hallOf(&b.shape)
	return b
}

func sketches(looks []Look) []Sketch {
	out := make([]Sketch, 0, len(looks))
	for i := range looks {
		out = append(out, Sketch{looks[i].Name, looks[i].Purpose, looks[i].Swatches})
	}
	return out
}

func timesOf(cues []Cue) Times {
	out := Times{[]string{}, []int{}, []float64{}, []float64{}, []float64{}, []int{}}
	for i := range cues {
		c := &cues[i]
		out.Number, out.Look = append(out.Number, c.Number), append(out.Look, c.Look)
		out.Moment, out.Start, out.Complete = append(out.Moment, c.Moment), append(out.Start, c.Start), append(out.Complete, c.Complete)
		if c.By == string(score.Draft) {
			out.Drafted = append(out.Drafted, i)
		}
	}
	return out
}

// findingsOf copies findings, with numbers that JSON can carry, and with what was measured in
// the words of the commands. The page counts on an array even when there are none.
func findingsOf(list []finding.Finding) []finding.Finding {
	out := append([]finding.Finding{}, list...)
	for i := range out {
		f := &out[i]
		for _, v := range []*float64{&f.Value, &f.Limit, &f.From, &f.To, &f.Margin, &f.Low, &f.High} {
			*v = finite(*v)
		}
		if f.Measured == "" {
			f.Measured = f.InWords()
		}
	}
	return out
}

// most stands for infinity, as in package check. It is large enough to be told from any
// value, and no reader of JSON chokes on it.
const most = 1e300

// finite brings infinities (a glow over a black background is one) to the
// ends of the numbers that JSON can carry, and what is no number to 0.
func finite(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return min(max(v, -most), most)
}

// OneLine tells whether the seconds of the book are those of one soundtrack.
func (b *Book) OneLine() bool { return b.show.Track != nil && len(b.show.Waits) == 0 }

// Show is the show that the book is of.
func (b *Book) Show() *show.Show { return b.show }

// Contents returns what a page is first sent. Its slices, and those of all that follows, are
// the book's own: they are for reading.
func (b *Book) Contents() Contents { return b.contents }

// Looks are the looks as this rig gives them, in the order of Contents.Looks.
func (b *Book) Looks() []Look { return b.looks }

// Findings are all that the checks found.
func (b *Book) Findings() []finding.Finding { return b.findings }

// Rig is the rig for its page.
func (b *Book) Rig() Rig { return b.rig }

// Shape is the room's shape, for what reads the light of [Book.Room].
func (b *Book) Shape() Room { return b.shape }

// Sum is a hash of all that the pages can say of the show, light apart. The panic is a fault
// of this package: it lets no number through that JSON lacks.
func (b *Book) Sum() [sha256.Size]byte {
	h := sha256.New()
	e := json.NewEncoder(h)
	for _, part := range []any{b.contents, b.looks, b.cues, b.findings, b.sound, b.moments, b.rig, b.shape} {
		if err := e.Encode(part); err != nil {
			panic("page: " + err.Error())
		}
	}
	return [sha256.Size]byte(h.Sum(nil))
}
