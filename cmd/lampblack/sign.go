package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/editing"
	"lampblack/show"
	"lampblack/si"
)

const signHelp = `Answer, with your name, for what stops a show and will not be mended: because it
was tried, because a competent person agreed, because somebody stands by.

Without a number the stops are listed, and asked for on a terminal. The signature goes
into show.yaml. It holds as long as the value gets no worse and the same cues bring the
same looks there, wherever they are moved to; what is added elsewhere is a stop of its
own.

A signature makes nothing safe, and nothing legal: whoever signs has looked at it, and
local codes and licensed people decide.`

// signFlags are the options of sign.
type signFlags struct{ person, reason string }

func signCmd() *cobra.Command {
	var f signFlags
	c := &cobra.Command{
		Use:     "sign DIR [NUMBER...]",
		Short:   "answer by name for what stops a show",
		Long:    signHelp,
		Example: `  lampblack sign shed 1 --person "A. Keeper" --reason "agreed with the school, 12 March"`,
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			l, err := load(c.Context(), c.ErrOrStderr(), args[0])
			if err != nil {
				return err
			}
			defer l.close()
			return f.sign(c, l, args[1:])
		},
	}
	c.Flags().StringVar(&f.person, "person", "", "who answers for it")
	c.Flags().StringVar(&f.reason, "reason", "", "why it may be so")
	return c
}

func (f *signFlags) sign(c *cobra.Command, l *loaded, numbers []string) error {
	stops := slices.DeleteFunc(finding.Stops(l.findings), func(s finding.Finding) bool { return s.ID == "file" })
	switch files := finding.Stops(l.findings); {
	case len(files) == 0:
		fmt.Fprintln(c.OutOrStdout(), "nothing stops this show")
		return nil
	case len(stops) < len(files):
		writeFound(c.ErrOrStderr(), slices.DeleteFunc(files, func(s finding.Finding) bool { return s.ID != "file" }))
		return hinted{errors.New("faults of the files cannot be signed for"), "mend them first"}
	}
	chosen, err := f.chosen(c, stops, numbers)
	if err != nil || len(chosen) == 0 {
		return err
	}
	var items []string
	for _, n := range chosen {
		items = append(items, check.Signature(&stops[n], f.person, f.reason, time.Now()))
	}
	_, _, err = rewrite(c.Context(), l.folder.Dir(), show.BillFile, func(data []byte) ([]byte, error) { return editing.SignedBill(data, items...) })
	if err != nil {
		return err
	}
	fmt.Fprintf(c.ErrOrStderr(), "%s written into %s, by %s\n", si.Count(len(items), "signature", "signatures"), show.BillFile, f.person)
	return nil
}

// chosen lists the stops to sign for, by index; on a terminal it asks for what is not said.
func (f *signFlags) chosen(c *cobra.Command, stops []finding.Finding, numbers []string) ([]int, error) {
	ask := f.asker(c)
	if len(numbers) == 0 {
		listStops(c.OutOrStdout(), stops)
		if ask == nil {
			return nil, hinted{errors.New("nobody has signed for these"), "name those that you answer for: their numbers, --person and --reason"}
		}
		numbers = strings.FieldsFunc(ask("Which do you answer for? Their numbers, or nothing: "), func(r rune) bool { return r == ' ' || r == ',' })
	}
	var out []int
	for _, text := range numbers {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > len(stops) {
			return nil, hinted{fmt.Errorf("there is no stop %q", text), fmt.Sprintf("they are numbered from 1 to %d: lampblack sign %s lists them", len(stops), c.Flags().Arg(0))}
		}
		if !slices.Contains(out, n-1) {
			out = append(out, n-1)
		}
	}
	if len(out) == 0 {
		return nil, nil
	}
	for _, of := range []struct {
		value *string
		words string
	}{{&f.person, "Your name: "}, {&f.reason, "Why it may be so: "}} {
		if *of.value == "" && ask != nil {
			*of.value = ask(of.words)
		}
		if strings.TrimSpace(*of.value) == "" {
			return nil, hinted{errors.New("nobody signs, or for no reason"), `--person "A. Keeper" --reason "tried on Tuesday"`}
		}
	}
	return out, nil
}

// asker asks on the terminal; nil where there is none.
func (f *signFlags) asker(c *cobra.Command) func(string) string {
	in, ok := typedBy(c)
	if !ok {
		return nil
	}
	ctx := c.Context()
	lines := linesOf(ctx, in)
	return func(words string) string {
		fmt.Fprint(c.ErrOrStderr(), words)
		select {
		case line := <-lines:
			return strings.TrimSpace(line)
		case <-ctx.Done():
			return ""
		}
	}
}

// listStops lists stops by number, each in two lines.
func listStops(w io.Writer, stops []finding.Finding) {
	for i := range stops {
		s := &stops[i]
		fmt.Fprintf(w, "%3d  %s, %s\n     %s\n", i+1, s.ID, s.Place, finding.Sentence(s.Text))
		if m := s.InWords(); m != "" {
			fmt.Fprintf(w, "     %s\n", m)
		}
	}
}
