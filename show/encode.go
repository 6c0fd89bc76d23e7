package show

// Encode fills the universes of a frame from its levels and flash rates, which
// may have been set by hand, as light that stands.
func (s *Show) Encode(f *Frame) {
	f.stand(s.encoder.Still(f.Levels))
	s.encoder.Encode(f.Universes, f.Levels, f.Flash, f.still, nil)
}

// EncodePassing is Encode for light that is not to stand for long: it computes the slots,
// where Encode searches for the best.
func (s *Show) EncodePassing(f *Frame) {
	f.stand(nil)
	s.encoder.Encode(f.Universes, f.Levels, f.Flash, f.still, nil)
}
