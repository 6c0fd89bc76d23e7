package score

import (
	"time"

	"lampblack/light"
	"lampblack/living"
	"lampblack/si"
	"lampblack/source"
)

// The bounds of what moves by itself: what a person can see as a movement of light, and what
// can be computed with.
const (
	longestEdge = time.Minute    // of a rise or fall
	slowest     = 24 * time.Hour // of a drift
	fewest      = time.Second
	leastSpeed  = 0.01 // m/s
	mostSpeed   = 1000 // m/s
	leastLength = 0.05 // m
	mostLength  = 1000 // m
)

// checkLives finds what is wrong with how light of a look moves by itself. What is wrong is taken out,
// so that what follows computes with sane values while the fault stands.
func (s *Score) checkLives(l *Lives, look string, faults *source.Faults) {
	for _, b := range l.swings() {
		s.checkSwing(b.Swing, b.pos, look, faults)
	}
	if b := l.OnBeat; b != nil {
		checkEdge(b.Pos, "rise", &b.Rise, faults)
		checkEdge(b.Pos, "fall", &b.Fall, faults)
		if b.As != "" && (b.Rise > 0 || b.Fall > 0) {
			faults.Add(b.Pos, "leave out either", "it rises and falls as the %s sound does, and in stated times as well", b.As)
		}
	}
	if b := l.InTurn; b != nil && (b.Overlap < 0 || b.Overlap > 1) {
		faults.Add(b.Pos, "", "an overlap of %g %% lies outside 0 %% to 100 %%", percent(b.Overlap))
		b.Overlap = 0
	}
	if b := l.Through; b != nil {
		b.check(faults)
	}
	if b := l.Follows; b != nil {
		checkEdge(b.Pos, "rise", b.Rise, faults)
		checkEdge(b.Pos, "fall", b.Fall, faults)
	}
	if b := l.Wanders; b != nil {
		b.check(faults)
	}
}

// checkSwing holds the least light to a share, and a look to one that is there and another.
func (s *Score) checkSwing(w *Swing, pos source.Pos, look string, faults *source.Faults) {
	if w.Down != nil && (*w.Down < 0 || *w.Down > 1) {
		faults.Add(pos, "", "down to %g %% lies outside 0 %% to 100 %%", percent(*w.Down))
		w.Down = nil
	}
	n := w.From.Name
	switch {
	case n == "":
	case s.Looks.Get(n) == nil:
		faults.Add(w.From.Pos, source.OneOf(n, source.Names(s.Looks)), "there is no look %q", n)
		w.From = source.Ref{}
	case n == look:
		faults.Add(w.From.Pos, "name another look, or say how far down it goes: down to: 20 %", "the light of look %q comes from itself, so nothing moves", n)
	case w.Down != nil:
		faults.Add(w.From.Pos, "leave out either", "the light goes down to a share, and from another look as well")
	}
}

// checkEdge holds a time to 0 to a minute.
func checkEdge(pos source.Pos, name string, t *time.Duration, faults *source.Faults) {
	if t != nil && (*t < 0 || *t > longestEdge) {
		faults.Add(pos, "", "a %s of %s lies outside 0 to %s", name, si.FormatTime(*t), si.FormatTime(longestEdge))
		*t = 0
	}
}

func (b *Through) check(faults *source.Faults) {
	switch {
	case b.Direction != "" && b.Point != nil:
		faults.Add(b.Pos, "leave out either", "the wave has a direction, and goes out from a point as well")
	case b.Direction == Round:
		faults.Add(b.Pos, "use in turn, which goes round", "a wave goes in a direction, outward or inward, not round")
		b.Direction = ""
	}
	if b.Speed != 0 && (b.Speed < leastSpeed || b.Speed > mostSpeed) {
		faults.Add(b.Pos, "", "a speed of %v lies outside 1 cm/s to 1000 m/s", b.Speed)
		b.Speed = 0
	}
	if b.Length != 0 && (b.Length < leastLength || b.Length > mostLength) {
		faults.Add(b.Pos, "", "a length of %v lies outside 5 cm to 1 km", b.Length)
		b.Length = 0
	}
}

func (b *Wanders) check(faults *source.Faults) {
	if b.Every != 0 && (b.Every < fewest || b.Every > slowest) {
		faults.Add(b.Pos, "", "a drift of %s lies outside 1 s to 24 h", si.FormatTime(b.Every))
		b.Every = 0
	}
	if len(b.Among) == 1 {
		faults.Add(b.Pos, "name two at least", "one colour is none to wander among")
		b.Among = nil
	}
	if len(b.Among) > living.MostPoints {
		faults.Add(b.Pos, "", "%d colours are more than the %d among which light may wander", len(b.Among), living.MostPoints)
		b.Among = b.Among[:living.MostPoints]
	}
	for i := range b.Among {
		if _, err := light.ParseColour(b.Among[i].Text); err != nil && b.Among[i].Text != "" {
			faults.Add(b.Among[i].Pos, "", "%v", err)
			b.Among = nil
			return
		}
	}
}
