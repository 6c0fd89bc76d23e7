package web

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

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

// setsAt writes into a field of the page as a person does, and leaves it.
func (p *tab) setsAt(at, text string) {
	p.Helper()
	p.wait(fmt.Sprintf(`document.querySelector('[data-at="%s"]') !== null && !(document.documentElement.dataset.waits > 0)`, at))
	p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const e = document.querySelector('[data-at="%s"]'); e.focus(); e.value = %q; e.dispatchEvent(new Event("input")); e.dispatchEvent(new Event("change")); })()`, at, text)))
}

func (p *tab) presses(selector string) {
	p.Helper()
	p.wait(fmt.Sprintf(`document.querySelector(%q) !== null && !(document.documentElement.dataset.waits > 0)`, selector))
	p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void document.querySelector(%q).click()`, selector)))
}

// arrives waits until a page has come in the place of another.
func (p *tab) arrives(name string) {
	p.Helper()
	for end := time.Now().Add(30 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		there, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](fmt.Sprintf(`document.documentElement.dataset.page === %q && document.documentElement.dataset.ready === "yes"`, name)))
		if err == nil && there {
			return
		}
		if time.Now().After(end) {
			p.Fatalf("the page %s does not come; console: %q", name, p.console.list)
		}
	}
}

func (b *beginning) begun(t testing.TB) string {
	t.Helper()
	dir, err := b.guide.New(t.Context(), "me", "", "The Owl", begin.What{Title: "The Owl"})
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// What is no answer is told in words on the page, and nothing is lost by it.
func TestBadAnswersOnThePage(t *testing.T) {
	b := begins(t)
	page := openTab(t, b.url+"/begin", 1280, 800)
	told := `document.querySelector(".told").textContent`
	new := func(title, in string) {
		page.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`void (() => { const f = document.querySelector("form"); f.querySelector('[name="title"]').value = %q; f.querySelector('[name="in"]').value = %q; f.requestSubmit(); })()`, title, in)))
	}
	new("", b.home)
	page.wait(told + `.includes("wants a title")`)
	new("The Owl", "some/where")
	page.wait(told + `.includes("no whole path")`)
	if err := os.MkdirAll(filepath.Join(b.home, "Letters", "old"), 0o755); err != nil {
		t.Fatal(err)
	}
	new("Letters", b.home)
	page.wait(told + `.includes("something else in this folder")`)
	page.picture("begin-refused")
	judge(page)
	new("Owl/Moon: a \"play\"", b.home)
	page.arrives("questions")
	dir := filepath.Join(b.home, "Owl-Moon- a -play-")
	if !begin.IsShow(dir) {
		t.Fatalf("there is no show in %s", dir)
	}

	file := filepath.Join(t.TempDir(), "letter.wav")
	if err := os.WriteFile(file, []byte("Dear Ada, this is no sound."), 0o644); err != nil {
		t.Fatal(err)
	}
	page.do(chromedp.SetUploadFiles(chromedp.CSS(`[data-at="file"]`), []string{file}))
	page.wait(told + `.includes("no sound that can be read")`)

	page.presses(`[data-question="2"]`)
	page.setsAt("width", "700")
	page.wait(told + `.includes("from 2 m to 100 m")`)
	page.picture("question-refused")
	judge(page)
	page.setsAt("width", "7")
	page.wait(`document.querySelector('[data-question="2"] small').textContent.startsWith("7 m by")`)

	page.presses(`[data-question="4"]`)
	page.wait(`document.querySelector("details") !== null`)
	page.do(chromedp.Evaluate[chromedp.Void](`void (document.querySelector("details").open = true)`))
	page.setsAt("lamp table", "Dear Ada, the lamp is red.")
	page.presses(`[data-at="read table"]`)
	page.wait(told + `.includes("o slot was found")`)
	page.setsAt("lamp table", "1 dimmer 0-255\n2 red\n3 green\n4 blue\n5 strobe 0-9 off, 10-255 slow to fast")
	page.setsAt("lamp name", "a/b")
	page.presses(`[data-at="read table"]`)
	page.wait(`document.querySelectorAll(".understood tr").length === 5 && document.querySelector(".doubts") !== null`)
	page.whole("question-table")
	judge(page)
	page.presses(`[data-at="keep lamp"]`)
	page.wait(told + `.includes("cannot be called")`)
	page.setsAt("lamp name", "hall lamp")
	page.presses(`[data-at="read table"]`)
	page.wait(`document.querySelectorAll(".understood tr").length === 5`)
	page.presses(`[data-at="keep lamp"]`)
	page.presses(`[data-at="add hall lamp"]`)
	page.wait(`document.querySelector('[data-question="4"] small').textContent === "1 hall lamp"`)
}

// Two browsers on one show: each sees what the other wrote, what one has changed meanwhile is not
// written over, and either takes back.
func TestTwoBrowsersAnswer(t *testing.T) {
	b := begins(t)
	dir := b.begun(t)
	link := b.url + "/begin/show?dir=" + dir
	one, two := openTab(t, link, 1280, 800), openTab(t, link, 1280, 800)
	for _, p := range []*tab{one, two} {
		p.presses(`[data-question="2"]`)
		p.wait(`document.querySelector('[data-at="width"]') !== null`)
	}
	// The second is in the middle of a word when the first has written.
	two.do(chromedp.Evaluate[chromedp.Void](`void (() => { const e = document.querySelector('[data-at="depth"]'); e.focus(); e.value = "14"; })()`))
	one.setsAt("width", "7")
	one.wait(`document.querySelector('[data-question="2"] small').textContent.startsWith("7 m by")`)
	two.wait(`document.querySelector('[data-question="2"] small').textContent.startsWith("7 m by")`)
	if got := value[string](two, `document.querySelector('[data-at="depth"]').value`); got != "14" {
		t.Errorf("what is typed became %q", got)
	}
	two.do(chromedp.Evaluate[chromedp.Void](`void document.querySelector('[data-at="depth"]').dispatchEvent(new Event("change"))`))
	two.wait(`document.querySelector(".told").textContent.includes("Somebody has changed this meanwhile")`)
	two.wait(`document.querySelector('[data-at="width"]').value === "7"`)
	two.picture("questions-two")
	two.setsAt("depth", "14")
	one.wait(`document.querySelector('[data-question="2"] small').textContent.startsWith("7 m by 14 m")`)
	one.presses(`.pencil button`)
	two.wait(`document.querySelector('[data-question="2"] small').textContent.startsWith("7 m by 10 m")`)
	one.clean()
}

// The pages of the start are for this computer's user alone, and nobody writes by a link.
func TestWhoBegins(t *testing.T) {
	b := begins(t)
	ask := func(method, path string, header ...string) int {
		t.Helper()
		r, err := http.NewRequest(method, b.url+path, strings.NewReader(`{"name":"x"}`))
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i+1 < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
		answer, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if policyOf := answer.Header.Get("Content-Security-Policy"); answer.StatusCode == 200 && policyOf != policy {
			t.Errorf("%s has the policy %q", path, policyOf)
		}
		return answer.StatusCode
	}
	bearer := []string{"Authorization", "Bearer " + ownKey}
	for _, c := range []struct {
		method, path string
		header       []string
		want         int
	}{
		{"GET", "/begin", nil, 200}, {"GET", "/begin/show", nil, 200}, {"GET", "/", nil, 303}, {"GET", "/looks", nil, 404},
		{"GET", "/api/begin/shows", nil, 401}, {"POST", "/api/begin/new", nil, 401}, {"PUT", "/api/begin/sound?dir=/x&name=a&size=1&at=0", nil, 401},
		{"GET", "/api/begin/shows", bearer, 200}, {"GET", "/api/begin/show?dir=/etc", bearer, 422}, {"GET", "/api/begin/new", bearer, 405},
		{"POST", "/api/begin/new", append([]string{"Origin", "http://evil.example"}, bearer...), 403}, {"GET", "/api/begin/shows", append([]string{"Sec-Fetch-Site", "cross-site"}, bearer...), 403},
		{"POST", "/api/begin/new", append([]string{"Sec-Fetch-Site", "same-origin"}, bearer...), 422}, {"PUT", "/api/begin/sound?size=x", bearer, 400},
	} {
		if got := ask(c.method, c.path, c.header...); got != c.want {
			t.Errorf("%s %s %v: %d, want %d", c.method, c.path, c.header, got, c.want)
		}
	}
}
