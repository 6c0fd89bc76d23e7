package web

import (
	"context"
	"testing"
	"testing/fstest"

	"lampblack/check"
	"lampblack/show"
)

// A show of almost nothing has its whole book: every page opens, complains of nothing, and
// says what it stands on a guess of, and which fact is worth most next.
func TestBookOfAlmostNothing(t *testing.T) {
	f, faults := show.Read(fstest.MapFS{
		"rig.yaml":   {Data: []byte("units:\n  - {unit: 1, type: colour par, address: 1}\n  - {unit: 2, type: colour par, address: 4}\n  - {unit: 3, type: black light flood, address: 7}\n")},
		"score.yaml": {Data: []byte("looks:\n  welcome: {colour: orange, level: 60 %}\n  night: {colour: blue, level: 30 %}\n")},
	})
	ctx := context.Background()
	s, more := show.New(ctx, f, nil)
	if err := append(faults, more...).Err(); err != nil {
		t.Fatal(err)
	}
	e, faults := s.Evening(f.Order, nil)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	whole := e.Whole()
	findings, err := check.Run(ctx, whole, check.Options{})
	if err != nil {
		t.Fatal(err)
	}
	server, err := New(Options{Gate: ownGate(), Show: whole, Findings: findings})
	if err != nil {
		t.Fatal(err)
	}
	url := serve(t, server)
	for _, p := range pages {
		page := openTab(t, url+p.Link(), 1280, 800)
		page.wait(`[...document.images].every((i) => i.complete && i.naturalWidth > 0)`)
		text := map[string]string{"room": "Guessed, as nobody said: the room (8 m by 10 m by 3.5 m)", "rig": "guessed", "checks": "worth most next: where units hang and aim"}[p.Script]
		if text != "" && !value[bool](page, `document.body.textContent.includes("`+text+`")`) {
			t.Errorf("the page %s does not say %q", p.Name, text)
		}
		page.picture("small-" + p.Script)
		page.clean()
	}
}
