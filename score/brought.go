package score

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

// from adds the looks from which light moves.
func (l *Lives) from(out map[string]bool) {
	var of []*Swing
	if l.OnBeat != nil {
		of = append(of, &l.OnBeat.Swing)
	}
	if l.InTurn != nil {
		of = append(of, &l.InTurn.Swing)
	}
	if l.Through != nil {
		of = append(of, &l.Through.Swing)
	}
	if l.Follows != nil {
		of = append(of, &l.Follows.Swing)
	}
	if l.Like != nil {
		of = append(of, &l.Like.Swing)
	}
	if l.Wanders != nil {
		of = append(of, &l.Wanders.Swing)
	}
	for _, s := range of {
		out[s.From.Name] = true
	}
}
