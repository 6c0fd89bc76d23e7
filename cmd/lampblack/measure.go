package main

import (
	"errors"
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"lampblack/room/measure"
	"lampblack/show"
)

const measureHelp = `Make the computed room agree with the real one. Without readings yet, this
proposes a short list of meter readings worth taking: which unit, which emitter
alone at full, where, lux or UV-A, and the value expected. Save it as
readings.yaml in the show's folder, write the values in, and ask again: the
outputs found are told, and every later command computes with them.

A lux meter or a phone does; say in the file how good it is. A lux meter sees
nothing of ultraviolet. Take readings in the dark, and keep your eyes out of
black-light beams.` + byEyeHelp + paintHelp

// measureCmd tells what the readings say where there are some, and proposes some where
// there are none; with -o it proposes in any case, for a second round.
func measureCmd() *cobra.Command {
	var noUVA bool
	var most int
	var out string
	var eye byEyeFlags
	var paint paintFlags
	c := &cobra.Command{
		Use:   "measure DIR",
		Short: "propose meter readings, and correct the rig's outputs by them",
		Long:  measureHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			if paint.name != "" {
				return paint.paint(c)
			}
			l, s, err := solved(c, args[0])
			if err != nil {
				return err
			}
			switch {
			case eye.unit != "" && eye.beside != "":
				return eye.byEye(c, l, s)
			case eye.unit != "" || eye.beside != "" || eye.emitter != "" || eye.keep || len(eye.outputs) > 0:
				return hinted{errors.New("a match by eye needs two units"), "--by-eye UNIT --beside UNIT"}
			}
			if s.Measured != nil && out == "" {
				return printFactors(c.OutOrStdout(), s)
			}
			o := measure.Options{NoUVA: noUVA, Most: most}
			if l.files.Readings != nil {
				o.Meters = l.files.Readings.Meters
			}
			plan := measure.Plan(s.Transport, s.Rig, o)
			if len(plan) == 0 {
				return hinted{errors.New("there is nothing to hold a meter against: no surface, object or eyes are described that light reaches"), "describe a surface in room.yaml, or match two units: --by-eye UNIT --beside UNIT"}
			}
			return put(c, out, []byte(measure.Text(plan)))
		},
	}
	c.Flags().BoolVar(&noUVA, "no-uv-meter", false, "there is no UV-A meter")
	c.Flags().IntVar(&most, "most", 0, "propose at most so many readings (12 if absent)")
	eye.flags(c)
	paint.flags(c)
	c.Flags().StringVarP(&out, "output", "o", "", "write the proposed list to this file")
	return c
}

// printFactors tells what the readings say of every emitter.
func printFactors(w io.Writer, s *show.Show) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "UNIT\tEMITTER\tOUTPUT\t95 % INTERVAL\tREADINGS")
	for _, f := range s.Measured {
		fmt.Fprintf(tw, "%s\t%s\t%.2f\t%.2f to %.2f\t%d\n", f.Unit, f.Emitter, float64(f.Output.Best), float64(f.Output.Low), float64(f.Output.High), f.Readings)
	}
	fmt.Fprintln(tw, "\noutput is over that of the fixture file\t\t\t\t")
	return tw.Flush()
}
