package begin

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"lampblack/folder"
	"lampblack/soundfile"
	"lampblack/source"
)

// MostSound bounds a sound that a page brings, bytes: three hours of stereo at 48 kHz in 24 bits.
const MostSound = 4 << 30

// Upload is a sound on its way into a folder. It comes in pieces, in their order, and is in the
// folder when all of it is there and it is a sound. It is not safe for use by several goroutines.
type Upload struct {
	Name      string // that the file gets
	Size, Got int64

	to     *io.PipeWriter
	done   chan struct{} // closes when err is what came of it
	err    error
	cancel context.CancelFunc
}

// Receive begins to take a sound in.
func Receive(ctx context.Context, dir, name string, size int64) (*Upload, error) {
	switch {
	case size <= 0:
		return nil, Unfit{"this file is empty"}
	case size > MostSound:
		return nil, Unfit{fmt.Sprintf("this file has %d MB: a sound of at most %d MB", size>>20, int64(MostSound)>>20)}
	}
	if err := FolderName(name); err != nil {
		return nil, Unfit{fmt.Sprintf("a sound cannot be called %s: give the file another name", source.Visible(name))}
	}
	if !IsShow(dir) {
		return nil, Unfit{"there is no show in this folder any more"}
	}
	u := &Upload{Name: free(dir, name), Size: size, done: make(chan struct{})}
	ctx, u.cancel = context.WithCancel(ctx)
	from, to := io.Pipe()
	u.to = to
	path := filepath.Join(dir, u.Name)
	go func() {
		defer close(u.done)
		u.err = folder.WriteStream(ctx, path, func(w io.Writer) error {
			n, err := io.Copy(w, from)
			if err == nil && n != size {
				err = io.ErrUnexpectedEOF
			}
			return err
		}, func(path string) error { return isSound(ctx, path) })
		_ = from.CloseWithError(u.err)
	}()
	return u, nil
}

// free is a name that no file of the folder has.
func free(dir, name string) string {
	end := filepath.Ext(name)
	for n := 1; ; n++ {
		next := name
		if n > 1 {
			next = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, end), n, end)
		}
		if _, err := os.Lstat(filepath.Join(dir, next)); errors.Is(err, os.ErrNotExist) {
			return next
		}
	}
}

// Take takes the next piece; at is where in the file it stands.
func (u *Upload) Take(at int64, data []byte) error {
	if at != u.Got || at+int64(len(data)) > u.Size {
		return Unfit{"a piece of the sound is missing: bring it again"}
	}
	n, err := u.to.Write(data)
	u.Got += int64(n)
	if err != nil {
		<-u.done
		err = u.err
	}
	return err
}

// Finish waits until the sound is in the folder.
func (u *Upload) Finish() error {
	_ = u.to.Close()
	<-u.done
	u.cancel()
	return u.err
}

// Close drops a sound that is not all there.
func (u *Upload) Close() {
	u.cancel()
	_ = u.to.CloseWithError(context.Canceled)
	<-u.done
}

// isSound refuses a file from which not even its beginning can be heard.
func isSound(ctx context.Context, path string) error {
	s, err := soundfile.OpenFile(ctx, path)
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return errNoSound
	}
	defer s.Close()
	block := make([]float32, 4096*max(s.Format().Channels, 1))
	if n, err := s.Read(block); n == 0 && err != nil {
		return errNoSound
	}
	return nil
}

var errNoSound = Unfit{"this is no sound that can be read: WAV, FLAC, MP3, Ogg Vorbis or Opus"}
