package page

import (
	"math"

	"lampblack/check/finding"
	"lampblack/light"
	"lampblack/show"
)

// Contents is everything of the show that does not move.
type Contents struct {
	Edition   string            `json:"edition"`   // another one when the files changed
	Steerable bool              `json:"steerable"` // a run is attached that the Night page may steer
	Rescues   bool              `json:"rescues"`   // the reader may bring the lights up there, if nothing else
	Reader    string            `json:"reader"`    // who reads it, as "phone 2"
	Right     string            `json:"right"`     // what they may do
	Owner     bool              `json:"owner"`     // they own the laptop
	Writes    bool              `json:"writes"`    // they may change the show's texts
	Stale     bool              `json:"stale"`     // the findings are those of before the last change
	Title     string            `json:"title"`
	Place     string            `json:"place"`
	Length    float64           `json:"length"` // s
	Sound     Sound             `json:"sound"`
	Moments   Moments           `json:"moments"`
	Ribbons   []Ribbon          `json:"ribbons"`
	Looks     []Look            `json:"looks"`
	Cues      []Cue             `json:"cues"`
	Findings  []finding.Finding `json:"findings"`
	Units     []Unit            `json:"units"`
	Types     []Type            `json:"types"`
	Circuits  []Circuit         `json:"circuits"`
	Room      Room              `json:"room"`
}

// Book is a show made ready for the pages. It does not change after New and
// may be read by many goroutines at once.
type Book struct {
	show     *show.Show
	contents Contents
	ribbons  []mixture
	glows    map[string][]light.XYZ // by object, then drive at full
	staged   staged
	sights   *sights
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
	b.contents.Title, b.contents.Place = s.Bill.Title, s.Bill.Place
	b.contents.Length = seconds(s.Length)
	b.contents.Sound, b.contents.Moments = onLine(s, soundOf(s.Track), momentsOf(s.Track))
	b.contents.Looks, b.contents.Cues = b.looks(), cuesOf(s)
	b.contents.Findings = findingsOf(findings)
	b.contents.Units, b.contents.Types, b.contents.Circuits = unitsIn(s.Rig), typesOf(s.Rig), circuitsOf(s.Rig)
	b.contents.Room = roomOf(s)
	return b
}

// findingsOf copies findings, with numbers that JSON can carry. The page counts on an
// array even when there are none.
func findingsOf(list []finding.Finding) []finding.Finding {
	out := append([]finding.Finding{}, list...)
	for i := range out {
		f := &out[i]
		for _, v := range []*float64{&f.Value, &f.Limit, &f.From, &f.To, &f.Margin, &f.Low, &f.High} {
			*v = finite(*v)
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

// Show is the show that the book is of.
func (b *Book) Show() *show.Show { return b.show }

// Contents returns what does not move. Its slices are the book's own: they
// are for reading.
func (b *Book) Contents() Contents { return b.contents }
