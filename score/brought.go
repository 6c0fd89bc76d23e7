package score

import "lampblack/source"

// Brought lists the looks that something of the score brings: a cue, a look that is like them, light that
// moves from them.
func (s *Score) Brought() map[string]bool {
	out := map[string]bool{}
	for i := range s.Cues {
		out[s.Cues[i].Look.Name] = true
		s.Cues[i].Lives.from(out)
	}
	for i := range s.Looks {
		l := &s.Looks[i].Value
		out[l.Like.Name] = true
		for k := range l.Parts {
			l.Parts[k].Lives.from(out)
		}
	}
	return out
}

// swung is how far one of the movements goes, and where that stands.
type swung struct {
	pos source.Pos
	*Swing
}

// swings lists those of all movements that are written.
func (l *Lives) swings() (out []swung) {
	if b := l.OnBeat; b != nil {
		out = append(out, swung{b.Pos, &b.Swing})
	}
	if b := l.InTurn; b != nil {
		out = append(out, swung{b.Pos, &b.Swing})
	}
	if b := l.Through; b != nil {
		out = append(out, swung{b.Pos, &b.Swing})
	}
	if b := l.Follows; b != nil {
		out = append(out, swung{b.Pos, &b.Swing})
	}
	if b := l.Like; b != nil {
		out = append(out, swung{b.Pos, &b.Swing})
	}
	if b := l.Wanders; b != nil {
		out = append(out, swung{b.Pos, &b.Swing})
	}
	return out
}

// from adds the looks from which light moves.
func (l *Lives) from(out map[string]bool) {
	for _, s := range l.swings() {
		out[s.From.Name] = true
	}
}
