package mp3

import (
	"runtime"
	"sync"
)

// A Decoder turns frames into interleaved samples, a batch at a time. It is for one
// goroutine; those that it starts itself end before Next returns.
type Decoder struct {
	scan     *Scanner
	channels int
	pending  []byte // main data of past frames: the bit reservoir
	frames   []frame
	grains   []granule // of the batch, behind the warm-up granules of the last one
	warm     int       // how many of those there are
	out      []float32
	lost     int // frames whose main data was not there
	err      error
	workers  int
}

const (
	// batchFrames is about 0.8 s: long enough that threads pay, short enough
	// for a stream.
	batchFrames = 32
	// warmup is how many granules rebuild a channel's memory: the overlap of
	// one is in the samples of the next, and those are in the filter bank of
	// the one after.
	warmup = 2
	// reservoir is the farthest that main_data_begin reaches back: 9 bits.
	reservoir = 511
)

// NewDecoder decodes the frames that scan yields from here on, as channels
// channels: frames in mono fill all, and of two channels the mean is taken for
// one.
func NewDecoder(scan *Scanner, channels int) *Decoder {
	return &Decoder{scan: scan, channels: channels, workers: min(runtime.GOMAXPROCS(0), 4)}
}

// Lost returns how many frames so far were silent because the main data that
// they lean on was missing.
func (d *Decoder) Lost() int { return d.lost }

// Next returns the samples of the next batch, valid until the next call. The
// error is io.EOF at the end.
//
// A batch that the end or a fault of the reader cuts short is returned first, the error
// by the call after it.
func (d *Decoder) Next() ([]float32, error) {
	if d.err != nil {
		return nil, d.err
	}
	d.collect()
	if len(d.frames) == 0 {
		return nil, d.err
	}
	per := d.frames[0].header.granules()
	total := d.warm + per*len(d.frames)
	d.keepWarm(total)
	fresh := d.grains[d.warm:total]
	d.each(len(d.frames), func(from, to int) {
		for i := from; i < to; i++ {
			d.frames[i].spectra(fresh[i*per : (i+1)*per])
			d.matchChannels(d.frames[i].header.Channels, fresh[i*per:(i+1)*per])
		}
	})
	if need := len(fresh) * lines * d.channels; cap(d.out) < need {
		d.out = make([]float32, need)
	}
	d.out = d.out[:len(fresh)*lines*d.channels]
	d.synthesise(total)
	return d.out, nil
}

// collect takes up to a batch of frames and the main data that each needs.
func (d *Decoder) collect() {
	d.frames = d.frames[:0]
	for len(d.frames) < batchFrames {
		h, raw, err := d.scan.Next()
		if err != nil {
			d.err = err
			return
		}
		var room []byte // of a frame of the batch before
		if n := len(d.frames); n < cap(d.frames) {
			room = d.frames[:n+1][n].data
		}
		d.frames = append(d.frames, d.gather(h, raw, room))
	}
}

// gather cuts a frame's main data out of the reservoir (2.4.2.7, main_data_begin)
// into room.
func (d *Decoder) gather(h Header, raw, room []byte) frame {
	f := frame{header: h, data: room[:0], size: -1}
	start := h.sideStart()
	main := start + h.sideSize()
	if len(raw) < main {
		return f
	}
	f.side = parseSideInfo(h, raw[start:main])
	begin := len(d.pending) - f.side.begin
	d.pending = append(d.pending, raw[main:]...)
	// Behind a cut or a damaged frame the bytes that main_data_begin points to were never
	// read. The frame is then silent, but its own bytes go to the reservoir for the next.
	// A frame whose lengths claim more than there is gets what there is: each channel
	// compares its own end with size.
	if begin >= 0 {
		n := min(len(d.pending)-begin, f.mainBytes())
		f.data = append(f.data, d.pending[begin:begin+n]...)
		f.data = append(f.data, padding[:]...)
		f.size = 8 * n
	} else {
		d.lost++
	}
	if extra := len(d.pending) - reservoir; extra > 0 {
		d.pending = d.pending[:copy(d.pending, d.pending[extra:])]
	}
	return f
}

// padding follows main data, so that reading past its end finds zeros.
var padding [bitPad]byte

// mainBytes returns the bytes that the frame's granules say they take.
func (f *frame) mainBytes() int {
	bits := 0
	for gr := range f.header.granules() {
		for ch := range f.header.Channels {
			bits += f.side.info[gr][ch].length
		}
	}
	return (bits + 7) / 8
}

// keepWarm makes room for total granules, of which the first are those that synthesise
// kept of the batch before.
func (d *Decoder) keepWarm(total int) {
	if len(d.grains) < total {
		grown := make([]granule, total)
		copy(grown, d.grains[:d.warm])
		d.grains = grown
	}
}

// matchChannels gives granules of a frame with other channels those of the stream. The
// mean of two channels can be taken of their spectra, as all that follows is linear, but
// only while both use the same blocks; where they do not, the left one stands for both.
func (d *Decoder) matchChannels(has int, gs []granule) {
	for i := range gs {
		g := &gs[i]
		switch {
		case has == 1 && d.channels == 2:
			g.line[1], g.used[1], g.block[1], g.mixed[1] = g.line[0], g.used[0], g.block[0], g.mixed[0]
		case has == 2 && d.channels == 1 && g.block[0] == g.block[1] && g.mixed[0] == g.mixed[1]:
			for k, v := range g.line[1] {
				g.line[0][k] = (g.line[0][k] + v) / 2
			}
			g.used[0] = max(g.used[0], g.used[1])
		}
	}
}

// synthesise makes samples of all granules behind the warm-up ones, in runs that
// are independent of each other, and keeps the spectra that the next batch
// starts from.
func (d *Decoder) synthesise(total int) {
	saved := make([]granule, min(warmup, total))
	copy(saved, d.grains[total-len(saved):total]) // before the transforms work in place
	fresh := total - d.warm
	// As many runs as there are workers, all channels together; each run but a channel's
	// first repeats two granules of work.
	pieces := 1
	if d.workers > 1 {
		pieces = (d.workers + d.channels - 1) / d.channels
	}
	type run struct{ ch, from, to int }
	var runs []run
	for ch := range d.channels {
		for p := range pieces {
			runs = append(runs, run{ch, d.warm + fresh*p/pieces, d.warm + fresh*(p+1)/pieces})
		}
	}
	lead := make([][]granule, len(runs)) // copies, since the run before works on the same granules
	for i, r := range runs {
		lead[i] = append(lead[i], d.grains[max(r.from-warmup, 0):r.from]...)
	}
	d.each(len(runs), func(from, to int) {
		for i := from; i < to; i++ {
			d.synthesiseRun(lead[i], runs[i].ch, runs[i].from, runs[i].to)
		}
	})
	d.warm = copy(d.grains, saved)
}

// synthesiseRun makes the samples of granules from up to to in one channel. Those of lead,
// up to two that come before, only fill the memories; what they sound like is thrown away.
func (d *Decoder) synthesiseRun(lead []granule, ch, from, to int) {
	var h hybrid
	var s synthesis
	var waste [lines]float32
	for i := range lead {
		h.run(&lead[i], ch)
		s.run(waste[:], 1, &lead[i].line[ch])
	}
	for i := from; i < to; i++ {
		h.run(&d.grains[i], ch)
		s.run(d.out[(i-d.warm)*lines*d.channels+ch:], d.channels, &d.grains[i].line[ch])
	}
}

// each calls do for parts of n on as many workers as pay; all are done when it
// returns.
func (d *Decoder) each(n int, do func(from, to int)) {
	w := min(d.workers, n)
	if w < 2 {
		do(0, n)
		return
	}
	var wg sync.WaitGroup
	for i := range w {
		wg.Go(func() { do(n*i/w, n*(i+1)/w) })
	}
	wg.Wait()
}
