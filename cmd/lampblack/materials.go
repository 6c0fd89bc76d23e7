package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/light"
	"lampblack/plate"
	"lampblack/si"
)

const materialsHelp = `List the paints and materials that room.yaml may name: for surfaces, walls,
boxes and backgrounds, and as the paint of an object that shall glow.

Reflects is the share of daylight that comes back to the eye, what glows in it
included. Glows is the
luminance of the fluorescence alone, in cd/m2, under 1 W/m2 of black light of
365, 385, 395 and 405 nm; "-" does not fluoresce. Within is the factor that the glow
of a real paint or cloth of that name may be off by. --json says as well where
each figure is from. With -o the paints that fluoresce are drawn, as SVG or PNG,
in daylight and under black light of 365, 385, 395 and 405 nm.`

func materialsCmd() *cobra.Command {
	var asJSON bool
	var out string
	c := &cobra.Command{
		Use:   "materials",
		Short: "list the paints and materials that a room may name",
		Long:  materialsHelp,
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if out != "" {
				return drawPaints(c, out)
			}
			list := materials()
			if asJSON {
				return writeJSON(c.OutOrStdout(), list)
			}
			w := tabwriter.NewWriter(c.OutOrStdout(), 0, 0, 2, ' ', 0)
			fmt.Fprintln(w, "name\treflects\tglows 365 nm\t385 nm\t395 nm\t405 nm\twithin")
			for _, m := range list {
				glows, within := strings.Repeat("-\t", len(m.Glow)), "-"
				if m.Fluoresces {
					glows, within = "", fmt.Sprintf("× %.2g", m.Within)
					for _, g := range m.Glow {
						glows += si.Say(g, "") + "\t"
					}
				}
				fmt.Fprintf(w, "%s\t%s\t%s%s\n", m.Name, si.Say(100*m.Reflects, "%"), glows, within)
			}
			return w.Flush()
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print the list as JSON")
	c.Flags().StringVarP(&out, "output", "o", "", "draw the paints that fluoresce into this file, .svg or .png")
	return c
}

// drawPaints draws the paints that fluoresce.
func drawPaints(c *cobra.Command, out string) error {
	s := plate.Swatches{Title: "Fluorescent paints"}
	for _, p := range light.Paints() {
		if p.Fluoresces() {
			s.Paints = append(s.Paints, p)
		}
	}
	d, err := s.Draw()
	if err != nil {
		return err
	}
	data, err := d.File(out)
	if err != nil {
		return err
	}
	return folder.WriteFile(c.Context(), out, data)
}

// material is a line of the list.
type material struct {
	Name       string    `json:"name"`
	Reflects   float64   `json:"reflects"` // luminous, of D65
	Fluoresces bool      `json:"fluoresces"`
	Glow       []float64 `json:"glow"` // cd/m2 for 1 W/m2 of each of plate.BlackLights
	Within     float64   `json:"within"`
	From       string    `json:"from"`
}

// materials works each figure out as the room would: daylight is CIE D65, black light
// one of plate.BlackLights.
func materials() []material {
	day, _ := light.Illuminant("D65")
	var out []material
	for _, p := range light.Paints() {
		m := material{Name: p.Name, Fluoresces: p.Fluoresces(), Within: p.Factor, From: p.Source}
		back := p.Whole(&day)
		m.Reflects = float64(back.LuminousFlux() / day.LuminousFlux())
		for _, b := range plate.BlackLights {
			if led, err := light.LED(b.Peak, b.Width); err == nil {
				m.Glow = append(m.Glow, float64(p.GlowLuminance(&led)))
			}
		}
		out = append(out, m)
	}
	return out
}
