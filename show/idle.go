package show

import (
	"time"

	"lampblack/score"
	"lampblack/source"
)

// Idle is a place in which no show runs: it stands dark until a hand sets its lamps.
func (s *Show) Idle() *Place {
	var faults source.Faults
	dark := s.on(&score.Score{Looks: s.Score.Looks}, nil)
	dark.Looks, dark.up, dark.upStill = s.Looks, s.up, s.upStill
	dark.time(&faults)
	dark.Length = 24 * time.Hour
	step := Step{OrderStep: &OrderStep{Standing: source.Ref{Name: "no show runs"}}, Show: dark}
	return &Place{Show: dark, Zones: []PlacedZone{{Zone: &Zone{Repeats: true}, Name: s.Bill.Title, Evening: &Evening{Steps: []Step{step}}}}}
}
