package show

import (
	"errors"
	"io/fs"
	"path"
	"slices"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// OrderFile holds the running order of an evening; a show of one piece does
// without.
const OrderFile = "order.yaml"

// Order is the text of order.yaml: what an evening consists of, in its order.
type Order struct {
	source.Pos
	Steps []OrderStep `key:"order,required"`
	// Warning is how long before a go the standby is to be given.
	Warning si.Stretch `key:"warning"`

	implied bool // not written
}

// DefaultWarning is how long before a go the standby is given where the order does
// not say (common practice, no source).
const DefaultWarning = 10 * time.Second

// Warns is how long before a go the standby is to be given.
func (o *Order) Warns() time.Duration {
	if o == nil || o.Warning == 0 {
		return DefaultWarning
	}
	return time.Duration(o.Warning)
}

// OrderStep is one step of a running order: a standing look, which lasts until
// go, or a piece, which lasts as long as its sound and its cues. A piece that
// names no cues is the folder's own: the cues of score.yaml and the soundtrack of
// show.yaml. Looks are those of score.yaml for all.
type OrderStep struct {
	source.Pos
	Standing   source.Ref    `key:"standing"` // a name: preshow, interval, bows
	Piece      source.Ref    `key:"piece"`    // a name
	Look       source.Ref    `key:"look"`     // of a standing look
	Up         time.Duration `key:"up"`       // over which a standing look comes
	Until      score.Until   `key:"until"`    // what ends a standing look
	Usually    si.Stretch    `key:"usually"`  // how long a standing look lasts
	Most       si.Stretch    `key:"at most"`  // the same; the checks take this
	Soundtrack source.Ref    `key:"soundtrack"`
	Cues       source.Ref    `key:"cues"`    // a file of the folder
	Standby    string        `key:"standby"` // what is said before the go that begins it
	Heard      *PieceSound   `key:"sound"`   // how loud its soundtrack is

	score *score.Score // of a piece that names its cues
}

// Stands tells whether the step is a standing look.
func (s *OrderStep) Stands() bool { return s.Standing.Name != "" }

// Own tells whether the step is the folder's own piece.
func (s *OrderStep) Own() bool { return !s.Stands() && s.Cues.Name == "" }

// Loudness is how loud the soundtrack of a piece is; for the folder's own piece that does not
// say, as the bill has it.
func (s *Step) Loudness() PieceSound {
	switch {
	case s.Heard != nil:
		return *s.Heard
	case s.Own():
		return s.Show.Bill.Sound.Piece()
	}
	return PieceSound{}
}

// Sound is the soundtrack of a piece; that of the folder's own piece stands in the bill.
func (s *Step) Sound() source.Ref {
	switch {
	case s.Stands():
		return source.Ref{}
	case s.Own():
		return s.Show.Bill.Soundtrack
	}
	return s.Soundtrack
}

// Name is what the step is called.
func (s *OrderStep) Name() string { return s.Standing.Name + s.Piece.Name }

// LooksOfCues are the looks that the cues of a piece with a file of its own name.
func (s *OrderStep) LooksOfCues() []string {
	if s.score == nil {
		return nil
	}
	var out []string
	for i := range s.score.Cues {
		out = append(out, s.score.Cues[i].Look.Name)
	}
	return out
}

// mostSteps bounds a running order: an evening of a hundred pieces with a look
// before each.
const mostSteps = 200

// readOrder reads a running order, and the cues of its pieces; nil when it cannot be
// read. own is the piece that is the folder's own, which only one order may have.
func readOrder(dir fs.FS, file string, text reader, looks source.Named[score.Look], own *source.Pos, faults *source.Faults) *Order {
	data, ok := text(dir, file, faults)
	if !ok {
		return nil
	}
	o := &Order{}
	*faults = append(*faults, source.Decode(file, data, o)...)
	if len(o.Steps) > mostSteps {
		faults.Add(o.Pos, "", "%d steps are more than the %d of one running order", len(o.Steps), mostSteps)
		o.Steps = o.Steps[:mostSteps]
	}
	names := map[string]int{}
	for i := range o.Steps {
		s := &o.Steps[i]
		if s.Pos.Line == 0 {
			continue // it could not be read, and has its fault
		}
		s.check(looks, faults)
		if n := s.Name(); n != "" {
			if line, twice := names[n]; twice {
				faults.Add(s.Pos, "give each a name of its own, as blue before the second piece", "two steps are called %q; the first is on line %d", n, line)
			}
			names[n] = s.Pos.Line
		}
		if s.Own() && s.Piece.Name != "" {
			if own.Line != 0 {
				faults.Add(s.Pos, "give it a file of cues: {piece: finale, soundtrack: finale.ogg, cues: finale.yaml}", "piece %s names no cues, and the folder's own were given to a piece before", s.Piece)
			}
			*own = s.Pos
		}
		if s.Cues.Name != "" {
			s.readCues(dir, text, looks, faults)
		}
		if s.score != nil && s.Soundtrack.Name == "" {
			unheard(s.score, faults)
		}
	}
	if len(o.Steps) == 0 {
		faults.Add(somewhere(o.Pos, file), "list standing looks and pieces", "the running order is empty")
	}
	return o
}

// somewhere is a place in a file: its beginning, where a text that could not be read has
// none.
func somewhere(pos source.Pos, file string) source.Pos {
	if pos.Line == 0 {
		return source.Pos{File: file, Line: 1, Column: 1}
	}
	return pos
}

// check finds what is wrong with a step by itself.
func (s *OrderStep) check(looks source.Named[score.Look], faults *source.Faults) {
	if h := s.Heard; h != nil {
		fades(h.Pos, "piece "+s.Piece.Name, faults, map[string]*time.Duration{"fade in": &h.FadeIn, "fade out": &h.FadeOut})
	}
	switch {
	case s.Standing.Name == "" && s.Piece.Name == "":
		faults.Add(s.Pos, "{standing: interval, look: house} or {piece: one}", "the step is neither a standing look nor a piece")
	case s.Standing.Name != "" && s.Piece.Name != "":
		faults.Add(s.Pos, "standing and piece exclude one another", "the step is a standing look and a piece at once")
		s.Piece = source.Ref{}
	case s.Stands():
		s.checkStanding(looks, faults)
	case s.Heard != nil && s.Soundtrack.Name == "" && s.Cues.Name != "":
		faults.Add(s.Heard.Pos, "give it a soundtrack, or leave sound out", "piece %s says how loud it is, and has no soundtrack", s.Piece)
	case s.Look.Name != "" || s.Up != 0 || s.Usually != 0 || s.Most != 0 || s.Until != score.Until{}:
		faults.Add(s.Pos, "its cues bring its looks, and it lasts as long as its sound and its cues", "piece %s has what only a standing look has: look, up, until, usually or at most", s.Piece)
	case s.Cues.Name == "" && s.Soundtrack.Name != "":
		faults.Add(s.Pos, "name its file of cues", "piece %s has a soundtrack of its own and no cues of its own", s.Piece)
	}
}

func (s *OrderStep) checkStanding(looks source.Named[score.Look], faults *source.Faults) {
	switch {
	case s.Look.Name == "":
		faults.Add(s.Pos, "", "standing look %s names no look", s.Standing)
	case looks != nil && looks.Get(s.Look.Name) == nil:
		faults.Add(s.Look.Pos, source.OneOf(s.Look.Name, source.Names(looks)), "there is no look %q", s.Look.Name)
	}
	score.CheckLength(s.Pos, "standing look "+s.Standing.Name, s.Until, &s.Usually, &s.Most, faults)
	if s.Up < 0 || s.Up > time.Hour {
		faults.Add(s.Pos, "", "standing look %s comes over a time outside 0 to 1 h", s.Standing)
		s.Up = 0
	}
	if s.Heard != nil {
		faults.Add(s.Heard.Pos, "", "standing look %s says how loud it is, and has no sound", s.Standing)
		s.Heard = nil
	}
	if s.Soundtrack.Name != "" || s.Cues.Name != "" {
		faults.Add(s.Pos, "", "standing look %s has a soundtrack or cues, as only pieces have", s.Standing)
		s.Soundtrack, s.Cues = source.Ref{}, source.Ref{}
	}
}

// taken are the texts of the folder that hold something else than a piece's cues.
var taken = []string{BillFile, RigFile, RoomFile, ScoreFile, ReadingsFile, OrderFile, ZonesFile, TriggersFile, CalendarFile, TrimsFile}

// readCues reads the cues of a piece.
func (s *OrderStep) readCues(dir fs.FS, text reader, looks source.Named[score.Look], faults *source.Faults) {
	name := s.Cues.Name
	if !fs.ValidPath(name) || slices.Contains(taken, path.Clean(name)) {
		faults.Add(s.Cues.Pos, "a file of its own inside the folder, as pieces/finale.yaml", "%q cannot hold the cues of a piece", name)
		return
	}
	if _, err := fs.Stat(dir, name); errors.Is(err, fs.ErrNotExist) {
		faults.Add(s.Cues.Pos, "write the piece's cues into it", "the file is missing: %s", name)
		return
	}
	data, ok := text(dir, name, faults)
	if !ok {
		return
	}
	var more source.Faults
	s.score, more = score.ReadCues(name, data, looks)
	*faults = append(*faults, more...)
}
