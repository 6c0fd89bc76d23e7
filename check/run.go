package check

import (
	"context"
	"maps"
	"slices"
	"time"

	"lampblack/calendar"
	"lampblack/check/cues"
	"lampblack/check/dark"
	"lampblack/check/dose"
	"lampblack/check/finding"
	"lampblack/check/hang"
	"lampblack/check/lines"
	"lampblack/check/looks"
	"lampblack/check/sight"
	"lampblack/check/slots"
	"lampblack/check/subject"
	"lampblack/check/supply"
	"lampblack/check/ways"
	"lampblack/show"
)

// families are all limits. A new limit is a file in a family and a row in its
// table; a new family is a package and a word here.
var families = []subject.Family{lines.Family, supply.Family, hang.Family, cues.Family, slots.Family, looks.Family, sight.Family, dose.Family, dark.Family}

// others are all families but that which holds cues against the soundtrack.
var others = []subject.Family{lines.Family, supply.Family, hang.Family, slots.Family, looks.Family, sight.Family, dose.Family, dark.Family}

// tells has the sentence of every identifier.
var tells = allTells()

func allTells() finding.Tells {
	all := finding.Tells{"signature": "a signature that no longer holds", finding.NotJudged: "what was not judged, since nobody said enough"}
	maps.Copy(all, ways.Tells)
	maps.Copy(all, meetingTells)
	maps.Copy(all, passingTells)
	maps.Copy(all, unusedTells)
	maps.Copy(all, clockTells)
	maps.Copy(all, echoTells)
	for _, f := range families {
		maps.Copy(all, f.Tells)
	}
	return all
}

// Identifiers lists all identifiers of findings, sorted.
func Identifiers() []string {
	return slices.Sorted(maps.Keys(tells))
}

// Options steer a run of the checks. The zero value checks everything.
type Options struct {
	// Only, when not empty, keeps the findings with these identifiers.
	Only []string
	// Hours are those of a place, and Triggers those of the folder; nil when it has none.
	Hours    *calendar.Calendar
	Triggers *show.Triggers
	// Today is the day on which signatures are read: one of a day to come is told. The zero value asks
	// no signature for its day.
	Today time.Time
}

// Run measures the show and returns all findings in a stable order. The error
// is ctx's, when it ended before the checks did.
func Run(ctx context.Context, s *show.Show, o Options) ([]finding.Finding, error) {
	return run(&subject.Run{Subject: subject.Of(s), Ctx: ctx, Show: s}, o)
}

// Measure measures what is no show, but makes light over time in a room: by all
// families that do not judge a written score.
func Measure(ctx context.Context, s subject.Subject, o Options) ([]finding.Finding, error) {
	return run(&subject.Run{Subject: s, Ctx: ctx}, o)
}

func run(r *subject.Run, o Options) ([]finding.Finding, error) {
	r.Report = finding.NewReport(tells)
	if !slices.Contains(o.Only, finding.NotJudged) && !slices.Contains(o.Only, "signature") { // those two are about all others
		r.Only = o.Only
	}
	unused(r)
	if r.Show != nil {
		echoes(r.Show, o.Triggers, r.Report)
	}
	short, waits := (*show.Show)(nil), false
	if r.Show != nil {
		short, waits = unwaited(r.Show)
	}
	if !waits {
		if err := measureAll(r, families); err != nil {
			return nil, err
		}
		return signed(r, r.Show, o), nil
	}
	if err := measureAll(r, others); err != nil {
		return nil, err
	}
	if err := cuesUnwaited(r, short); err != nil {
		return nil, err
	}
	if err := flashesUnwaited(r, subject.Of(short)); err != nil {
		return nil, err
	}
	return signed(r, r.Show, o), nil
}

// measureAll is measure, and for eyes that are supposed where nobody said where any are.
func measureAll(r *subject.Run, families []subject.Family) error {
	if err := measure(r, families); err != nil {
		return err
	}
	return supposed(r)
}

// measure lets families measure, but for those that need what was written where
// nothing was.
func measure(r *subject.Run, families []subject.Family) error {
	for _, f := range families {
		if f.Scored && r.Show == nil {
			continue
		}
		if f.Measure(r); r.Ctx.Err() != nil {
			return r.Ctx.Err()
		}
	}
	return nil
}

// signed ties what was found to the files, puts the signatures on it, and lists it. The show is that
// whose cues findings name, nil where they are those of several.
func signed(r *subject.Run, s *show.Show, o Options) []finding.Finding {
	tie(s, r.Rig(), r.Bound())
	sign(r, o.Today)
	out := slices.DeleteFunc(settle(r.Subject, r.Show, r.List()), func(f finding.Finding) bool {
		return len(o.Only) > 0 && !slices.Contains(o.Only, f.ID)
	})
	return out
}
