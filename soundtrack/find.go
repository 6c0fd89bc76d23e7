package soundtrack

// find turns what was heard into moments.
func find(h *heard, o Options) *Track {
	t := &Track{
		Duration: h.duration(), Rate: h.Rate, Channels: h.Channels,
		Loudness:  Curve{hop, sliding(h.Power, 40)},
		ShortTerm: Curve{10 * hop, every(sliding(h.Power, 300), 10)},
		Programme: programmeLoudness(h.Power),
		Range:     loudnessRange(h.Power),
		Overview:  Overview{2 * hop, h.Level[0], h.Level[1], h.Level[2]},
	}
	t.Moments = append(t.Moments, hushes(h.Power, t.Programme)...)
	t.Moments = append(t.Moments, hits(h)...)
	sortMoments(t.Moments)
	return t
}

func every(x []float32, n int) []float32 {
	var out []float32
	for i := 0; i < len(x); i += n {
		out = append(out, x[i])
	}
	return out
}
