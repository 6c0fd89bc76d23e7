package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"lampblack/begin"
	"lampblack/check/finding"
	"lampblack/ledger"
	"lampblack/show"
	"lampblack/si"
	"lampblack/web"
	"lampblack/web/admit"
)

const beginHelp = `Serve the page that a show begins with, on this computer alone, and open it in the
browser: the shows that were open, the examples, and a new show, which eight plain
questions lead to. ` + "`lampblack`" + ` alone, on a terminal, does the same.

The answers are written at once, as the ordinary files of a show's folder, and each can
be taken back. What nobody said is marked there as guessed. The page ends in a show that
is drafted and checked, with its book open at the same address.`

func beginCmd() *cobra.Command {
	var f beginFlags
	c := &cobra.Command{
		Use:   "begin",
		Short: "serve the page that a show begins with, and open it in the browser",
		Long:  beginHelp,
		Args:  cobra.NoArgs,
		RunE:  func(c *cobra.Command, _ []string) error { return f.serve(c) },
	}
	c.Flags().StringVar(&f.address, "address", usualAddress, "where to serve; port 0 takes a free one")
	c.Flags().BoolVar(&f.stay, "no-browser", false, "open no browser: the address is printed in any case")
	return c
}

// usualAddress is where pages are served if nothing else is said.
const usualAddress = "127.0.0.1:8512"

type beginFlags struct {
	address string
	stay    bool
}

// alone is what the program does without a subcommand: on a terminal it begins, elsewhere it says how it is used.
func alone(c *cobra.Command) error {
	if !terminal(c.OutOrStdout()) {
		return c.Help()
	}
	return (&beginFlags{address: usualAddress}).serve(c)
}

// serve serves the start page until the command is stopped.
func (f *beginFlags) serve(c *cobra.Command) error {
	ctx, cancel := context.WithCancel(c.Context())
	defer cancel()
	words := c.ErrOrStderr()
	listener, err := listenLoopback(f.address)
	if errors.Is(err, errTaken) && f.address == usualAddress {
		listener, err = listenLoopback("127.0.0.1:0")
	}
	if err != nil {
		return err
	}
	keeps := newScribe(func(what, text string) { say(words, what, text) })
	defer keeps.close()
	key, _ := ownKey(ctx, words)
	gate := admit.New(admit.Options{Own: key, Write: keeps.keepsOrders("")})
	s := &starting{ctx: ctx, words: words, gate: gate}
	guide := begin.NewGuide(begin.Options{List: recentList(), Home: showsHome(), Kept: cacheDir(), Draft: s.draft, Open: s.openBook})
	s.pages = web.NewStart(gate, guide)
	link := fmt.Sprintf("http://%s/begin#key=%s", listener.Addr(), gate.Own())
	fmt.Fprintf(c.OutOrStdout(), "%s\n", link)
	fmt.Fprintln(words, "the shows are at this address, for you on this computer; ctrl-c ends it, `lampblack --help` lists the commands")
	if !f.stay {
		defer showLink(ctx, words, link)()
	}
	defer guide.Close()
	return serveWays(ctx, []way{{listener, s.pages.Handler()}}, s.leave)
}

// recentList is where the shows that were opened are remembered; "" for nowhere.
func recentList() string {
	if d := userState(); d != "" {
		return filepath.Join(d, "shows.json")
	}
	return ""
}

// showsHome is the folder that new shows are put into if nobody says another.
func showsHome() string {
	home, err := os.UserHomeDir()
	if err != nil {
		if home, err = os.Getwd(); err != nil {
			return ""
		}
	}
	return filepath.Join(home, "lampblack-shows")
}

// starting has the books of shows served behind the start page, one at a time.
type starting struct {
	ctx   context.Context
	words io.Writer
	gate  *admit.Gate
	pages *web.Start

	mu   sync.Mutex // one book is opened at a time
	open func()     // ends the book that is open; nil for none
}

// piece is a command that a show can be loaded by, as by one that was typed; words gets what it says.
func (s *starting) piece(ctx context.Context, words io.Writer) *cobra.Command {
	c := pieceFlag(&cobra.Command{})
	c.SetContext(ctx)
	c.SetOut(io.Discard)
	c.SetErr(words)
	return c
}

// load solves and checks the show of a folder; what keeps it from that is said in words.
func (s *starting) load(ctx context.Context, dir string) (*cobra.Command, *loaded, *show.Show, error) {
	var words bytes.Buffer
	c := s.piece(ctx, &words)
	l, sh, err := solved(c, dir)
	if errors.Is(err, errStops) {
		err = begin.Unfit{Text: whyShut(l.findings)}
	}
	if err != nil && l != nil {
		l.close()
	}
	return c, l, sh, err
}

// whyShut are the first findings that keep a show from being opened.
func whyShut(list []finding.Finding) string {
	var out []string
	for i := range list {
		if len(out) < 3 && list[i].Severity == finding.Stop {
			out = append(out, list[i].Place+": "+list[i].Text)
		}
	}
	return "the show cannot be opened as it is. " + strings.Join(out, "; ")
}

// openBook opens the book of a folder's show behind the start page, in the place of the one that was.
func (s *starting) openBook(ctx context.Context, dir string, tell func(string)) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	tell("working out the light, and checking")
	c, l, sh, err := s.load(ctx, dir)
	if err != nil {
		return err
	}
	findings, err := l.ofPiece(ctx)
	if err != nil {
		return err
	}
	b, err := newBookOf(web.Options{Show: sh, Findings: findings, Gate: s.gate, Nights: nights{l.folder.Dir()}, Begins: true}, false)
	if err != nil {
		return err
	}
	tell("opening the book")
	piece := pieceNamed(c)
	b.shows.Store(&piece)
	during, end := context.WithCancel(s.ctx)
	b.writes(during, s.words, l, findings)
	b.rounds(l)
	var watching sync.WaitGroup
	watching.Go(func() { b.watchFolder(during, s.words, l.folder.Dir()) })
	was := s.open
	s.open = func() {
		end()
		_ = b.ended()
		watching.Wait()
		b.work.Close()
		_ = b.server.Close()
		l.close()
	}
	s.pages.SetBook(dir, b.server.Handler())
	if was != nil {
		was()
	}
	return nil
}

// leave ends the book that is open.
func (s *starting) leave() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.open != nil {
		s.open()
		s.open = nil
	}
}

// draft proposes cues for the sound of a folder, and writes them.
func (s *starting) draft(ctx context.Context, dir, who string, tell func(string)) (string, error) {
	tell("listening, and working out the light")
	c, l, sh, err := s.load(ctx, dir)
	if err != nil {
		return "", err
	}
	defer l.close()
	if l.of, err = l.filesOf(pieceNamed(c)); err != nil {
		return "", err
	}
	tell("proposing cues, each held against the checks")
	r, texts, err := l.draft(c, sh, 0)
	if err != nil {
		return "", err
	}
	_, err = ledger.Make(ctx, dir, who, func(t *ledger.Texts) (string, error) {
		if !bytes.Equal(t.Read(show.ScoreFile), texts.old) {
			return "", begin.ErrChanged
		}
		t.Put(show.ScoreFile, texts.score)
		if texts.cues != nil {
			t.Put(texts.file, texts.cues)
		}
		return "cues drafted", nil
	})
	if err != nil && !errors.Is(err, ledger.ErrUnchanged) {
		return "", err
	}
	return si.Count(len(r.Cues), "cue was", "cues were") + " drafted from what was heard", nil
}

// showLink opens the link in this user's browser, by way of a file that nobody else may read: what a
// command is given, others on the machine can see. It returns what takes that file away.
func showLink(ctx context.Context, words io.Writer, link string) (done func()) {
	dir, err := privateDir()
	if err != nil {
		return func() {}
	}
	name := filepath.Join(dir, "open.html")
	page := fmt.Sprintf("<!doctype html><meta charset=\"utf-8\"><title>Lampblack</title><meta http-equiv=\"refresh\" content=\"0;url=%s\"><p><a href=\"%s\">The shows</a></p>\n", link, link)
	if err := writePrivate(ctx, name, []byte(page)); err != nil {
		return func() {}
	}
	c := browserCommand(name)
	if c == nil || c.Start() != nil {
		fmt.Fprintln(words, "no browser was found to open: put the address above into one")
		return func() { _ = os.Remove(name) }
	}
	go func() { _ = c.Wait() }()
	return func() { _ = os.Remove(name) }
}
