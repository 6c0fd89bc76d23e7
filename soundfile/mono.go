package soundfile

// Mono returns s mixed down to one channel by one rule: the arithmetic mean of
// all channels, the low-frequency one included, each with the same weight. So a
// file and the same sound copied to two channels give the same samples, and full
// scale stays full scale. Its price: sound that stands in opposite phase in two
// channels cancels. The result owns s.
func Mono(s Stream) Stream {
	if s.Format().Channels == 1 {
		return s
	}
	return &mono{Stream: s, ch: s.Format().Channels}
}

type mono struct {
	Stream
	ch  int
	buf []float32
}

func (m *mono) Format() Format {
	f := m.Stream.Format()
	f.Channels = 1
	return f
}

func (m *mono) Read(dst []float32) (int, error) {
	// Frames at a time: a long dst would need channels times its memory.
	const block = 4096
	want := min(len(dst), block)
	if len(m.buf) < want*m.ch {
		m.buf = make([]float32, want*m.ch)
	}
	n, err := m.Stream.Read(m.buf[:want*m.ch])
	MixMono(dst[:n], m.buf, m.ch)
	return n, err
}

func (m *mono) notes() []string { return Notes(m.Stream) }

// MixMono writes the mean of each interleaved frame of src to dst, by the rule
// of [Mono]. src holds at least len(dst) frames.
func MixMono(dst, src []float32, channels int) {
	if len(src) < len(dst)*channels {
		panic("soundfile: MixMono of too few frames")
	}
	switch channels {
	case 1:
		copy(dst, src)
	case 2:
		for i := range dst {
			dst[i] = (src[2*i] + src[2*i+1]) * 0.5
		}
	default:
		scale := 1 / float32(channels)
		for i := range dst {
			var sum float32
			for _, v := range src[i*channels : (i+1)*channels] {
				sum += v
			}
			dst[i] = sum * scale
		}
	}
}
