package soundtrack

import (
	"context"
	"errors"

	"lampblack/soundfile"
)

// Options tune the search for moments. The zero value works.
type Options struct {
	// Progress, when set, is called now and then with the share of the file
	// that has been heard, 0..1; with -1 when the length is unknown.
	Progress func(done float64)
}

// Analyse reads s to its end and returns what was heard.
func Analyse(ctx context.Context, s soundfile.Stream, o Options) (*Track, error) {
	return nil, errors.New("soundtrack: not built yet")
}

// AnalyseFile opens path, listens to it, and keeps nothing.
func AnalyseFile(ctx context.Context, path string, o Options) (*Track, error) {
	return Listen(ctx, path, "", o)
}

// Listen is AnalyseFile with a memory: what was heard in a file of this
// content is kept in cacheDir ("" for none) and taken from there next time.
func Listen(ctx context.Context, path, cacheDir string, o Options) (*Track, error) {
	return nil, errors.New("soundtrack: not built yet")
}
