package web

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/demo"
	"lampblack/show"
	"lampblack/soundtrack"
)

// openDemo writes the example show, listens to it, solves and checks it.
func openDemo(t *testing.T) (*show.Show, []finding.Finding) {
	t.Helper()
	dir := t.TempDir()
	if err := demo.Fish.Write(t.Context(), dir, nil); err != nil {
		t.Fatal(err)
	}
	f, faults := show.Read(os.DirFS(dir))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	track, err := soundtrack.Listen(ctx, filepath.Join(dir, f.Bill.Soundtrack.Name), "", soundtrack.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, faults := show.New(ctx, f, track)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	findings, err := check.Run(ctx, s, check.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s, findings
}

// The example show's book, whole, and its picture for the README:
//
//	LAMPBLACK_LONG=1 LAMPBLACK_BOOK=../docs/book.png go test ./web -run TestDemoBook
func TestDemoBook(t *testing.T) {
	if os.Getenv("LAMPBLACK_LONG") == "" {
		t.Skip("the example show takes a while: set LAMPBLACK_LONG=1")
	}
	s, findings := openDemo(t)
	server, err := New(Options{Gate: ownGate(), Show: s, Findings: findings, Control: &orders{}})
	if err != nil {
		t.Fatal(err)
	}
	url := serve(t, server)
	for _, p := range pages {
		for _, size := range sizes {
			page := openTab(t, url+p.Link(), size.width, size.height)
			if over := value[int](page, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("%s on a %s is %d px wider than its window", p.Name, size.name, over)
			}
			page.wait(`[...document.querySelectorAll(".entry canvas")].slice(0, 2).every((c) => c.dataset.drawn)`)
			page.wait(`[...document.images].every((i) => i.complete && i.naturalWidth > 0)`)
			page.picture(fmt.Sprintf("demo-%s-%s", p.Script, size.name))
			page.whole(fmt.Sprintf("demo-%s-%s-whole", p.Script, size.name))
			page.clean()
		}
	}
	page := openTab(t, url, 1280, 800)
	leaves := value[int](page, `document.querySelectorAll(".leaf").length`)
	for leaf := range leaves {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void document.querySelector('[data-leaf="%d"]').scrollIntoView()`, leaf)))
		page.wait(fmt.Sprintf(`!!document.querySelector('[data-leaf="%d"] canvas')`, leaf))
		page.picture(fmt.Sprintf("demo-leaf-%d", leaf))
	}
	if shown := value[int](page, `document.querySelectorAll(".card").length`); shown != len(s.Cues) {
		t.Errorf("%d cards for %d cues", shown, len(s.Cues))
	}
	page.clean()
	if out := os.Getenv("LAMPBLACK_BOOK"); out != "" {
		photograph(t, server, url, out)
	}
}

// photograph takes the picture of the book while a run stands after its storm.
func photograph(t *testing.T, server *Server, url, out string) {
	t.Helper()
	page := openTab(t, url, 1280, 860)
	const at = 232.0
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); {
		server.SetPlayhead(Playhead{At: at, Running: true, Held: true, Clock: "the sound"})
		if value[bool](page, `document.querySelector(".thread time").textContent === "3:52.0" && !!document.querySelector(".card.current") && document.querySelector(".values td") !== null`) {
			break
		}
	}
	page.wait(`document.documentElement.dataset.lit === "yes"`)
	png, err := chromedp.Run(page.ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(out, png, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}
