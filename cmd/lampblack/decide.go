package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"lampblack/score"
	"lampblack/score/draft"
	"lampblack/si"
	"lampblack/source"
)

// decide adds decisions to spotting.yaml.
func (l *loaded) decide(accept, reject, nudge []string) error {
	items, err := decisionLines(accept, reject, nudge)
	if err != nil || len(items) == 0 {
		return err
	}
	data, err := l.optional("spotting.yaml")
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
	if _, faults := draft.ReadDecisions("spotting.yaml", data); faults.Err() != nil {
		return faults
	}
	return source.WriteFile(filepath.Join(l.dir, "spotting.yaml"), data)
}

func appended(data []byte, items []string) ([]byte, error) {
	for _, item := range items {
		text, faults := source.OpenText("spotting.yaml", data)
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

func parseMoment(text string) (score.Anchor, error) {
	var a score.Anchor
	err := a.UnmarshalText([]byte(text))
	return a, err
}
