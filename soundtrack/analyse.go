package soundtrack

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack/net"
)

// Options tune the search for moments. The zero value works.
type Options struct {
	// Progress, when set, is called now and then with the share of the sound
	// that has been heard, 0..1, or with -1 when its length is unknown.
	Progress func(done float64)
	// LeastSure is the score, 0 to 1, from which a peak counts as a hit; 0 for
	// the calibrated value of about 0.4. Less finds more.
	LeastSure float64
	// ShortestHush is how long silence lasts at least; 0 for half a second.
	ShortestHush time.Duration
	// Count chooses among the ways to count the beats, one of Counts; the first
	// where it is empty or was not found.
	Count string
	// Brought is a folder that what was heard came along in, with a show from another
	// machine; it is only read, before cacheDir. "" for none.
	Brought string
	// Judge, when set, takes the place of the built-in network that tells
	// hits from other rises. It is for training.
	Judge *net.Net
}

// Analyse reads s to its end and returns what was heard. It does not close s.
func Analyse(ctx context.Context, s soundfile.Stream, o Options) (*Track, error) {
	h, err := hear(ctx, s, o, nil)
	if err != nil {
		return nil, err
	}
	return finished(h, "", o), nil
}

// AnalyseFile opens path, listens to it, and keeps nothing.
func AnalyseFile(ctx context.Context, path string, o Options) (*Track, error) {
	return Listen(ctx, path, "", o)
}

// Listen is AnalyseFile with a memory: what was heard in a file of this
// content is kept in cacheDir ("" for none) and taken from there next time.
//
// Only the options Progress and Judge touch what is kept: any other may change
// without the sound being heard again. With a Judge nothing is kept.
func Listen(ctx context.Context, path, cacheDir string, o Options) (*Track, error) {
	hash, err := contentHash(ctx, path)
	if err != nil {
		return nil, err
	}
	h, fresh, err := hearOnce(ctx, path, hash, cacheDir, o)
	if err != nil {
		return nil, err
	}
	t := finished(h, hash, o)
	if fresh && cacheDir != "" && o.Judge == nil {
		if err := keep(ctx, cacheName(cacheDir, hash), h); err != nil {
			t.Notes = append(t.Notes, err.Error())
		}
	}
	if cacheDir != "" && o.Judge == nil {
		remember(ctx, cacheDir, path, hash)
	}
	return t, nil
}

// hearOnce takes what was heard before in a file of this content, or hears it.
func hearOnce(ctx context.Context, path, hash, cacheDir string, o Options) (h *heard, fresh bool, err error) {
	for _, dir := range []string{o.Brought, cacheDir} {
		if dir == "" || o.Judge != nil {
			continue
		}
		if h, err := kept(ctx, cacheName(dir, hash)); err == nil {
			return h, false, nil
		}
	}
	h, err = hearFile(ctx, path, o)
	return h, true, err
}

// Take returns what listening finds in a file, as another machine may be given it, and the
// name that it is to have in the folder [Options.Brought].
func Take(ctx context.Context, path, cacheDir string, o Options) (name string, data []byte, err error) {
	hash, err := contentHash(ctx, path)
	if err != nil {
		return "", nil, err
	}
	h, _, err := hearOnce(ctx, path, hash, cacheDir, o)
	if err != nil {
		return "", nil, err
	}
	data, err = encode(h)
	return cacheName("", hash), data, err
}

// finished finds the moments, whether the sound was heard just now or once before.
func finished(h *heard, hash string, o Options) *Track {
	t := find(h, o)
	t.Hash = hash
	if o.Progress != nil {
		o.Progress(1)
	}
	return t
}

// hearFile decodes on one core and listens on another.
func hearFile(ctx context.Context, path string, o Options) (*heard, error) {
	s, err := soundfile.OpenFile(ctx, path)
	if err != nil {
		return nil, err
	}
	s = soundfile.Ahead(s)
	defer s.Close()
	h, err := hear(ctx, s, o, nil)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	h.Notes = soundfile.Notes(s)
	return h, nil
}

// chunk is the number of frames read at a time.
const chunk = 4096

// hear runs the one pass over the samples. watch, when set, gets the peaks instead of
// the judging network.
func hear(ctx context.Context, s soundfile.Stream, o Options, watch func(Candidate)) (*heard, error) {
	f := s.Format()
	if f.Rate < 1000 || f.Rate > 1e6 || f.Channels < 1 || f.Channels > 256 {
		return nil, fmt.Errorf("listen: %d channels at %d Hz is no sound to listen to", f.Channels, f.Rate)
	}
	e := newEar(f.Rate, f.Channels)
	e.watch, e.net = watch, o.Judge
	if e.net == nil {
		e.net = builtIn
	}
	e.netWork = e.net.NewWork()
	buf := make([]float32, chunk*f.Channels)
	for n := 0; ; n++ {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("listen: %w", err)
		}
		frames, err := s.Read(buf)
		e.feed(buf[:frames*f.Channels])
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("listen: at %v: %w", e.heard.duration(), err)
		}
		if o.Progress != nil && n%64 == 0 {
			o.Progress(share(e.heard.Frames, f.Frames))
		}
	}
	return e.finish(), nil
}

// share is what Progress is told: -1 while nobody knows how much is to come.
func share(done, all int64) float64 {
	if all <= 0 {
		return -1
	}
	return min(1, float64(done)/float64(all))
}
