package page

import (
	"lampblack/check"
	"lampblack/show"
)

// Contents is everything of the show that does not move.
type Contents struct {
	Edition   int             `json:"edition"`   // grows when the files changed
	Steerable bool            `json:"steerable"` // a run is attached that the Night page may steer
	Title     string          `json:"title"`
	Place     string          `json:"place"`
	Length    float64         `json:"length"` // s
	Sound     Sound           `json:"sound"`
	Moments   Moments         `json:"moments"`
	Ribbons   []Ribbon        `json:"ribbons"`
	Looks     []Look          `json:"looks"`
	Cues      []Cue           `json:"cues"`
	Findings  []check.Finding `json:"findings"`
	Units     []Unit          `json:"units"`
	Types     []Type          `json:"types"`
	Circuits  []Circuit       `json:"circuits"`
	Room      Room            `json:"room"`
	// Locus is the line of spectral colours in u', v', from 420 nm to 700 nm.
	Locus [][2]float64 `json:"locus"`
}

// Book is a show made ready for the pages. It does not change after New and
// may be read by many goroutines at once.
type Book struct {
	show     *show.Show
	contents Contents
	ribbons  []mixture
}

// New prepares the book of a show.
func New(s *show.Show, findings []check.Finding) *Book {
	b := &Book{show: s}
	b.makeRibbons(glowOf(s))
	b.contents.Title, b.contents.Place = s.Bill.Title, s.Bill.Place
	b.contents.Length = seconds(s.Length)
	b.contents.Sound, b.contents.Moments = soundOf(s.Track), momentsOf(s.Track)
	b.contents.Looks, b.contents.Cues = b.looks(), cuesOf(s)
	b.contents.Findings = append([]check.Finding{}, findings...)
	b.contents.Units, b.contents.Types, b.contents.Circuits = unitsIn(s.Rig), typesOf(s.Rig), circuitsOf(s.Rig)
	b.contents.Room, b.contents.Locus = roomOf(s), locus()
	return b
}

// Contents returns what does not move. Its slices are the book's own: they
// are for reading.
func (b *Book) Contents() Contents { return b.contents }
