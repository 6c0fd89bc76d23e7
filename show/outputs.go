package show

// Output is what measuring found that the emitter of a drive gives, over what its type's
// file says: 1 where nothing was measured.
func (s *Show) Output(drive int) float64 {
	if s.outputs == nil {
		return 1
	}
	d := &s.Rig.Drives[drive]
	return s.outputs[d.Unit][d.Emitter]
}

// measuredOutputs is Output by unit and emitter; nil where nothing was measured.
func (s *Show) measuredOutputs() [][]float64 {
	if s.Measured == nil {
		return nil
	}
	out := make([][]float64, len(s.Rig.Units))
	for u := range s.Rig.Units {
		if t := s.Rig.Units[u].Type; t != nil {
			out[u] = make([]float64, len(t.Emitters))
			for e := range t.Emitters {
				out[u][e] = 1
			}
		}
	}
	for i := range s.Measured {
		f := &s.Measured[i]
		if u := s.Rig.Index(f.Unit); u >= 0 && out[u] != nil {
			if e := s.Rig.Units[u].Type.Emitters.Index(f.Emitter); e >= 0 {
				out[u][e] = float64(f.Output.Best)
			}
		}
	}
	return out
}
