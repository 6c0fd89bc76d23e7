package show

import (
	"io/fs"
	"path/filepath"
	"strconv"
	"time"

	"lampblack/score"
	"lampblack/si"
	"lampblack/soundtrack"
	"lampblack/source"
)

// What a show of looks alone is guessed to be (a choice, no source).
const (
	impliedUp    = 3 * time.Second  // over which a look comes
	impliedUsual = time.Minute      // for which one stands
	impliedMost  = 10 * time.Minute // and at most, which doses are counted with
)

// impliedOrder is the running order of a score without cues: each look stands, in the
// order of the file, and waits for go. The look for lights up has a key of its own, and no
// place in it.
func impliedOrder(sc *score.Score, faults *source.Faults) *Order {
	o := &Order{Pos: sc.Pos, implied: true}
	for i := range sc.Looks {
		e := &sc.Looks[i]
		if e.Value.Purpose == LightsUpPurpose && len(sc.Looks) > 1 {
			continue
		}
		if len(o.Steps) == mostSteps {
			faults.Note(e.Pos, "cues, or a running order, say which come when", "of more than %d looks without cues the first %d are run", mostSteps, mostSteps)
			break
		}
		name := source.Ref{Name: e.Name, Pos: e.Pos}
		o.Steps = append(o.Steps, OrderStep{Pos: e.Pos, Standing: name, Look: name, Up: impliedUp, Usually: si.Stretch(impliedUsual), Most: si.Stretch(impliedMost)})
	}
	return o
}

// Implied tells whether the order is not written: each look of a score without cues stands,
// in the order of the file.
func (o *Order) Implied() bool { return o != nil && o.implied }

// needsCues tells whether the folder's own piece has nothing that says when its looks
// come, and gives a score of looks alone its order.
func (f *Files) needsCues(own source.Pos, ordered bool, faults *source.Faults) {
	sc := f.Score
	switch {
	case sc.Cues != nil || sc.Line == 0 || ordered && own.Line == 0:
	case len(sc.Looks) == 0 || own.Line != 0 && f.Bill.Soundtrack.Name == "":
		faults.Add(sc.Pos, "cues: [{cue: 1, at: 0:00, look: NAME}]; an evening whose pieces have files of their own does without", "%q is missing here", "cues")
	case f.Bill.Soundtrack.Name == "":
		f.Order = impliedOrder(sc, faults)
	default:
		f.spread = true
	}
}

// spreadCues guesses when the looks of a score without cues come: at even shares of its
// soundtrack, or on a turn of it that is near, the first as it begins. A track that was
// not heard counts a minute a look.
func spreadCues(sc *score.Score, track *soundtrack.Track) *score.Score {
	o := *sc
	o.Cues = nil
	order := impliedOrder(sc, &source.Faults{})
	length := time.Duration(len(order.Steps)) * impliedUsual
	if track != nil {
		length = track.Duration
	}
	share := length / time.Duration(len(order.Steps))
	for i := range order.Steps {
		at := (length * time.Duration(i) / time.Duration(len(order.Steps))).Truncate(time.Millisecond)
		if i > 0 {
			at = turnNear(track, at, share/4)
		}
		c := score.Cue{Pos: order.Steps[i].Pos, Number: source.Ref{Name: strconv.Itoa(i + 1), Pos: order.Steps[i].Pos}, At: &at, Look: order.Steps[i].Look}
		if i > 0 {
			c.Up = min(impliedUp, share/2)
		}
		o.Cues = append(o.Cues, c)
	}
	return &o
}

// turnNear is the turn of a track nearest to an instant and no farther from it than within,
// or the instant where there is none.
func turnNear(track *soundtrack.Track, at, within time.Duration) time.Duration {
	best := at
	if track == nil {
		return at
	}
	for i := range track.Moments {
		if m := &track.Moments[i]; m.Kind == soundtrack.Turn && (m.Time-at).Abs() <= within {
			best, within = m.Time, (m.Time - at).Abs()
		}
	}
	return best
}

// titleOf is what a show is called that does not say: its folder, where that has a name.
func titleOf(dir fs.FS) string {
	if named, ok := dir.(interface{ Dir() string }); ok {
		if full, err := filepath.Abs(named.Dir()); err == nil && filepath.Base(full) != string(filepath.Separator) {
			return filepath.Base(full)
		}
	}
	return "A show"
}
