package web

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// sizes are the windows that the pages are looked at in: a laptop, a phone.
var sizes = []struct {
	name          string
	width, height int64
}{{"laptop", 1280, 800}, {"phone", 390, 844}}

func hallServer(t testing.TB, minutes int, c Control) (*Server, string) {
	t.Helper()
	s, err := New(Options{Show: openHall(t, minutes), Findings: hallFindings(), Control: c})
	if err != nil {
		t.Fatal(err)
	}
	return s, serve(t, s)
}

func TestEveryPageLoadsWithoutComplaint(t *testing.T) {
	_, url := hallServer(t, 5, nil)
	for _, p := range pages {
		for _, size := range sizes {
			t.Run(p.Name+" on a "+size.name, func(t *testing.T) {
				page := openTab(t, url+p.Link(), size.width, size.height)
				if got := value[string](page, `document.querySelector("nav [aria-current]").textContent`); got != p.Name {
					t.Errorf("the page calls itself %q", got)
				}
				if over := value[int](page, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
					t.Errorf("the page is %d px wider than its window", over)
				}
				page.picture(fmt.Sprintf("%s-%s", p.Script, size.name))
				page.clean()
			})
		}
	}
}

func TestBookShowsEveryCue(t *testing.T) {
	s, url := hallServer(t, 5, nil)
	page := openTab(t, url, 1280, 800)
	now, _ := s.book.get()
	cues := now.book.Contents().Cues
	// Leaves are filled as they come near: walk down the page.
	for leaf := range 5 {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void document.querySelector('[data-leaf="%d"]').scrollIntoView()`, leaf)))
		page.wait(fmt.Sprintf(`document.querySelector('[data-leaf="%d"] .card') !== null`, leaf))
		page.picture(fmt.Sprintf("leaf-%d", leaf))
	}
	shown := value[[]string](page, `[...document.querySelectorAll(".card")].map((c) => c.dataset.cue)`)
	if len(shown) != len(cues) {
		t.Errorf("%d cards for %d cues", len(shown), len(cues))
	}
	for i, c := range cues {
		if i < len(shown) && shown[i] != c.Number {
			t.Errorf("card %d is of cue %s, want %s", i, shown[i], c.Number)
		}
	}
	page.clean()
}
