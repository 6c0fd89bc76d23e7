package main

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/light"
	"lampblack/room/measure"
	"lampblack/si"
)

const paintHelp = `

--paint NAME measures a paint instead, and prints it for room.yaml. With a phone,
take two pictures: in daylight, the paint beside white copying paper, the white
balance then locked; and in the dark under black light, locked as it is, the paint
beside the same paper, which glows. Give the four colours as #rrggbb, away from
edges and gloss. Or give --table FILE.csv of a small spectrometer: columns nm,
daylight (a share of what a white standard gives back, the glow in it) and glow
(in any unit). The paint is taken to be like the known one whose colours in both
lights are nearest; what it prints has the interval within which its glow lies.`

// paintFlags are those of a paint that is measured.
type paintFlags struct {
	name, table                  string
	daylight, white, glow, paper string
	peak                         string
}

func (f *paintFlags) flags(c *cobra.Command) {
	c.Flags().StringVar(&f.name, "paint", "", "measure a paint of this name")
	c.Flags().StringVar(&f.daylight, "daylight", "", "its colour in daylight")
	c.Flags().StringVar(&f.white, "white", "", "that of white copying paper beside it")
	c.Flags().StringVar(&f.glow, "black-light", "", "its colour under black light, the white balance locked to daylight")
	c.Flags().StringVar(&f.paper, "paper", "", "that of the copying paper beside it")
	c.Flags().StringVar(&f.peak, "peak", "385 nm", "the wavelength of the black light")
	c.Flags().StringVar(&f.table, "table", "", "a spectrometer's table, CSV with the columns nm, daylight and glow")
}

// paint measures a paint, and prints it.
func (f *paintFlags) paint(c *cobra.Command) error {
	s, err := f.sample(c)
	if err != nil {
		return err
	}
	l, err := s.Match()
	if errors.Is(err, measure.ErrUnlike) {
		return hinted{fmt.Errorf("%w; the nearest is %s", err, l.Like), "take the pictures again: white balance locked in daylight, no other light under black light; " + l.Like + " can be named all the same"}
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(c.ErrOrStderr(), "%s is like %s: x %.2f y %.2f and %.0f %% of white in daylight, x %.2f y %.2f under black light\n",
		f.name, l.Like, l.Day.XY().X, l.Day.XY().Y, 100*l.Day.Y, l.Own.X, l.Own.Y)
	return put(c, "", []byte(l.Text()))
}

// sample reads what was measured.
func (f *paintFlags) sample(c *cobra.Command) (*measure.Sample, error) {
	s := &measure.Sample{Name: f.name}
	var w si.Wavelength
	if err := w.UnmarshalText([]byte(f.peak)); err != nil || !(w >= 340 && w <= 430) {
		return nil, hinted{fmt.Errorf("%q is no wavelength of a black light", f.peak), "--peak \"385 nm\", from 340 nm to 430 nm"}
	}
	s.Peak = w
	if f.table != "" {
		data, err := folder.ReadFile(c.Context(), f.table, 1<<20)
		if err != nil {
			return nil, err
		}
		rows, faults := measure.ReadTable(f.table, bytes.NewReader(data))
		s.Table = rows
		if err := faults.Err(); err != nil {
			return nil, err
		}
	}
	for _, one := range []struct {
		flag, text string
		to         *light.RGB
		needed     bool
	}{{"--daylight", f.daylight, &s.Paint, s.Table == nil}, {"--white", f.white, &s.White, s.Table == nil}, {"--black-light", f.glow, &s.Glow, s.Table == nil}, {"--paper", f.paper, &s.Paper, false}} {
		if one.text == "" && !one.needed {
			continue
		}
		rgb, err := light.ParseRGB(one.text)
		if err != nil {
			return nil, hinted{fmt.Errorf("%s %q is no colour of a picture", one.flag, one.text), one.flag + " \"#e8743a\", or --table FILE.csv"}
		}
		*one.to = rgb
	}
	return s, nil
}
