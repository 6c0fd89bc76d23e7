package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"github.com/spf13/cobra"

	"lampblack/check/finding"
	"lampblack/doors"
	"lampblack/editing"
	"lampblack/play"
	"lampblack/play/hand"
	"lampblack/show"
	"lampblack/web"
	"lampblack/web/admit"
)

const openHelp = `Serve the book of a show on this computer: the sound with its moments, the
cues, the computed light of each system, and the findings in the margin. Cues and looks
are changed there as well, in the same files; whatever else writes those shows in the
pages, and every edit can be taken back (lampblack edits lists them). Only you on this
computer can: the printed link brings a key, which the browser keeps. With --phone other devices come that are paired
by a code, each to watch, to focus, to say go, or for all; the page Devices shows the
next code, what each may do, and what was asked for.

Scripts bring the key too:
  curl -H "Authorization: Bearer $(cat ~/.local/state/lampblack/key)" -X POST \
    http://127.0.0.1:8512/api/control/go

With --run the show runs as well, and the pages follow and steer it: the Night page
the show, By hand the lamps themselves, Focus one lamp after another. What is kept
by hand is written into score.yaml; trims and units that are out are for the night,
and stay in tonight.yaml.`

// openCmd serves a show that must not run too: its findings are there to be read. With
// --run it must be fit to.
func openCmd() *cobra.Command {
	var at addresses
	var withRun bool
	var f runFlags
	c := &cobra.Command{
		Use:   "open DIR",
		Short: "serve the book of a show to the browser on this computer",
		Long:  openHelp,
		Args:  dirArg,
		RunE: kept(func() bool { return withRun }, func(c *cobra.Command, args []string) error {
			return openBook(c, args[0], at, withRun, f)
		}),
	}
	at.flags(c)
	c.Flags().BoolVar(&withRun, "run", false, "run the show as well")
	f.flags(c)
	return pieceFlag(c)
}

// silentFor is how long a command works before it says so.
const silentFor = 2 * time.Second

// tellOfWork says that the light is being worked out, if that takes long, until what it returns is
// called; it may be called again.
func tellOfWork(words io.Writer) (stop func()) {
	done := make(chan struct{})
	t := time.AfterFunc(silentFor, func() {
		defer close(done)
		say(words, "note", "working out the light of the room and what the checks say of it: the address comes when that is done")
	})
	return sync.OnceFunc(func() {
		if !t.Stop() {
			<-done
		}
	})
}

// addresses are where the book is served.
type addresses struct {
	own   string
	phone phoneFlags
	seats web.Seats // measures in the hall, nil for nothing
	edits *loaded   // the show that pages may change; nil for none
	piece string    // of it, that they show
}

func (a *addresses) flags(c *cobra.Command) {
	c.Flags().StringVar(&a.own, "address", usualAddress, "where to serve; port 0 takes a free one")
	a.phone.flags(c)
}

// openBook serves the book until the command is stopped or the run is over.
//
// With a run, the run decides when it is over and the book ends with it; without one,
// the book is served until the command is stopped, and watches the files meanwhile.
// While a show runs its files are not watched: what is on the stage is what was
// checked.
func openBook(c *cobra.Command, dir string, at addresses, withRun bool, f runFlags) error {
	told := tellOfWork(c.ErrOrStderr())
	defer told()
	l, s, err := solvedFor(c, dir, reading{night: withRun}, solvedAs)
	if err != nil {
		return err
	}
	dir = l.folder.Dir() // where the show of a bundle lies
	findings, err := l.ofPiece(c.Context())
	told()
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(c.Context())
	defer cancel()
	at.edits, at.piece = l, pieceNamed(c)
	b, failed, err := at.open(ctx, c, s, findings, dir, withRun, f.besides(dir))
	if err != nil {
		return err
	}
	defer b.work.Close()
	b.rounds(l)
	if withRun {
		f.of(l)
		b.evening = l.evening != nil || l.place != nil || len(s.Waits) > 0
		b.buttons = pageTriggers(l.files.Triggers)
		f.address = b.address
		err = runShow(c, dir, s, f, b)
		cancel()
		return errors.Join(err, <-failed)
	}
	var watching sync.WaitGroup
	watching.Go(func() { b.watchFolder(ctx, c.ErrOrStderr(), dir) })
	err = <-failed
	cancel()
	watching.Wait()
	return errors.Join(err, b.ended())
}

// open begins to serve a book, and returns where its end is told.
func (a *addresses) open(ctx context.Context, c *cobra.Command, s *show.Show, findings []finding.Finding, dir string, steered bool, journal string) (b *book, failed <-chan error, err error) {
	if again != nil && again.Address != "" { // the pages that are open find it there
		a.own = again.Address
	}
	listener, err := listenLoopback(a.own)
	if errors.Is(err, errTaken) { // which must keep no show from running
		if host, _, cut := net.SplitHostPort(a.own); cut == nil {
			if other, again := listenLoopback(net.JoinHostPort(host, "0")); again == nil {
				say(c.ErrOrStderr(), "note", a.own+" is taken, maybe by another book: this one is at "+other.Addr().String())
				listener, err = other, nil
			}
		}
	}
	if err != nil {
		return nil, nil, err
	}
	recall(memoPhone, &a.phone.address) // else nobody who is paired would find it
	p, err := a.phone.open(ctx)
	if err != nil {
		return nil, nil, errors.Join(err, listener.Close())
	}
	if p != nil {
		remember(memoPhone, p.address)
	}
	words := c.ErrOrStderr()
	keeps := newScribe(func(what, text string) { say(words, what, text) })
	gate, kept := openGate(ctx, words, keeps, p, a.phone.length, journal)
	if b, err = newBook(s, findings, dir, steered, gate, p, a.seats); err != nil {
		keeps.close()
		return nil, nil, err
	}
	b.shows.Store(&a.piece)
	if a.edits != nil {
		b.writes(ctx, words, a.edits, findings)
	}
	b.address = listener.Addr().String()
	if again == nil || !kept { // else the pages that are open have it
		fmt.Fprintf(c.OutOrStdout(), "http://%s/#key=%s\n", b.address, gate.Own())
	}
	ways := []way{{listener, b.server.Handler()}}
	if p != nil {
		ways = append(ways, way{p.listener, b.server.Guests()})
		if again == nil { // whoever was paired still is
			p.tell(c.OutOrStdout(), b.server)
		}
	}
	end := make(chan error, 1)
	go func() {
		err := b.serve(ctx, ways)
		gate.Flush()
		keeps.close()
		end <- err
	}()
	return b, end, nil
}

// listenLoopback listens on this computer's own addresses only. A name other than
// localhost is not looked up, as it may lead anywhere.
func listenLoopback(address string) (net.Listener, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil, hinted{fmt.Errorf("address %q: %w", address, err), "as 127.0.0.1:8512"}
	}
	ip := net.ParseIP(host)
	if host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return nil, hinted{fmt.Errorf("the book is served to this computer alone, and %s is not one of its own addresses", host), "use 127.0.0.1"}
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, hinted{fmt.Errorf("serve the book: %w: %w", errTaken, err), "--address 127.0.0.1:0 takes a free port"}
	}
	return l, nil
}

// errTaken is that nothing can be served at an address.
var errTaken = errors.New("the address cannot be had")

// book is the served book of a show, and the page's side of a run. asked holds a few
// presses, so that two pages may press at once.
type book struct {
	server   *web.Server
	address  string
	asked    chan play.Command
	contacts contacts               // of the run
	lamps    *byHand                // of the run
	edits    *edits                 // of the run
	buttons  []string               // the triggers that the page has
	evening  bool                   // the run is of more than the book's piece
	idle     bool                   // the run is of no show
	nightly  *nightly               // runs the show; nil where the book follows a run
	steered  bool                   // there is a run
	lit      chan struct{}          // closes when the run has lamps
	sounds   *speakers              // of the run
	heard    chan struct{}          // closes when the run has sound
	shows    atomic.Pointer[string] // the piece that the book is open at
	work     *editing.Work          // the show as pages change it; nil where they do not
	tracks   *tracks                // of it
	round    *round                 // before doors
	setup    func(*wires) doors.Setup
	speakers []loudspeaker
	held     atomic.Bool // the run is
}

// ended ends a run that was begun from the pages.
func (b *book) ended() error {
	if b.nightly == nil {
		return nil
	}
	return b.nightly.End()
}

// piece is the piece that the book is open at, "" for the folder's own.
func (b *book) piece() string {
	if p := b.shows.Load(); p != nil {
		return *p
	}
	return ""
}

// newBook makes the book; without a run that is steered the page has no keys for it.
func newBook(s *show.Show, findings []finding.Finding, dir string, steered bool, gate *admit.Gate, p *phone, measures web.Seats) (*book, error) {
	o := web.Options{Show: s, Findings: findings, Gate: gate, Nights: nights{dir}, Seats: measures}
	if p != nil {
		o.Guest, o.Sealed = p.address, p.seal != nil
	}
	return newBookOf(o, steered)
}

// newBookOf is newBook of what the pages are to have beside the run's own.
func newBookOf(o web.Options, steered bool) (b *book, err error) {
	b = &book{steered: steered, asked: make(chan play.Command, 8), lit: make(chan struct{}), heard: make(chan struct{}), round: newRound()}
	o.Doors = b.round
	if steered {
		o.Control, o.Hands, o.Sounds = b, b, b
	}
	b.server, err = web.New(o)
	return b, err
}

// way is a listener with what answers there.
type way struct {
	listener net.Listener
	answers  http.Handler
}

// serve answers until ctx ends, then gives open pages half of the grace to hear of it.
// Slow or endless requests, and answers that are not taken, are cut off.
func (b *book) serve(ctx context.Context, ways []way) error {
	return serveWays(ctx, ways, func() { _ = b.server.Close() })
}

// serveWays is serve; end ends the streams of events.
func serveWays(ctx context.Context, ways []way, end func()) error {
	ends := make(chan error, len(ways))
	var servers []*http.Server
	for _, w := range ways {
		server := &http.Server{Handler: w.answers, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 15 * time.Second, WriteTimeout: time.Minute, IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10}
		servers = append(servers, server)
		go func() { ends <- server.Serve(w.listener) }()
	}
	<-ctx.Done()
	end() // or Shutdown would wait for the streams
	last, cancel := context.WithTimeout(context.Background(), grace/2)
	defer cancel()
	var all error
	for _, server := range servers {
		_ = server.Shutdown(last)
		_ = server.Close() // of connections that will not end
		if err := <-ends; !errors.Is(err, http.ErrServerClosed) {
			all = errors.Join(all, err)
		}
	}
	return all
}

// openGate lets the user of this computer in, and the devices that were paired before; kept is
// that the key is the same at the next start.
func openGate(ctx context.Context, words io.Writer, keeps *scribe, p *phone, length time.Duration, journal string) (g *admit.Gate, kept bool) {
	key, kept := ownKey(ctx, words)
	o := admit.Options{Own: key, For: length, Write: keeps.keepsOrders(journal)}
	if p != nil {
		write := keeps.keepsDevices(p.address)
		o.Keep = func(list []admit.Device) {
			remember(memoDevices, list) // the disk may not have it when this process dies
			write(list)
		}
		if !recall(memoDevices, &o.Devices) {
			o.Devices = readPaired(ctx, words, p.address)
		}
		o.Waits = func(list []admit.Code) { remember(memoCodes, list) }
		recall(memoCodes, &o.Codes)
	}
	return admit.New(o), kept
}

// The page's commands. A run that is too busy to take one loses it: the person
// presses again.

// ask hands a command to the run. The run's loop may be waiting for its next frame; the
// pages must not wait for it.
func (b *book) ask(c play.Command) {
	select {
	case b.asked <- c:
	default:
	}
}

func (b *book) Hold()                 { b.ask(play.Command{Do: play.Hold}) }
func (b *book) Go()                   { b.ask(play.Command{Do: play.Go}) }
func (b *book) Skip()                 { b.ask(play.Command{Do: play.Skip}) }
func (b *book) Back()                 { b.ask(play.Command{Do: play.Back}) }
func (b *book) LightsUp()             { b.ask(play.Command{Do: play.LightsUp}) }
func (b *book) LightsDown()           { b.ask(play.Command{Do: play.LightsDown}) }
func (b *book) ResetAlarm()           { b.ask(play.Command{Do: play.ResetAlarm}) }
func (b *book) Seek(at time.Duration) { b.ask(play.Command{Do: play.Seek, At: at}) }

// Edit passes on what becomes of a change of the files, unless there is none.
func (b *book) Edit(do string) (why string) {
	action := play.Action("edit " + do)
	if b.edits == nil {
		return errNoEdit.Error()
	}
	if why = b.edits.refuses(action); why == "" {
		b.ask(play.Command{Do: action})
	}
	return why
}

// Press presses the button of a trigger; one that the page has not is none.
func (b *book) Press(trigger string) {
	if slices.Contains(b.buttons, trigger) {
		b.contacts.press(trigger)
	}
}

// holds lets pages have the lamps of the run; it is called before the run begins.
func (b *book) holds(l *byHand) {
	b.lamps, l.book = l, b
	close(b.lit)
}

// changes lets pages tell of changes of the files; it is called before the run begins.
func (b *book) changes(e *edits) { b.edits = e }

// errNotYet is that the run has not begun.
var errNotYet = errors.New("the run has not begun: a moment")

// hands are the lamps of the run, once it has begun.
func (b *book) hands() (*byHand, error) {
	select {
	case <-b.lit:
		return b.lamps, nil
	default:
		return nil, errNotYet
	}
}

func (b *book) ofHands(do func(l *byHand) error) error {
	l, err := b.hands()
	if err == nil {
		err = do(l)
	}
	return err
}

func (b *book) Hand(o hand.Order) error {
	if err := b.alarmed(o); err != nil {
		return err
	}
	return b.ofHands(func(l *byHand) error { return l.Hand(o) })
}
func (b *book) Keep(look string, held []hand.Held) error {
	return b.ofHands(func(l *byHand) error { return l.Keep(look, held) })
}
func (b *book) Aimed(unit string, done bool, note string) error {
	return b.ofHands(func(l *byHand) error { return l.Aimed(unit, done, note) })
}
func (b *book) Write() error { return b.ofHands((*byHand).Write) }
func (b *book) Undo() error  { return b.ofHands((*byHand).Undo) }

func (b *book) Lamps() web.Lamps {
	l, err := b.hands()
	if err != nil {
		return web.Lamps{Wrong: err.Error()}
	}
	return l.Lamps()
}

// changed shows the show as it was changed by hand.
func (b *book) changed(ctx context.Context, l *loaded) {
	if err := l.pick(b.piece()); err != nil {
		return
	}
	if findings, err := l.ofPiece(ctx); err == nil {
		b.server.Replace(l.show, findings)
	}
}

func (b *book) commands() <-chan play.Command { return b.asked }

// follow tells the pages where the run is; it is called from the run's loop, and never
// waits.
func (b *book) follow(s play.Status) {
	p := web.Playhead{At: s.State.In.Seconds(), Running: true, Held: s.State.Held, LightsUp: s.State.LightsUp,
		Clock: s.ClockName, State: s.Clock.State.String(), Speed: s.Clock.Speed, Fault: s.Clock.Fault.Text, Hint: s.Clock.Fault.Hint}
	if s.Cue != nil {
		p.Cue = s.Cue.Number.Name
	}
	p.Alarm = alarmOf(&s)
	if text, hint := alarmFault(&s.Alarm); text != "" { // the alarm comes before the clock
		p.Fault, p.Hint = text, hint
	} else if text, hint := trialText(&s); text != "" {
		p.Fault, p.Hint = text, hint
	}
	if p.Fault == "" { // the clock's comes first: the light goes by it
		p.Fault, p.Hint = b.contacts.fault()
	}
	if s.Cue != nil {
		p.Look = s.Cue.Cue.Look.Name
	}
	var wrong string
	if p.Hand, wrong, p.Hands = b.lamps.follow(&s); p.Fault == "" && wrong != "" {
		p.Fault, p.Hint = wrong, "the show goes on; the page By hand says more"
	}
	p.Hearing = b.hearing(&s)
	p.Wrong = wrongOf(s.Wrong)
	if p.Fault == "" && s.Beside.Absent != "" {
		p.Fault, p.Hint = absentText(s.Beside.Absent)
	}
	if p.Idle = b.idle; b.idle {
		p.Stage = web.Stage{Now: "no show runs", NowWhy: "run or open --run runs one", Count: -1, Away: true}
	} else if b.evening {
		p.Stage = stageOf(s, b.piece())
		p.Stage.Triggers = b.buttons
	}
	p.Edit = b.edits.page()
	b.round.seen.follow(&s)
	b.held.Store(s.State.Held)
	p.Doors = b.round.said()
	b.server.SetPlayhead(p)
}
