package papers

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"lampblack/check"
	"lampblack/check/checktest"
)

// Papers say that they are drafts, and hold the values.
func TestPapers(t *testing.T) {
	checktest.Coarse(t)
	demo := checktest.Solved(t, checktest.DemoFolder())
	list, err := check.Run(t.Context(), demo, check.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range paperNames {
		var b bytes.Buffer
		if err := Paper(context.Background(), &b, name, demo, list); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(b.String(), "competent person") || !strings.Contains(b.String(), demo.Bill.Title) {
			t.Errorf("%s:\n%s", name, b.String())
		}
		if testing.Verbose() {
			t.Log(b.String())
		}
	}
	if err := Paper(context.Background(), &bytes.Buffer{}, "poster", demo, nil); err == nil {
		t.Error("there is a poster")
	}
}
