package sheet

import (
	"bytes"
	"context"

	"lampblack/check/papers"
	"lampblack/sheet/typeset"
)

// draftOf is a draft of package papers as it is written there: one content, one way.
func draftOf(name string, size float64) func(context.Context, *Subject) ([]typeset.Block, error) {
	return func(ctx context.Context, s *Subject) ([]typeset.Block, error) {
		var b bytes.Buffer
		if err := papers.Paper(ctx, &b, name, s.Show, s.Found); err != nil {
			return nil, err
		}
		_, out := typeset.Markdown(b.String())
		for _, block := range out {
			if w, ok := block.(*typeset.Words); ok && w.Boxed && size > 0 {
				w.Size = size
			}
		}
		return out, nil
	}
}
