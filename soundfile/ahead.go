package soundfile

import (
	"io"
	"sync"
)

// Ahead returns s read by a goroutine of its own, up to a few blocks ahead of
// its reader, so that decoding goes on beside the work on what was decoded. The
// samples are the same. The result owns s; Close waits for the goroutine.
func Ahead(s Stream) Stream {
	a := &ahead{
		s: s, format: s.Format(),
		full: make(chan aheadBlock, aheadBlocks),
		free: make(chan []float32, aheadBlocks),
		stop: make(chan struct{}),
	}
	size := max(aheadSamples/a.format.Channels, 1) * a.format.Channels
	for range aheadBlocks {
		a.free <- make([]float32, size)
	}
	a.done.Add(1)
	go a.run()
	return a
}

// Four blocks of 16 Ki samples: 256 KiB, about 0.7 s of stereo.
const (
	aheadBlocks  = 4
	aheadSamples = 16 << 10
)

type aheadBlock struct {
	samples []float32
	err     error
}

// Blocks go round: free to run, which fills them, full to the reader, which gives them
// back. Both channels have room for all of them, so only an empty one makes anyone wait.
type ahead struct {
	s      Stream // owned by run until done
	format Format
	full   chan aheadBlock
	free   chan []float32
	stop   chan struct{}
	done   sync.WaitGroup
	once   sync.Once

	// Owned by the reader.
	block []float32 // being read, to be freed
	rest  []float32
	err   error
}

// run ends at the first error of s, or when told to stop.
func (a *ahead) run() {
	defer a.done.Done()
	defer close(a.full)
	for {
		var buf []float32
		select {
		case <-a.stop:
			return
		case buf = <-a.free:
		}
		n, err := a.s.Read(buf)
		select {
		case <-a.stop:
			return
		case a.full <- aheadBlock{buf[:n*a.format.Channels], err}:
		}
		// Closing full tells the reader, by the deferred call, that nothing follows.
		if err != nil {
			return
		}
	}
}

func (a *ahead) Format() Format { return a.format }

// Read hands out what is there rather than wait for a full dst: at the start of a run
// sound is needed soon. An error is kept until all in front of it was read.
func (a *ahead) Read(dst []float32) (int, error) {
	n := 0
	for n < len(dst)/a.format.Channels*a.format.Channels {
		if len(a.rest) == 0 && !a.fetch(n > 0) {
			break
		}
		k := copy(dst[n:len(dst)/a.format.Channels*a.format.Channels], a.rest)
		a.rest = a.rest[k:]
		n += k
	}
	if n == 0 {
		if a.err == nil {
			return 0, io.ErrShortBuffer
		}
		return 0, a.err
	}
	return n / a.format.Channels, nil
}

// fetch gives the block that was read back and takes the next. With some samples at hand
// already it does not wait for more.
func (a *ahead) fetch(some bool) bool {
	if a.err != nil {
		return false
	}
	if a.block != nil {
		a.free <- a.block[:cap(a.block)] // never blocks: the channel holds all blocks
		a.block = nil
	}
	var b aheadBlock
	var ok bool
	if some {
		select {
		case b, ok = <-a.full:
		default:
			return false
		}
	} else {
		b, ok = <-a.full
	}
	if !ok {
		a.err = errClosed
		return false
	}
	a.block, a.rest, a.err = b.samples, b.samples, b.err
	return len(b.samples) > 0
}

// Close waits for a read of s that is under way, then closes s, which is not safe for two.
func (a *ahead) Close() error {
	a.once.Do(func() { close(a.stop) })
	a.done.Wait()
	if a.err == nil {
		a.err = errClosed
	}
	a.rest = nil
	return a.s.Close()
}

// notes may be called when the stream has ended or was closed; before that the
// goroutine owns s and there is nothing to say yet.
func (a *ahead) notes() []string {
	select {
	case <-a.stop:
	default:
		if a.err == nil {
			return nil
		}
	}
	a.done.Wait()
	return Notes(a.s)
}
