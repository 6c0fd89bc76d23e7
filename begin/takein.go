package begin

import (
	"context"
	"errors"
	"sync"

	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/soundtrack"
)

// upload is one on its way, and who holds it.
type upload struct {
	mu sync.Mutex
	is *Upload
}

// Sound takes a piece of a sound in. With the last one the sound is the show's, and is listened to.
func (g *Guide) Sound(ctx context.Context, dir, who, name string, size, at int64, data []byte) error {
	u, err := g.upload(dir, name, size, at)
	if err != nil {
		return err
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.is.Got == u.is.Size {
		return ErrBusy
	}
	if err := u.is.Take(at, data); err != nil {
		g.drop(dir, u)
		return plainly(err)
	}
	if u.is.Got < u.is.Size {
		return nil
	}
	err = u.is.Finish()
	g.forget(dir, u)
	if err != nil {
		return plainly(err)
	}
	a, err := Read(ctx, dir)
	if err == nil {
		a.Sound.Name = u.is.Name
		err = Put(ctx, dir, who, SoundQuestion, a.Marks[SoundQuestion], a)
	}
	if err != nil && !errors.Is(err, ledger.ErrUnchanged) {
		return err
	}
	return g.Listen(dir)
}

// plainly is an error without the name of the file that nobody chose.
func plainly(err error) error {
	var unfit Unfit
	if errors.As(err, &unfit) {
		return unfit
	}
	return err
}

// upload is the sound that is on its way into a folder; a first piece begins another.
func (g *Guide) upload(dir, name string, size, at int64) (*upload, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	u := g.uploads[dir]
	if at > 0 {
		if u == nil {
			return nil, Unfit{"this sound was stopped, or another browser brings one: bring it again"}
		}
		return u, nil
	}
	if g.ended {
		return nil, context.Canceled
	}
	next, err := Receive(g.ctx, dir, name, size)
	if err != nil {
		return nil, err
	}
	if u != nil {
		g.going.Go(u.is.Close)
	}
	u = &upload{is: next}
	g.uploads[dir] = u
	return u, nil
}

func (g *Guide) drop(dir string, u *upload) {
	u.is.Close()
	g.forget(dir, u)
}

func (g *Guide) forget(dir string, u *upload) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.uploads[dir] == u {
		delete(g.uploads, dir)
	}
}

// Listen listens to the sound of a folder: what was heard is kept, and is there when it is drafted.
func (g *Guide) Listen(dir string) error {
	g.Stop(dir, Listening)
	err := g.start(Listening, dir, "listening", func(ctx context.Context, w *work) (string, error) {
		a, err := Read(ctx, dir)
		if err != nil || a.Sound.Name == "" {
			return "", err
		}
		f, err := folder.Open(ctx, dir)
		if err != nil {
			return "", err
		}
		path, err := f.Path(a.Sound.Name)
		f.Close()
		if err != nil {
			return "", err
		}
		t, err := soundtrack.Listen(ctx, path, g.o.Kept, soundtrack.Options{Progress: g.share(w)})
		if err != nil {
			return "", err
		}
		return heard(t), nil
	})
	if errors.Is(err, ErrBusy) { // one that was stopped is on its way out: the questions ask again
		return nil
	}
	return err
}
