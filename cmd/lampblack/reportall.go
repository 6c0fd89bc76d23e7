package main

import (
	"context"
	"fmt"
	"io"
	"text/tabwriter"

	"lampblack/showreport"
	"lampblack/source"
)

// allNights is what all nights that are written down came to.
type allNights struct {
	Nights []string            `json:"nights"` // that could be reported
	Left   []string            `json:"left"`   // and those that could not
	Lamps  []showreport.Burned `json:"lamps"`
}

// sumNights adds the hours of lamps up over all nights.
func sumNights(ctx context.Context, l *loaded) (*allNights, error) {
	all := &allNights{Nights: []string{}, Left: []string{}, Lamps: []showreport.Burned{}}
	for _, journal := range nightsOf(l.folder.Dir()) {
		r, err := reportOfNight(ctx, l, journal)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			all.Left = append(all.Left, nightName(journal))
			continue
		}
		all.Nights = append(all.Nights, r.Night)
		if len(all.Lamps) == 0 {
			all.Lamps = r.Lamps // all of one rig, as it is now
			continue
		}
		for i := range r.Lamps {
			all.Lamps[i].Lit += r.Lamps[i].Lit
			all.Lamps[i].Full += r.Lamps[i].Full
			all.Lamps[i].Violet += r.Lamps[i].Violet
		}
	}
	return all, nil
}

func (a *allNights) print(w io.Writer) error {
	if len(a.Nights) == 0 {
		_, err := fmt.Fprintln(w, "no night is written down")
		return err
	}
	fmt.Fprintf(w, "%d nights, %s to %s, by the show as it is now\n\n", len(a.Nights), a.Nights[0], a.Nights[len(a.Nights)-1])
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "unit\tlit, h\tas much as at full, h\twith black light, h")
	for _, l := range a.Lamps {
		fmt.Fprintf(tw, "%s\t%.1f\t%.1f\t%.1f\n", source.Visible(l.Unit), l.Lit, l.Full, l.Violet)
	}
	for _, name := range a.Left {
		fmt.Fprintf(tw, "%s could not be reported\n", source.Visible(name))
	}
	return tw.Flush()
}
