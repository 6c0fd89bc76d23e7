package show

// Encode fills the universes of a frame from its levels and flash rates, which
// may have been set by hand.
func (s *Show) Encode(f *Frame) { s.encoder.Encode(f.Universes, f.Levels, f.Flash) }
