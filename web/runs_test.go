package web

import (
	"context"
	"errors"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"lampblack/check/finding"
)

// stage is a run that is begun and ended at once; the first time it fails.
type stage struct {
	mu    sync.Mutex
	tries int
	now   RunNow
}

func (s *stage) Begin(context.Context) (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.tries++; s.tries == 1 {
		s.now.Said = "the network device is not there"
		return "", errors.New("the run did not begin: the network device is not there")
	}
	s.now = RunNow{On: true, Link: "/night"}
	return s.now.Link, nil
}

func (s *stage) End() error {
	s.is(RunNow{})
	return nil
}

func (s *stage) Now() RunNow {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now
}

func (s *stage) is(now RunNow) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now = now
}

// A run is begun from the title page by two presses, and ended by two; why one does not begin, or breaks off, is
// told there, and one is never begun while a stop stands.
func TestTonight(t *testing.T) {
	s, err := New(Options{Gate: ownGate(), Show: openHall(t, 1)})
	if err != nil {
		t.Fatal(err)
	}
	run := &stage{}
	s.Runs(run)
	page := openTab(t, serve(t, s), 1280, 800)
	press := func(words string) {
		t.Helper()
		b := `[...document.querySelectorAll(".tonight button")].find((b) => b.textContent === "` + words + `")`
		page.wait(b + ` !== undefined`)
		page.do(chromedp.Evaluate[chromedp.Void](`void ` + b + `.click()`))
	}
	press("Run it")
	page.picture("tonight")
	if run.tries != 0 {
		t.Error("it runs before anybody was asked")
	}
	press("Begin the run")
	page.wait(`document.querySelector(".tonight .wrong")?.textContent === "the run did not begin: the network device is not there"`)
	press("Run it")
	press("Begin the run")
	page.wait(`document.querySelector(".tonight a")?.getAttribute("href") === "/night"`)
	run.is(RunNow{Said: "the computer of the lamps does not answer"})
	page.wait(`document.querySelector(".tonight .wrong")?.textContent === "The run broke off: the computer of the lamps does not answer"`)
	press("Run it")
	press("Begin the run")
	page.wait(`document.querySelector(".tonight a")?.getAttribute("href") === "/night"`)
	press("End it")
	press("End the run")
	page.wait(`document.querySelector(".tonight").textContent === "Run it"`)
	page.cleanBut("/api/run/begin")
	s.Replace(openHall(t, 1), []finding.Finding{{ID: "uv-dose", Severity: finding.Stop, Text: "too much", Place: "seat a"}})
	page.wait(`document.querySelector(".tonight")?.textContent === "It can run once 1 stop is seen to."`)
	if r := ask(t, s, "POST", "localhost", "/api/run/begin", nil); r.Code != 422 || run.tries != 3 {
		t.Errorf("with a stop: %d %s, %d runs", r.Code, r.Body, run.tries)
	}
}
