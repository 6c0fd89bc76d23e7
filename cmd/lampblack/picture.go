package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"lampblack/plate"
	"lampblack/plate/drawing"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
	"lampblack/web/page"
)

const pictureHelp = `Draw the show's light at one instant, into a folder, as SVG and PNG:

  seen     the room as a seat sees it
  strip    the same from --at to --to, as --many small pictures under one white
  moving   the same as a picture that moves, for a browser (PNG alone); light that
           flashes more often than a picture may is softened in it
  glow     fluorescence alone, as a seat sees it
  lux      illuminance from above, with isolines
  uv-a     ultraviolet from above, with contours of how long an eye may stay
  plan     the lighting plan: units as they hang, from above
  gamut    what each fixture type reaches, and what the look asks for
  spectra  the emitters of each fixture type

--as says who sees it: an eye that is used to the light there, a camera that is
set for the bright parts, or lifted, which shows what nobody would see.

All is computed from the files; a meter in the room beats it.`

type pictureFlags struct {
	at, to, from, out, height, as string
	many                          int
	of                            []string
}

var pictureKinds = []string{"seen", "glow", "lux", "uv-a", "plan", "gamut", "spectra"}

// These are drawn when they are asked for by name.
const (
	stripKind  = "strip"
	movingKind = "moving"
)

func pictureCmd() *cobra.Command {
	var f pictureFlags
	c := &cobra.Command{
		Use:   "picture DIR --at TIME -o FOLDER",
		Short: "draw the light of one instant",
		Long:  pictureHelp,
		Args:  dirArg,
		RunE: func(c *cobra.Command, args []string) error {
			if f.out == "" {
				return hinted{fmt.Errorf("where to write is not said"), "add -o FOLDER"}
			}
			for _, k := range f.of {
				if all := append(slices.Clone(pictureKinds), stripKind, movingKind); !slices.Contains(all, k) {
					return hinted{fmt.Errorf("there is no picture %q", k), source.OneOf(k, all)}
				}
			}
			if all := plate.AsEye.Choices(); !slices.Contains(all, f.as) {
				return hinted{fmt.Errorf("pictures are not drawn as %q", f.as), source.OneOf(f.as, all)}
			}
			_, s, err := solved(c, args[0])
			if err != nil {
				return err
			}
			return draw(c, s, f)
		},
	}
	c.Flags().StringVar(&f.at, "at", "0:00", "the instant")
	c.Flags().StringVar(&f.to, "to", "", "the end of a strip, or of a picture that moves (4 s after --at if absent)")
	c.Flags().IntVar(&f.many, "many", 16, fmt.Sprintf("pictures of a strip, at most %d", plate.MostFrames))
	c.Flags().StringSliceVar(&f.of, "of", pictureKinds, "which pictures")
	c.Flags().StringVar(&f.from, "from", "", "the seat or performer that sees (the middle seat if absent)")
	c.Flags().StringVar(&f.as, "as", string(plate.AsEye), "who sees it: "+strings.Join(plate.AsEye.Choices(), ", "))
	c.Flags().StringVar(&f.height, "height", "1 m", "height of the lux plan over the floor")
	c.Flags().StringVarP(&f.out, "output", "o", "", "the folder to write into")
	return pieceFlag(c)
}

func draw(c *cobra.Command, s *show.Show, f pictureFlags) error {
	pictures, err := plates(c.Context(), s, f)
	if err != nil {
		return err
	}
	var files []namedFile
	for _, kind := range f.of {
		var both []namedFile
		if kind == movingKind {
			both, err = film(c.Context(), s, f)
		} else {
			both, err = inBothForms(kind, pictures[kind])
		}
		if err == nil {
			err = c.Context().Err()
		}
		if err != nil {
			return fmt.Errorf("draw %s: %w", kind, err)
		}
		files = append(files, both...)
	}
	if err := writeAll(c.Context(), f.out, files); err != nil {
		return err
	}
	for _, kind := range f.of {
		ending := ".svg"
		if kind == movingKind {
			ending = ".png"
		}
		fmt.Fprintln(c.OutOrStdout(), filepath.Join(f.out, kind+ending))
	}
	return nil
}

func inBothForms(kind string, draw func() (*drawing.Drawing, error)) ([]namedFile, error) {
	d, err := draw()
	if err != nil {
		return nil, err
	}
	var files []namedFile
	for _, ending := range []string{".svg", ".png"} {
		data, err := d.File(kind + ending)
		if err != nil {
			return nil, err
		}
		files = append(files, namedFile{kind + ending, data})
	}
	return files, nil
}

// longestFilm is the longest span of a picture that moves: beyond it frames would be too far apart.
const longestFilm = time.Minute

// film draws a span as a picture that moves; plates has read the same flags before.
func film(ctx context.Context, s *show.Show, f pictureFlags) ([]namedFile, error) {
	at, to, err := spanOf(s, f)
	if err != nil {
		return nil, err
	}
	if to-at > longestFilm {
		return nil, hinted{fmt.Errorf("a picture that moves for %s is longer than %s", si.FormatTime(to-at), si.FormatTime(longestFilm)), "a shorter span, or --of strip"}
	}
	eye, err := findEye(s, f.from)
	if err != nil {
		return nil, err
	}
	p := page.Film(s, at, to, eye, false)
	p.As = plate.As(f.as)
	data, err := p.Write(ctx)
	return []namedFile{{movingKind + ".png", data}}, err
}

// spanOf reads --at and --to.
func spanOf(s *show.Show, f pictureFlags) (at, to time.Duration, err error) {
	if at, err = si.ParseTime(f.at); err != nil {
		return 0, 0, err
	}
	if err := within(s, "--at", at); err != nil {
		return 0, 0, err
	}
	to = at + 4*time.Second
	if f.to != "" {
		if to, err = si.ParseTime(f.to); err != nil {
			return 0, 0, err
		}
		if err := within(s, "--to", to); err != nil {
			return 0, 0, err
		}
	}
	if to <= at {
		return 0, 0, hinted{fmt.Errorf("a strip that ends at %s does not begin at %s", si.FormatTime(to), si.FormatTime(at)), "--to says a later instant"}
	}
	return at, to, nil
}

func plates(ctx context.Context, s *show.Show, f pictureFlags) (map[string]func() (*drawing.Drawing, error), error) {
	at, to, err := spanOf(s, f)
	if err != nil {
		return nil, err
	}
	var height si.Length
	if err := height.UnmarshalText([]byte(f.height)); err != nil {
		return nil, err
	}
	eye, err := findEye(s, f.from)
	if err != nil {
		return nil, err
	}
	if f.many < 1 || f.many > plate.MostFrames {
		return nil, fmt.Errorf("%d pictures of a strip lie outside 1 to %d", f.many, plate.MostFrames)
	}
	look := -1 // none yet
	if cue := s.CueAt(at); cue >= 0 {
		look = s.Cues[cue].Look
	}
	plan := func(ultraviolet bool) func() (*drawing.Drawing, error) {
		return func() (*drawing.Drawing, error) { return page.Plan(s, at, height, ultraviolet).Draw(ctx) }
	}
	view := func(glow bool) func() (*drawing.Drawing, error) {
		v := page.View(s, at, eye, glow)
		v.As = plate.As(f.as)
		return func() (*drawing.Drawing, error) { return v.Draw(ctx) }
	}
	strip := page.Strip(s, at, to, f.many, eye, false)
	strip.As = plate.As(f.as)
	return map[string]func() (*drawing.Drawing, error){
		"seen": view(false), "glow": view(true),
		"lux": plan(false), "uv-a": plan(true), "plan": page.Plot(s).Draw,
		stripKind: func() (*drawing.Drawing, error) { return strip.Draw(ctx) },
		"gamut":   page.Gamuts(s, look).Draw, "spectra": page.Spectra(s).Draw,
	}, nil
}

// within refuses an instant that the show does not have; one without a length has any.
func within(s *show.Show, flag string, t time.Duration) error {
	if t >= 0 && (s.Length <= 0 || t <= s.Length) {
		return nil
	}
	return hinted{fmt.Errorf("%s %s: the piece lasts from 0:00 to %s", flag, si.FormatTime(t), si.FormatTime(s.Length)), flag + " says an instant of it, as 0:10"}
}

// findEye returns the named eye, or the middle seat; where there are no seats,
// the first performer, and where nobody is, -1.
func findEye(s *show.Show, name string) (int, error) {
	var names []string
	for i, p := range s.Transport.Eyes {
		names = append(names, s.Transport.Places[p].Name)
		if names[i] == name {
			return i, nil
		}
	}
	switch {
	case len(names) == 0 && name == "":
		return -1, nil
	case name == "":
		return max(s.Room.MiddleSeat(), 0), nil // eyes begin with the seats
	}
	return 0, hinted{fmt.Errorf("there is no seat or performer %q", name), source.OneOf(name, names)}
}
