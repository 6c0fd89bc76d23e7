package soundfile

import (
	"errors"
	"io"
	"slices"
	"testing"
)

func TestMono(t *testing.T) {
	s := Mono(openBytes(t, wavBytes(t, 8000, 3, 32, []float32{0.5, 0.25, 0, -1, 0.5, 0.5, 0.75, 0.75, 0.75})))
	if f := s.Format(); f.Channels != 1 || f.Frames != 3 {
		t.Errorf("%+v: want 1 channel and 3 frames", f)
	}
	if got := drain(t, s); !slices.Equal(got, []float32{0.25, 0, 0.75}) {
		t.Errorf("%v: want the means 0.25, 0 and 0.75", got)
	}
	one := openBytes(t, wavBytes(t, 8000, 1, 16, []float32{0.5}))
	if Mono(one) != one {
		t.Error("a mono stream is wrapped")
	}
}

// TestAhead: reading ahead gives the same samples, ends, and can be closed early.
func TestAhead(t *testing.T) {
	in := music(44100, 2, 5, 2)
	file := wavBytes(t, 44100, 2, 32, in)
	s := Ahead(openBytes(t, file))
	if got := drain(t, s); !slices.Equal(got, in) {
		t.Error("read ahead it has other samples")
	}
	if _, err := s.Read(make([]float32, 2)); !errors.Is(err, io.EOF) {
		t.Errorf("behind the end: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	early := Ahead(openBytes(t, file))
	if n, err := early.Read(make([]float32, 10)); n != 5 || err != nil {
		t.Errorf("first read: %d, %v", n, err)
	}
	if err := early.Close(); err != nil {
		t.Error(err)
	}
	if _, err := early.Read(make([]float32, 1<<20)); err == nil {
		t.Error("a closed stream still reads")
	}
	cut := Ahead(openBytes(t, file[:len(file)/2]))
	drain(t, cut)
	if len(Notes(cut)) == 0 {
		t.Error("no note on a cut file")
	}
}
