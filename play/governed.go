package play

import (
	"sync"
	"time"

	"lampblack/evening"
	"lampblack/play/governor"
	"lampblack/play/output"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
)

// governed is the light of a run as its governor lets it pass: one for all zones, since all
// shine into one room. It belongs to the run's goroutine.
type governed struct {
	governor *governor.Governor
	of       *room.Transport
	next     chan *governor.Governor // of a room that was solved anew; nil but while it is made
	making   sync.WaitGroup
	began    time.Time
	scratch  *show.Frame
	stands   []*show.Look

	live  time.Time  // when the light last went otherwise than it was checked
	zones []followed // as they stood with the last frame

	last    time.Time // when it held light last
	told    time.Time // when the journal had it last
	flashes int       // that it kept to fewer since then
	text    string    // what was told last
}

// followed is how a zone stood.
type followed struct {
	step     int
	position time.Duration
	at       time.Time
}

const (
	// liveFor is how long light counts as live after something has moved it: a second is
	// counted in, and what was held is back within another.
	liveFor = 3 * time.Second
	// leap is more than a clock that runs evenly is off from one frame to the next.
	leap = 10 * time.Millisecond
	// evenly is how far its speed may be off from 1: limits are checked at that.
	evenly = .02
)

// goesAsChecked tells whether all light has gone for some seconds as the checks have seen it:
// every zone on its own line at its own speed, nothing that is heard as it comes, and no hand
// on it. Such light was judged before, more closely than frame by frame can be, and goes out
// as it is.
func (r *run) goesAsChecked(now time.Time) bool {
	g := &r.governed
	if g.zones == nil {
		g.zones = make([]followed, len(r.place.Zones))
	}
	for i, z := range r.place.Zones {
		read, was := z.Clock().Read(now), &g.zones[i]
		is := followed{z.Index(), read.Position, now}
		off := is.position - was.position
		if off != 0 {
			off -= now.Sub(was.at)
		}
		state := z.Log().State()
		even := read.Speed == 0 || read.Speed > 1-evenly && read.Speed < 1+evenly
		if !was.at.IsZero() && (is.step != was.step || off.Abs() > leap) || !even || state.Stands != "" || z.Show().Hears() {
			g.live = now
		}
		*was = is
	}
	return now.Sub(g.live) > liveFor
}

// toldEvery is how often the journal is told at most that light was held.
const toldEvery = time.Second

// govern lets a frame pass, and tells of what would have flashed too often. Lights that are
// brought up pass as they are, and so does what goes as it was checked.
func (r *run) govern(now time.Time) {
	g := &r.governed
	s := r.place.Show()
	if g.renew(s, now, r.o.Flashes); g.governor == nil {
		return
	}
	checked := r.goesAsChecked(now)
	free := func(unit int) bool { return checked || r.place.Up(unit, now) > 0 }
	n := g.governor.Pass(now.Sub(g.began), r.frame.Levels, r.frame.Flash, free)
	units, altered := g.governor.Altered()
	if altered {
		s.Recode(r.frame.Frame, g.scratch, units, g.stands)
	}
	if n > 0 && altered {
		g.last, g.flashes = now, max(g.flashes, n)
	}
	if g.flashes > 0 && now.Sub(g.told) >= toldEvery {
		g.text = "softened: it would have flashed " + si.Count(g.flashes, "time", "times") + " in a second"
		r.place.Note(now, evening.Softened, g.text)
		g.told, g.flashes = now, 0
	}
}

// renew has the governor of the show as it is solved now. For another room it takes a
// moment to make one: the old one goes on meanwhile, where the rig is the same. It begins
// to count when it begins.
func (g *governed) renew(s *show.Show, now time.Time, allowed governor.Allowed) {
	select {
	case g.governor = <-g.next:
		g.next = nil
	default:
	}
	if g.of == s.Transport {
		return
	}
	first := g.of == nil
	g.of, g.scratch, g.stands, g.next = s.Transport, s.NewFrame(), make([]*show.Look, len(s.Rig.Units)), nil
	if first {
		g.began = now
		g.governor = governor.New(s.Transport, s.Rig, allowed)
		return
	}
	if g.governor != nil && !g.governor.Fits(s.Rig) {
		g.governor = nil
	}
	if s.Transport != nil {
		next := make(chan *governor.Governor, 1)
		g.next = next
		g.making.Go(func() { next <- governor.New(s.Transport, s.Rig, allowed) })
	}
}

// softened is what a person is told a while after light was held.
func (r *run) softened(now time.Time) {
	const while = 10 * time.Second
	g := &r.governed
	if g.text == "" || now.Sub(g.last) > while {
		return
	}
	r.wrong.all = append(r.wrong.all, Trouble{TheLight, output.Fault{Cause: output.Flashing, Degree: output.Partly, Who: "governor", Since: g.told,
		Text: g.text, Hint: "more than three in a second may hurt people: give go or the beat more slowly, or change the look"}})
}

// TheLight is what a trouble is of that lies in what is sent itself.
const TheLight = "the light"
