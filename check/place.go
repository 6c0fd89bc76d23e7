package check

import (
	"context"
	"time"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/check/supply"
	"lampblack/show"
)

// Place measures a place of zones, whose clocks run on their own, so that any state of one
// may meet any of another. Each zone is measured as an evening, the other zones at the least
// that each of their drives ever gives: what must be light is held to that. What must not be
// too much together, the supply, is measured with every drive at the most that it ever gives.
func Place(ctx context.Context, p *show.Place, o Options) ([]finding.Finding, error) {
	all := finding.NewReport(tells)
	lows, highs := ranges(p)
	var zones gathered
	for i := range p.Zones {
		found, err := evening(ctx, p.Zone(i, most(lows, i)))
		if err != nil {
			return nil, err
		}
		zones.add("zone "+p.Zones[i].Name, found)
	}
	for _, f := range zones.list() {
		all.Add(f)
	}
	r := &subject.Run{Subject: subject.Of(p.Steady(most(highs, -1), time.Second)), Ctx: ctx, Report: finding.NewReport(tells)}
	if err := measure(r, []subject.Family{supply.Family}); err != nil {
		return nil, err
	}
	for _, f := range r.List() {
		f.Says = f.Says.And("; with every zone at its most at once")
		f.From, f.To = 0, 0
		all.Add(f)
	}
	r = &subject.Run{Subject: subject.Of(p.Show), Ctx: ctx, Show: p.Show, Report: all}
	return signed(r, o), nil
}

// ranges are between what the drives of each zone give.
func ranges(p *show.Place) (low, high [][]float32) {
	for i := range p.Zones {
		l, h := p.Zones[i].Range()
		low, high = append(low, l), append(high, h)
	}
	return low, high
}

// most is the most of each drive over all zones but one.
func most(zones [][]float32, but int) []float32 {
	out := make([]float32, len(zones[0]))
	for i, levels := range zones {
		if i == but {
			continue
		}
		for d, v := range levels {
			out[d] = max(out[d], v)
		}
	}
	return out
}
