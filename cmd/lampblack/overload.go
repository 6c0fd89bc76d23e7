package main

import (
	"context"
	"fmt"
	"math"

	"lampblack/play"
	"lampblack/play/line"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// overloads finds soundtracks whose level, with the loudest extra sound that shares channels with
// them, may reach above full scale, where sound is cut and crackles. It hears files only where
// something is raised or mixed: a soundtrack by itself, no louder than recorded, is never cut.
func (l *loaded) overloads(ctx context.Context) (source.Faults, error) {
	var faults source.Faults
	peaks := map[string]float64{}
	peak := func(ref source.Ref) (float64, bool) {
		if p, known := peaks[ref.Name]; known {
			return p, true
		}
		path, err := l.sound(ref)
		if err != nil {
			return 0, false // told elsewhere
		}
		p, err := play.Peak(ctx, path)
		if err != nil {
			return 0, false
		}
		peaks[ref.Name] = p
		return p, true
	}
	trims := l.files.Trims.In(l.files.Bill.Place)
	for _, p := range heardPieces(&l.files) {
		raised := p.sound.Level + most(trims, p.to)
		loudest, extra := 0.0, ""
		for i := range l.files.Bill.Extras {
			e := &l.files.Bill.Extras[i]
			if !e.Value.To(&l.files.Bill.Sound).Meets(p.to) {
				continue
			}
			if v, ok := peak(e.Value.File); ok && v*e.Value.Level.Amplitude() > loudest {
				loudest, extra = v*e.Value.Level.Amplitude(), e.Name
			}
		}
		if raised <= 0 && extra == "" {
			continue
		}
		own, ok := peak(p.file)
		if !ok {
			continue
		}
		sum := (own*p.sound.Level.Amplitude() + loudest) * most(trims, p.to).Amplitude()
		over := si.DecibelsOf(sum)
		if !(over > .05) {
			continue
		}
		with := ""
		if extra != "" {
			with = " and extra sound " + extra + " together"
		}
		faults.Note(place(p), fmt.Sprintf("level: %s for the piece leaves room; or lower what is mixed with it", lower(p.sound.Level, over)), "the soundtrack of %s%s may come to %s above full scale: what is above is cut, and crackles", p.name, with, over)
	}
	return faults, ctx.Err()
}

// place is where the level of a piece is written, or would be.
func place(p heardPiece) source.Pos {
	if p.sound.Pos.Line != 0 {
		return p.sound.Pos
	}
	return p.file.Pos
}

// lower is a level that is lower by at least so much, in whole decibels.
func lower(level, by si.Decibels) si.Decibels {
	return max(si.Decibels(math.Floor(float64(level-by))), si.Lowest)
}

// most is the most that the hall raises any of some channels by.
func most(trims []show.ChannelTrim, to line.Channels) si.Decibels {
	out := si.Lowest
	for c := to.First; c <= to.Last; c++ {
		level := si.Decibels(0)
		for _, t := range trims {
			if t.Channel == c {
				level = t.Level
			}
		}
		out = max(out, level)
	}
	return out
}
