package soundfile

// A linkFit brings a link of a chain to the format of the first link. Streams have one
// format from beginning to end, chained Ogg may change both rate and channels in between.
type linkFit struct {
	from, to Format
	r        *Resampler // nil when the rates agree
	buf      []float32
}

// newLinkFit panics on rates that Format.check refuses: links are checked before.
func newLinkFit(from, to Format) *linkFit {
	f := &linkFit{from: from, to: to}
	if from.Rate != to.Rate {
		r, err := NewResampler(from.Rate, to.Rate, to.Channels)
		if err != nil {
			panic("soundfile: link of a checked format: " + err.Error())
		}
		f.r = r
	}
	return f
}

// append fits whole frames of src and appends them to dst. Channels come before the rate,
// so that the resampler is planned for one number of them.
func (f *linkFit) append(dst, src []float32) []float32 {
	if f.from.Channels != f.to.Channels {
		f.buf = appendChannels(f.buf[:0], src, f.from.Channels, f.to.Channels)
		src = f.buf
	}
	if f.r != nil {
		return f.r.Append(dst, src)
	}
	return append(dst, src...)
}

// flush appends what the resampler still holds at the end of a link.
func (f *linkFit) flush(dst []float32) []float32 {
	if f.r != nil {
		return f.r.Flush(dst)
	}
	return dst
}

// appendChannels changes the number of channels: one becomes all, many become
// one by their mean, and otherwise channels keep their places, silent where there
// are none.
func appendChannels(dst, src []float32, from, to int) []float32 {
	for i := 0; i+from <= len(src); i += from {
		frame := src[i : i+from]
		for c := range to {
			v := float32(0)
			switch {
			case to == 1:
				for _, x := range frame {
					v += x
				}
				v /= float32(from)
			case from == 1:
				v = frame[0]
			case c < from:
				v = frame[c]
			}
			dst = append(dst, v)
		}
	}
	return dst
}
