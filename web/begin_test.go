package web

import (
	"context"
	"net/http/httptest"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"lampblack/begin"
)

// beginning serves the start page of a home of its own.
type beginning struct {
	home, list, url string
	guide           *begin.Guide
	pages           *Start
}

func begins(t testing.TB) *beginning {
	t.Helper()
	b := &beginning{home: t.TempDir()}
	b.list = filepath.Join(t.TempDir(), "shows.json")
	open := func(ctx context.Context, dir string, tell func(string)) error {
		s, err := New(Options{Gate: ownGate(), Show: openHall(t, 1)})
		if err == nil {
			b.pages.SetBook(dir, s.Handler())
		}
		return err
	}
	b.guide = begin.NewGuide(begin.Options{List: b.list, Home: b.home, Kept: t.TempDir(), Within: 1e9, Open: open,
		Draft: func(context.Context, string, string, func(string)) (string, error) { return "", nil }})
	t.Cleanup(b.guide.Close)
	b.pages = NewStart(ownGate(), b.guide)
	h := httptest.NewServer(b.pages.Handler())
	t.Cleanup(h.Close)
	b.url = h.URL
	return b
}

func TestStartPage(t *testing.T) {
	b := begins(t)
	dir, err := b.guide.New(t.Context(), "me", "", "The Owl", begin.What{Title: "The Owl"})
	if err != nil {
		t.Fatal(err)
	}
	for _, size := range sizes {
		page := openTab(t, b.url+"/begin", size.width, size.height)
		page.whole("begin-" + size.name)
		judge(page)
		page.clean()
	}
	put := func(q begin.Question, do func(*begin.Answers)) {
		t.Helper()
		a, err := begin.Read(t.Context(), dir)
		if err != nil {
			t.Fatal(err)
		}
		seen := a.Marks[q]
		do(a)
		if err := begin.Put(t.Context(), dir, "me", q, seen, a); err != nil {
			t.Fatal(q, err)
		}
	}
	put(begin.RoomQuestion, func(a *begin.Answers) {
		a.Room.Width, a.Room.Depth, a.Room.Front, a.Room.Backdrop = 7, 11, 7, "black velvet"
	})
	put(begin.PeopleQuestion, func(a *begin.Answers) {
		a.People.Seats = append(a.People.Seats, begin.Seats{Name: "seats", Area: begin.Area{Left: -2.5, Right: 2.5, Near: -1.5, Far: -6}})
		a.People.Playing = &begin.Area{Left: -2, Right: 2, Near: .5, Far: 3}
		a.People.Players = append(a.People.Players, begin.Player{Name: "player", Y: 2.4})
		a.People.Ways = append(a.People.Ways, begin.Way{Name: "way in", Points: [][2]float64{{-3.1, -6}, {-3.1, 1}}, Width: .9})
	})
	put(begin.UnitsQuestion, func(a *begin.Answers) {
		a.Units.Groups = append(a.Units.Groups, begin.Group{Type: "colour par", Count: 4}, begin.Group{Type: "black light flood", Count: 2})
	})
	put(begin.GlowQuestion, func(a *begin.Answers) {
		a.Glow.Things = append(a.Glow.Things, begin.Thing{Name: "owl", Paint: "fluorescent orange", Width: .6, Height: .4, Y: 2, Z: 1.2})
	})
	put(begin.PlacesQuestion, func(a *begin.Answers) { a.Places.Units[0].Placed = true })
	for _, size := range sizes {
		page := openTab(t, b.url+"/begin/show?dir="+dir, size.width, size.height)
		for i := range begin.Questions {
			page.do(chromedp.Evaluate[chromedp.Void](`void (() => { const e = document.querySelector('[data-question="` + string(rune('0'+i)) + `"]'); if (e.getAttribute("aria-expanded") !== "true") e.click(); })()`))
			page.whole("question-" + string(rune('1'+i)) + "-" + size.name)
			if over := value[int](page, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("question %d is %d px wider than its window", i+1, over)
			}
			judge(page)
		}
		page.clean()
	}
}
