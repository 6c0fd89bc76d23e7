package main

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/check/papers"
	"lampblack/folder"
	"lampblack/source"
)

const paperHelp = `Draft a paper that goes with the show, as Markdown, filled with what was
computed: %s.

A draft is not a finished paper: a competent person must check, complete and
sign it, and local rules decide what must be said and where.`

// paperCmd prints one draft. A show with findings that stop a run has its papers too:
// they say what is to be done.
func paperCmd() *cobra.Command {
	var out string
	names := papers.PaperNames()
	c := &cobra.Command{
		Use:       "paper NAME DIR",
		Short:     "draft a warning sign, an announcement, a risk assessment, a day log",
		Long:      fmt.Sprintf(paperHelp, strings.Join(names, ", ")),
		Args:      cobra.ExactArgs(2),
		ValidArgs: names,
		RunE: func(c *cobra.Command, args []string) error {
			args[0] = strings.ReplaceAll(args[0], "-", " ") // uv-log needs no quotes in a shell
			if !slices.Contains(names, args[0]) {
				return hinted{fmt.Errorf("there is no paper %q", args[0]), source.OneOf(args[0], names)}
			}
			l, s, err := solved(c, args[1])
			if err != nil {
				return err
			}
			var b bytes.Buffer
			found := l.findings
			if l.picked {
				if found, err = l.ofPiece(c.Context()); err != nil {
					return err
				}
			}
			if err := papers.Paper(c.Context(), &b, args[0], s, found); err != nil {
				return err
			}
			return put(c, out, []byte(source.VisibleLines(b.String())))
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "the file to write (standard output if absent)")
	return pieceFlag(c)
}

// put writes to a file, or to standard output when none is named.
func put(c *cobra.Command, name string, data []byte) error {
	if name != "" {
		return folder.WriteFile(c.Context(), name, data)
	}
	_, err := verbatim(c.OutOrStdout()).Write(data)
	return err
}
