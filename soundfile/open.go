package soundfile

import (
	"context"
	"errors"
	"fmt"
	"io"

	"lampblack/folder"
)

// Open reads the kind of file from its content and returns its samples as a
// stream that reads from r. The name is for messages only. Closing the stream
// leaves r open.
func Open(r io.ReadSeeker, name string) (Stream, error) {
	s, err := open(context.Background(), r, "")
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	return s, nil
}

// OpenFile opens the file at path, a plain file, as [Open] does; closing the
// stream closes it, and reads end when the context is done.
func OpenFile(ctx context.Context, path string) (Stream, error) {
	f, err := folder.OpenFile(ctx, path, folder.MaxSound)
	if err != nil {
		return nil, err
	}
	s, err := open(ctx, f, path)
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("read %s: %w", path, err)
	}
	return &fileStream{Stream: s, file: f}, nil
}

// open picks the decoder. A panic of a third-party decoder on a hostile header
// becomes an error.
func open(ctx context.Context, r io.ReadSeeker, path string) (s Stream, err error) {
	defer func() {
		if p := recover(); p != nil {
			s, err = nil, fmt.Errorf("damaged beyond what its decoder can read: %v", p)
		}
	}()
	src, err := newSource(r)
	if err != nil {
		return nil, err
	}
	if src.size == 0 {
		return nil, errors.New("the file is empty")
	}
	s, err = sniff(src)(src)
	if errors.Is(err, errNotOurs) {
		return openHelper(ctx, src, path, err)
	}
	return s, err
}

// errNotOurs marks content that only the helper program may know.
var errNotOurs = errors.New("not a sound file of a kind that is read here")

// fileStream is a stream that owns its file.
type fileStream struct {
	Stream
	file io.Closer
}

func (s *fileStream) Close() error {
	return errors.Join(s.Stream.Close(), s.file.Close())
}

func (s *fileStream) notes() []string { return Notes(s.Stream) }
