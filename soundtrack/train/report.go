package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"lampblack/soundtrack"
	"lampblack/soundtrack/net"
	"lampblack/soundtrack/truth"
)

func (m *memory) Read(dst []float32) (int, error) {
	if len(m.samples) == 0 {
		return 0, io.EOF
	}
	n := copy(dst, m.samples)
	m.samples = m.samples[n:]
	return n, nil
}

func (m *memory) Close() error { return nil }

// report prints how well n finds the notes of the named files, by the two windows that
// onset evaluations use, 25 ms and 50 ms. P is precision, R recall, F their harmonic mean;
// the median is how late hits are told. It goes through the whole of soundtrack, not only the
// network.
func report(n *net.Net, names []string) error {
	var all25, all50 truth.Score
	for _, name := range names {
		midi, err := truth.MIDIFile(name)
		if err != nil {
			return err
		}
		notes, err := truth.ReadMIDI(midi)
		if err != nil {
			return err
		}
		want := truth.Merge(attacks(notes), mergeGap)
		for _, r := range truth.Renderings {
			got, err := found(n, midi, r)
			if err != nil {
				return err
			}
			a, b := truth.Match(want, got, 25*time.Millisecond), truth.Match(want, got, 50*time.Millisecond)
			fmt.Printf("%-22s %.5s reverb %-5t F %.3f at 25 ms (P %.3f R %.3f) %.3f at 50 ms, median %+.1f ms\n", name, r.Font, r.Reverb,
				a.F(), a.Precision(), a.Recall(), b.F(), b.Median.Seconds()*1000)
			all25, all50 = all25.Plus(a), all50.Plus(b)
		}
	}
	fmt.Printf("pooled F %.4f at 25 ms, %.4f at 50 ms\n", all25.F(), all50.F())
	return nil
}

// found listens to a rendering with the network as judge and returns the hits, merged as
// the true attacks are.
func found(n *net.Net, midi []byte, r truth.Rendering) ([]time.Duration, error) {
	path, err := r.Render(midi)
	if err != nil {
		return nil, err
	}
	t, err := soundtrack.AnalyseFile(context.Background(), path, soundtrack.Options{Judge: n})
	if err != nil {
		return nil, err
	}
	var got []time.Duration
	for _, m := range t.Hits() {
		got = append(got, m.Time)
	}
	return truth.Merge(got, mergeGap), nil
}
