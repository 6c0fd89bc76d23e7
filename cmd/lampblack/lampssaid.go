package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"lampblack/doors"
	"lampblack/play/hand"
	"lampblack/play/lamps"
)

// lampsSaid is what the lamps of a show said tonight, for the round before doors; nil where
// nobody asked them tonight. It asks nobody itself.
func lampsSaid(dir string, now time.Time) func() doors.Answer {
	if lastSaid(dir, now) == nil {
		return nil
	}
	return func() doors.Answer { return judgeSaid(lastSaid(dir, time.Now())) }
}

// lastSaid is the last reading of tonight.
func lastSaid(dir string, now time.Time) *lamps.Reading {
	kept := keptLamps(context.Background(), dir)
	if n := len(kept.Readings); n > 0 && hand.NightOf(kept.Readings[n-1].Time.Local()) == hand.NightOf(now.Local()) {
		return &kept.Readings[n-1]
	}
	return nil
}

const saidCure = "lampblack lamps DIR, with no run on, says what to do about each; ask again after it"

// judgeSaid is good when nothing differs that the lamps said; that some do not answer at all
// is no fault of theirs.
func judgeSaid(r *lamps.Reading) doors.Answer {
	if r == nil {
		return doors.Answer{State: doors.Open, Found: doors.Look + "they were not asked tonight", Cure: saidCure}
	}
	at := "asked at " + r.Time.Local().Format("15:04")
	const most = 3
	var wrong []string
	answer := 0
	for i := range r.Rows {
		row := &r.Rows[i]
		if row.Device == nil {
			continue
		}
		answer++
		name := row.Unit
		if name == "" {
			name = "a lamp in no rig, " + row.Device.UID.String()
		}
		for _, d := range row.Differs {
			wrong = append(wrong, name+": "+d.Text)
		}
	}
	switch more := len(wrong) - most; {
	case wrong == nil:
		return doors.Answer{State: doors.Good, Found: fmt.Sprintf("%d of them, %s", answer, at), Cure: saidCure}
	case more > 0:
		wrong = append(wrong[:most], fmt.Sprintf("%d more", more))
	}
	return doors.Answer{State: doors.NotGood, Found: at + ": " + strings.Join(wrong, "; "), Cure: saidCure}
}
