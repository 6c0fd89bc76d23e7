package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"lampblack/play/clock"
	"lampblack/play/lag"
	"lampblack/show"
	"lampblack/si"
	"lampblack/web"
)

// clicks is a soundtrack of clicks, which is the clock.
type clicks interface {
	Run(now time.Time, from time.Duration)
	Read(now time.Time) clock.Reading
	Close() error
}

// seats measures sound against light at places, one after another.
type seats struct {
	ctx   context.Context
	light string                                   // which units flash
	sound func(at []time.Duration) (clicks, error) // begins nothing yet
	flash func(on bool)                            // the units, and all else dark
	rest  func()                                   // light to walk by
	tell  func(text string)                        // a line for who started it

	danger func() error // why nothing may flash now; nil is that nobody listens for an alarm
	seed   func() uint64

	mu       sync.Mutex // guards what follows
	now      web.SeatsNow
	take     lag.Recording
	levels   int
	opening  string
	eye      *lag.Eye
	cancel   context.CancelFunc
	ended    chan struct{} // closes when the measuring under way has ended
	measured []seatFound
	said     map[string]lag.Interval // real figures by place: by eye, or known
}

// seatFound is what camera and microphone found at a place.
type seatFound struct {
	place, opening string
	lag.Result
}

// How it is measured.
const (
	flashes = 60
	settles = 2500 * time.Millisecond // for what the page still sends
	mostEye = 5 * time.Minute

	mostSaid = 100 // figures; then it begins anew
)

// Seats is how far the measuring is.
func (s *seats) Seats() web.SeatsNow {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := s.now
	out.Light, out.Rows = s.light, s.rows()
	return out
}

// Begin measures at a place; without an opening by eye.
func (s *seats) Begin(place, opening string) error {
	place = strings.TrimSpace(place)
	if place == "" || len(place) > 80 {
		return errors.New("say in a few words where you are")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.now.Place != "" {
		return fmt.Errorf("%s is being measured: stop that first", s.now.Place)
	}
	if err := s.endangered(); err != nil {
		return err
	}
	script := lag.Script(flashes, s.seed())
	if opening == "" {
		script = eyeScript()
	}
	at := make([]time.Duration, len(script))
	for i, r := range script {
		at[i] = of(r.Click)
		script[i].Click = at[i].Seconds()
	}
	sound, err := s.sound(at)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(s.ctx)
	s.cancel, s.ended = cancel, make(chan struct{})
	s.take, s.levels, s.opening, s.eye = lag.Recording{}, 0, opening, nil
	s.now = web.SeatsNow{Place: place, Eye: opening == "", Takes: opening, Of: len(script)}
	if opening == "" {
		s.eye = lag.NewEye()
	}
	go s.measure(ctx, sound, script, s.ended)
	return nil
}

// eyeScript is clicks 1.3 s apart, so that a flash 0.3 s before or behind one stays its own.
func eyeScript() []lag.Repeat {
	var out []lag.Repeat
	for t := 1.5; t < mostEye.Seconds(); t += 1.3 {
		out = append(out, lag.Repeat{Flash: t, Click: t})
	}
	return out
}

// measure plays the repeats and works out what came of them.
func (s *seats) measure(ctx context.Context, sound clicks, script []lag.Repeat, ended chan struct{}) {
	defer close(ended)
	s.flash(false)
	sent, err := s.play(ctx, sound, script)
	_ = sound.Close()
	s.rest()
	if err == nil && s.takes() {
		err = pause(ctx, settles)
	}
	if why := s.endangered(); err != nil && why != nil {
		err = why
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	place := s.now.Place
	defer func() {
		s.now = web.SeatsNow{}
		if err != nil && !errors.Is(err, context.Canceled) {
			s.now.Wrong = place + ": " + err.Error()
			s.tell(s.now.Wrong)
		}
		s.cancel()
	}()
	if err != nil {
		return
	}
	if s.eye != nil {
		if err = errEye; s.eye.Done() {
			err = nil
			s.say(place, s.eye.Behind(), "by eye and ear")
		}
		return
	}
	s.now.Takes = ""
	var r lag.Result
	if r, err = lag.Estimate(s.take, sent); err != nil {
		err = whyNot(err)
		return
	}
	s.measured = slices.DeleteFunc(s.measured, func(m seatFound) bool { return m.place == place && m.opening == s.opening })
	s.measured = append(s.measured, seatFound{place, s.opening, r})
	rows := s.rows()
	for _, row := range rows {
		if row.Place == place {
			s.tell(rowText(row))
		}
	}
}

var errEye = errors.New("nobody said for five minutes what came first")

// whyNot says what to do about a recording that tells nothing.
func whyNot(err error) error {
	switch {
	case errors.Is(err, lag.ErrNotHeard):
		return errors.New("the clicks were not found in what the microphone heard: turn the amplifier up a little, see that the phone is not muted, and keep the hall quiet")
	case errors.Is(err, lag.ErrNotSeen):
		return errors.New("the flashes were not found in what the camera saw: make the hall darker, point the camera at what the units light, and keep the phone still")
	}
	return err
}

func (s *seats) takes() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now.Takes != ""
}

// early is by how many s the next flash leaves before its click, beside what the script says.
func (s *seats) early() (early float64, done bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.eye == nil {
		return 0, false
	}
	return s.eye.Early(), s.eye.Done()
}

// least is how far apart flashes are at least, whatever an eye asks for: 1.5 a second.
const least = 2.0 / 3

// play sends flashes by the clock of the clicks, and returns when they were really sent.
func (s *seats) play(ctx context.Context, sound clicks, script []lag.Repeat) ([]lag.Repeat, error) {
	sound.Run(time.Now(), 0)
	var sent []lag.Repeat
	last := math.Inf(-1)
	for i, r := range script {
		early, done := s.early()
		if done {
			return sent, nil
		}
		if r.Flash -= early; r.Flash < last+least {
			continue
		}
		at, err := until(ctx, sound, r.Flash)
		if err != nil {
			return nil, err
		}
		if at > r.Flash+.2 { // the machine was away: that flash is none
			continue
		}
		s.flash(true)
		last = at
		_, err = until(ctx, sound, at+lag.FlashFor)
		s.flash(false)
		if err != nil {
			return nil, err
		}
		sent = append(sent, lag.Repeat{Flash: at, Click: r.Click})
		s.mu.Lock()
		s.now.Done = i + 1
		s.mu.Unlock()
	}
	_, err := until(ctx, sound, script[len(script)-1].Click+.5)
	return sent, err
}

// looks is how long it waits at most before it looks at the clock again.
const looks = 20 * time.Millisecond

// until waits for a position of the clock, and returns where it is then.
func until(ctx context.Context, c clicks, at float64) (float64, error) {
	for {
		r := c.Read(time.Now())
		switch {
		case r.State == clock.Lost: // shorter stutters are few among sixty
			return 0, errors.New(r.Fault.Text)
		case r.Position.Seconds() >= at:
			return r.Position.Seconds(), nil
		}
		if err := pause(ctx, max(min(of(at)-r.Position, looks), 100*time.Microsecond)); err != nil {
			return 0, err
		}
	}
}

func pause(ctx context.Context, d time.Duration) error {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-t.C:
		return nil
	}
}

func of(seconds float64) time.Duration { return time.Duration(math.Round(seconds * 1e9)) }

// Take adds what a page took; what comes when nothing is measured, or of another phone, is none.
func (s *seats) Take(t web.SeatTake) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.now.Takes == "" || t.Opening != s.now.Takes {
		return nil
	}
	return t.AddTo(&s.take, &s.levels)
}

// Came takes what an eye and an ear say.
func (s *seats) Came(first lag.Came) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.eye == nil || s.now.Place == "" {
		return errors.New("nothing flashes for an eye: begin by eye and ear")
	}
	if !slices.Contains([]lag.Came{lag.Light, lag.Sound, lag.Together}, first) {
		return fmt.Errorf("%q: light, sound or together", first)
	}
	s.eye.Answer(first)
	return nil
}

// Said takes a figure that somebody knows.
func (s *seats) Said(place, text string) error {
	i, err := parseBehind(text)
	if err != nil {
		return err
	}
	if place = strings.TrimSpace(place); place == "" || len(place) > 80 {
		return errors.New("say in a few words where that is so")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.say(place, i, "as somebody said")
	return nil
}

// say notes the real figure of a place. Callers hold mu.
func (s *seats) say(place string, i lag.Interval, how string) {
	if s.said == nil || len(s.said) >= mostSaid {
		s.said = map[string]lag.Interval{}
	}
	s.said[place] = i
	s.tell(place + ": sound after light " + i.String() + ", " + how)
}

// parseBehind reads "12 ms", "12 ms ± 5 ms" or "5 ms to 20 ms"; without an interval it is as
// good as an eye and an ear are.
func parseBehind(text string) (lag.Interval, error) {
	var d show.Delay
	if err := d.UnmarshalText([]byte(text)); err != nil {
		return lag.Interval{}, fmt.Errorf("how far sound is behind light, as 12 ms or 12 ms ± 5 ms: %w", err)
	}
	if d.Low == d.High {
		d.Low, d.High = d.Low-byEyeHalf, d.High+byEyeHalf
	}
	if d.Low < -time.Second || d.High > time.Second {
		return lag.Interval{}, fmt.Errorf("%s is more than a second", text)
	}
	return lag.Interval{Best: d.Best(), Low: d.Low, High: d.High}, nil
}

// byEyeHalf is what is given to a figure without an interval.
const byEyeHalf = 30 * time.Millisecond

// Stop ends what is measured.
func (s *seats) Stop() error {
	if ended := s.cut(); ended != nil {
		<-ended
	}
	return nil
}

// cut ends what is measured, and waits for nothing; ended closes when it has, and is nil where there
// was none.
func (s *seats) cut() (ended <-chan struct{}) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.cancel == nil {
		return nil
	}
	s.cancel()
	return s.ended
}

// endangered is why nothing may flash now.
func (s *seats) endangered() error {
	if s.danger == nil {
		return nil
	}
	return s.danger()
}

// real is how far sound really is behind light at a place, where that is known: it was said, or
// was said of another place where the same camera was open. Callers hold mu.
func (s *seats) real(place string) (lag.Interval, bool) {
	if i, ok := s.said[place]; ok {
		return i, true
	}
	for _, m := range s.measured {
		if m.place != place {
			continue
		}
		for _, ref := range s.measured {
			if i, ok := s.said[ref.place]; ok && ref.opening == m.opening {
				d := lag.Between(ref.Result, m.Result)
				best := i.Best + d.Best
				half := time.Duration(math.Hypot(float64(i.Half()), float64(d.Half())))
				return lag.Interval{Best: best, Low: best - half, High: best + half}, true
			}
		}
	}
	return lag.Interval{}, false
}

// rows are the places with what is known of them. Callers hold mu.
func (s *seats) rows() []web.SeatRow {
	var out []web.SeatRow
	for i, m := range s.measured {
		row := web.SeatRow{Place: m.place, How: fmt.Sprintf("camera and microphone, %s", si.Count(m.Flashes, "flash", "flashes"))}
		switch first := s.measured[0]; {
		case i == 0:
			row.Beside = "0 ms"
		case first.opening == m.opening:
			row.Beside = lag.Between(first.Result, m.Result).String()
		default:
			row.How += "; the camera was opened anew, so that it cannot be held against the first"
		}
		if r, ok := s.real(m.place); ok {
			row.Behind = r.String()
		}
		out = append(out, row)
	}
	for place, i := range s.said {
		if !slices.ContainsFunc(out, func(r web.SeatRow) bool { return r.Place == place }) {
			out = append(out, web.SeatRow{Place: place, Behind: i.String(), How: "by eye and ear, or as said"})
		}
	}
	slices.SortStableFunc(out[len(s.measured):], func(a, b web.SeatRow) int { return cmp.Compare(a.Place, b.Place) })
	return out
}

func rowText(r web.SeatRow) string {
	text := r.Place + ":"
	if r.Beside != "" && r.Beside != "0 ms" {
		text += " sound comes later than at the first place by " + r.Beside + ","
	}
	if r.Behind != "" {
		text += " sound after light " + r.Behind + ","
	}
	return text + " " + r.How
}
