package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"lampblack/folder"
	"lampblack/score"
	"lampblack/score/draft"
	"lampblack/si"
	"lampblack/source"
)

// decided adds decisions to spotting.yaml and returns the show with them. When somebody
// else writes meanwhile, it adds them to what they wrote. The show comes back read as
// it is with the decisions, so that the list that is then printed knows them.
func decided(c *cobra.Command, dir string, items []string) (*loaded, error) {
	for {
		l, err := readWell(c, dir)
		if err != nil {
			return nil, err
		}
		if l.of, err = l.filesOf(pieceNamed(c)); err == nil {
			err = l.sounds()
		}
		if err == nil {
			err = l.decide(items)
		}
		if err == nil {
			return l, nil
		}
		l.close()
		if !errors.Is(err, folder.ErrChanged) {
			return nil, err
		}
	}
}

// decide reads the file that it is about to write once more, as a reader would: a
// decision that the reader would refuse is told now, and nothing is written.
func (l *loaded) decide(items []string) error {
	if len(items) == 0 {
		return nil
	}
	data, err := l.folder.Optional(l.of.decisions)
	if err != nil {
		return err
	}
	if data == nil {
		data = []byte("# What was decided of the moments of the soundtrack.\n")
		data = append(data, "decisions:\n"...)
		for _, item := range items {
			data = append(data, "  - "+item+"\n"...)
		}
	} else if data, err = appended(data, items); err != nil {
		return err
	}
	if _, faults := draft.ReadDecisions(l.of.decisions, data); faults.Err() != nil {
		return faults
	}
	e := l.folder.Edit()
	e.Put(l.of.decisions, data)
	return e.Commit()
}

// appended puts items behind those that are there, one at a time, so that each sees the
// text that the last has left.
func appended(data []byte, items []string) ([]byte, error) {
	for _, item := range items {
		text, faults := source.OpenText(draft.DecisionsFile, data)
		if faults.Err() != nil {
			return nil, faults
		}
		if err := text.Append("decisions", item); err != nil {
			return nil, err
		}
		var err error
		if data, err = text.Bytes(); err != nil {
			return nil, err
		}
	}
	return data, nil
}

// decisionLines writes each decision as an item of the list.
func decisionLines(accept, reject, nudge []string) ([]string, error) {
	var out []string
	for i, list := range [][]string{accept, reject} {
		verdict := []draft.Verdict{draft.Accept, draft.Reject}[i]
		for _, text := range list {
			a, err := parseMoment(text)
			if err != nil {
				return nil, err
			}
			out = append(out, fmt.Sprintf("{moment: %s, verdict: %s}", a, verdict))
		}
	}
	for _, text := range nudge {
		moment, to, ok := strings.Cut(text, " to ")
		a, err := parseMoment(moment)
		if err == nil && !ok {
			err = fmt.Errorf("%q does not say where to", text)
		}
		if err != nil {
			return nil, hinted{err, `as --nudge "hit 0:31.2 to 0:31.35"`}
		}
		at, err := si.ParseTime(to)
		if err != nil {
			return nil, err
		}
		out = append(out, fmt.Sprintf("{moment: %s, verdict: %s, move to: %s}", a, draft.Accept, si.FormatTime(at)))
	}
	return out, nil
}

// parseMoment reads what a cue's "on" may say.
func parseMoment(text string) (score.Anchor, error) {
	var a score.Anchor
	err := a.UnmarshalText([]byte(text))
	return a, err
}
