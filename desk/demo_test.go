package desk

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"lampblack/demo"
	"lampblack/show"
)

// lantern is the demo show, without its soundtrack.
func lantern(t testing.TB) *show.Show {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "show")
	if err := demo.Write(dir, nil); err != nil {
		t.Fatal(err)
	}
	f, faults := show.Read(os.DirFS(dir))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s, faults := show.New(context.Background(), f, nil)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return s
}

const small = `
name: hall desk
slots: 24
patch: any
scenes: 48
banks: 6
recalled by: [{note: 36, to: 75, channel: 1}]
fade: {kind: none}
shortest gap: 40 ms
latency: 25 ms to 35 ms
`

func TestDemoFitsASmallDesk(t *testing.T) {
	s := lantern(t)
	d, faults := Read("desk.yaml", []byte(small))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	p, err := Reduce(context.Background(), s, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	p.WriteReport(os.Stdout)
	p.WriteSheet(os.Stdout)
}
