package begin

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"lampblack/demo"
)

// Open has the book of a folder's show served.
func (g *Guide) Open(dir string) error {
	if !filepath.IsAbs(dir) || !IsShow(dir) {
		return Unfit{"there is no show in this folder"}
	}
	return g.start(Opening, dir, "opening the book", func(ctx context.Context, w *work) (string, error) {
		if err := g.o.Open(ctx, dir, g.tell(w)); err != nil {
			return "", err
		}
		g.remember(ctx, dir)
		return "", nil
	})
}

// Finish drafts cues where there is a sound, checks the show, and has its book served.
func (g *Guide) Finish(dir, who string) error {
	return g.start(Finishing, dir, "reading", func(ctx context.Context, w *work) (said string, err error) {
		a, err := Read(ctx, dir)
		switch {
		case err != nil:
			return "", err
		case len(a.Units.Groups) == 0:
			return "", Unfit{"a show wants at least one lamp: question 5"}
		case len(a.Faults) > 0:
			return "", Unfit{a.Faults[0]}
		}
		if a.Sound.Name != "" {
			if said, err = g.o.Draft(ctx, dir, who, g.tell(w)); err != nil {
				return "", err
			}
		}
		if err := g.o.Open(ctx, dir, g.tell(w)); err != nil {
			return "", err
		}
		g.remember(ctx, dir)
		return said, nil
	})
}

// Demo writes an example show, and has its book served.
func (g *Guide) Demo(name, in, called string) (string, error) {
	i := slices.IndexFunc(demo.Demos(), func(d demo.Demo) bool { return d.Name == name })
	if i < 0 {
		return "", Unfit{fmt.Sprintf("there is no example %q", name)}
	}
	d := demo.Demos()[i]
	if called == "" {
		called = d.Dir
	}
	dir, err := g.Dir(in, called)
	if err != nil {
		return "", err
	}
	if err := Free(dir); errors.Is(err, ErrShow) { // taken as it is, as the command does
		return dir, g.Open(dir)
	} else if err != nil {
		return "", err
	}
	return dir, g.start(Opening, dir, "making the sound", func(ctx context.Context, w *work) (string, error) {
		if err := d.Write(ctx, dir, g.share(w)); err != nil {
			return "", err
		}
		g.share(w)(0)
		if err := g.o.Open(ctx, dir, g.tell(w)); err != nil {
			return "", err
		}
		g.remember(ctx, dir)
		return "", nil
	})
}
