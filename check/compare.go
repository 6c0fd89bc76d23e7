package check

import (
	"context"

	"lampblack/check/finding"
	"lampblack/score"
	"lampblack/show"
)

// Comparison holds other scores of a show against the one that it has.
type Comparison struct {
	show   *show.Show
	before []finding.Finding
}

// Compare checks the show that others are to be compared with.
func Compare(ctx context.Context, s *show.Show) (*Comparison, error) {
	before, err := Run(ctx, s, Options{})
	return &Comparison{s, before}, err
}

// Worse solves another score for the same rig in the same room and returns what
// it makes worse, as finding.Worse does; a score that does not fit the rig
// has its faults for findings.
func (c *Comparison) Worse(ctx context.Context, sc *score.Score) ([]finding.Finding, error) {
	s, faults := c.show.With(sc)
	if faults.Err() != nil {
		return finding.FromFaults(faults), nil
	}
	after, err := Run(ctx, s, Options{})
	if err != nil {
		return nil, err
	}
	return finding.Worse(c.before, after), nil
}
