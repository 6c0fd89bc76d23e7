package begin

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/show"
)

// Options say what a guide works with.
type Options struct {
	List string // of the shows that were opened; "" remembers none
	Home string // the folder that new shows are put into if none is said
	Kept string // where is kept what was heard and worked out; "" for nowhere
	// Within is how long to look for places of lamps; 0 is [PlacesWithin].
	Within time.Duration
	// Draft proposes cues for the sound of a folder and writes them, and says what came of it.
	Draft func(ctx context.Context, dir, who string, tell func(what string)) (said string, err error)
	// Open has the book of a folder's show served.
	Open func(ctx context.Context, dir string, tell func(what string)) error
}

// PlacesWithin is how long places of lamps are looked for.
const PlacesWithin = 30 * time.Second

// Guide leads through the questions: what takes long goes on behind them. It is safe for use by many
// goroutines.
type Guide struct {
	o    Options
	ctx  context.Context
	stop context.CancelFunc

	mu      sync.Mutex // guards what follows
	works   []*work
	uploads map[string]*upload // by folder
	ended   bool
	going   sync.WaitGroup
}

// Kinds of work.
const (
	Listening = "sound"
	Placing   = "places"
	Finishing = "finish"
	Opening   = "open"
)

// Work is something that takes a while.
type Work struct {
	Kind   string  `json:"kind"`
	What   string  `json:"what"`  // it is at, in words
	Share  float64 `json:"share"` // of it that is done, 0 to 1; 0 where that is not known
	Done   bool    `json:"done"`
	Failed string  `json:"failed"`
	Said   string  `json:"said"` // what came of it
	Took   float64 `json:"took"` // s
}

type work struct {
	Work
	dir   string
	begun time.Time
	stop  context.CancelFunc
}

// NewGuide returns a guide.
func NewGuide(o Options) *Guide {
	if o.Within <= 0 {
		o.Within = PlacesWithin
	}
	g := &Guide{o: o, uploads: map[string]*upload{}}
	g.ctx, g.stop = context.WithCancel(context.Background())
	return g
}

// Close ends all that goes on, and waits for it.
func (g *Guide) Close() {
	g.mu.Lock()
	g.ended = true
	g.mu.Unlock()
	g.stop()
	g.going.Wait()
	g.mu.Lock()
	defer g.mu.Unlock()
	for _, u := range g.uploads {
		u.is.Close()
	}
	clear(g.uploads)
}

// Home is where new shows are put.
func (g *Guide) Home() string { return g.o.Home }

// Recents lists the shows that were opened.
func (g *Guide) Recents(ctx context.Context) []Recent {
	if g.o.List == "" {
		return []Recent{}
	}
	return Recents(ctx, g.o.List)
}

func (g *Guide) remember(ctx context.Context, dir string) {
	if g.o.List != "" {
		_ = Remember(ctx, g.o.List, dir) // a list that cannot be kept keeps nobody from a show
	}
}

// Dir is the folder of a show of that name: in the folder that somebody says, or at home.
func (g *Guide) Dir(in, name string) (string, error) {
	if err := FolderName(name); err != nil {
		return "", err
	}
	in = strings.TrimSpace(in)
	if in == "" {
		in = g.o.Home
	}
	if rest, home := strings.CutPrefix(in, "~"); home && (rest == "" || os.IsPathSeparator(rest[0])) {
		if d, err := os.UserHomeDir(); err == nil {
			in = filepath.Join(d, rest)
		}
	}
	if !filepath.IsAbs(in) {
		return "", Unfit{fmt.Sprintf("%q is no whole path of a folder: as %s", in, g.o.Home)}
	}
	return filepath.Join(filepath.Clean(in), name), nil
}

// New begins a show, and returns its folder.
func (g *Guide) New(ctx context.Context, who, in, name string, a What) (string, error) {
	dir, err := g.Dir(in, name)
	if err == nil {
		err = New(ctx, dir, who, a)
	}
	if err != nil {
		return "", err
	}
	g.remember(ctx, dir)
	return dir, nil
}

// Works are what goes on in a folder, or came to an end there.
func (g *Guide) Works(dir string) []Work {
	g.mu.Lock()
	defer g.mu.Unlock()
	out := []Work{}
	for _, w := range g.works {
		if w.dir == dir {
			one := w.Work
			if !one.Done {
				one.Took = time.Since(w.begun).Seconds()
			}
			out = append(out, one)
		}
	}
	return out
}

// ErrBusy is that this goes on already.
var ErrBusy = Unfit{"this goes on already"}

// start has something done behind the questions: of a kind there is one in a folder at a time.
func (g *Guide) start(kind, dir, what string, do func(ctx context.Context, w *work) (said string, err error)) error {
	g.mu.Lock()
	defer g.mu.Unlock()
	i := slices.IndexFunc(g.works, func(w *work) bool { return w.Kind == kind && w.dir == dir })
	switch {
	case g.ended:
		return context.Canceled
	case i >= 0 && !g.works[i].Done:
		return ErrBusy
	case i >= 0:
		g.works = slices.Delete(g.works, i, i+1)
	}
	ctx, stop := context.WithCancel(g.ctx)
	w := &work{Work: Work{Kind: kind, What: what}, dir: dir, begun: time.Now(), stop: stop}
	g.works = append(g.works, w)
	g.going.Go(func() {
		defer stop()
		said, err := do(ctx, w)
		g.mu.Lock()
		defer g.mu.Unlock()
		w.Done, w.Said, w.Took = true, said, time.Since(w.begun).Seconds()
		switch {
		case err != nil && ctx.Err() != nil:
			w.Failed = "stopped"
		case err != nil:
			w.Failed = err.Error()
		default:
			w.Share = 1
		}
	})
	return nil
}

// tell says what a work is at.
func (g *Guide) tell(w *work) func(what string) {
	return func(what string) {
		g.mu.Lock()
		defer g.mu.Unlock()
		w.What = what
	}
}

func (g *Guide) share(w *work) func(float64) {
	return func(done float64) {
		g.mu.Lock()
		defer g.mu.Unlock()
		w.Share = min(max(done, 0), 1)
	}
}

// Stop ends a work; what it found by then is kept where it can be.
func (g *Guide) Stop(dir, kind string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	for _, w := range g.works {
		if w.dir == dir && w.Kind == kind {
			w.stop()
		}
	}
}

// Propose looks for places of lamps.
func (g *Guide) Propose(dir, who string) error {
	return g.start(Placing, dir, "looking for places", func(ctx context.Context, w *work) (string, error) {
		p, err := Propose(ctx, dir, who, g.o.Within, g.o.Kept, g.share(w))
		if errors.Is(err, ErrNothing) {
			return "", Unfit{"there is nothing to look for: every lamp has a place, or no look asks for light that has a number. Say where it is played, or what must glow"}
		}
		if err != nil {
			return "", err
		}
		return p.String(), nil
	})
}

// Back takes the last edit of a folder back, whoever made it, or does one again that was taken back.
func (g *Guide) Back(ctx context.Context, dir, who string, again bool) (string, error) {
	turn := ledger.Undo
	if again {
		turn = ledger.Redo
	}
	e, err := turn(ctx, dir, who)
	if err == nil && e.Back+e.Again == 0 {
		err = ledger.ErrNothing
	}
	if err == nil {
		if data, e := readBill(ctx, dir); e == nil && data == nil { // the first edit of all: a show stays one
			_, err = ledger.Redo(ctx, dir, who)
			if err == nil {
				err = ledger.ErrNothing
			}
		}
	}
	return e.What, err
}

func readBill(ctx context.Context, dir string) ([]byte, error) {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return f.Optional(show.BillFile)
}
