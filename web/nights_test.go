package web

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"lampblack/showreport"
	"lampblack/web/admit"
)

// written are two nights, invented.
type written struct{}

func (written) Nights() []string { return []string{"2026-11-27", "2026-11-28"} }

func (written) Report(_ context.Context, night string) (NightReport, error) {
	if night != "2026-11-28" {
		return NightReport{}, errors.New("the journal tells of nothing that this show ran")
	}
	at := func(minute int) time.Time { return time.Date(2026, 11, 28, 19, 30+minute, 0, 0, time.UTC) }
	r := &showreport.Report{
		Title: "The Tide Clock", Night: night, From: at(0), To: at(74), Frames: []string{"frames late by 60µs (median), 210µs (99.9 %), 3.1ms (worst); 0 missed"},
		Zones:    []showreport.Zone{{Name: "The Tide Clock", Ran: 4440, Lines: []string{"held once, 61 s in all", "clock lost once, 4 s in all; last: no timecode"}, Steps: []showreport.Played{{Step: "preshow", At: at(0), Length: 1500, Usual: 1200, Cues: 1}, {Step: "the tide", At: at(25), Length: 2940, Usual: 2880, Cues: 41}}}},
		Happened: []showreport.Happening{{Time: at(31), What: "hold", Who: "phone 1"}, {Time: at(32), What: "go", Who: "phone 1"}, {Time: at(40), What: "clock lost", Text: "no timecode comes", Bad: true}, {Time: at(41), What: "clock found"}},
		Asked:    []showreport.Asker{{Who: "phone 1", Done: 12}, {Who: "stranger", Refused: 3, Why: "not paired"}},
		Lamps:    []showreport.Burned{{Unit: "front left", Lit: 1.1, Full: .52}, {Unit: "uv left", Lit: .6, Full: .44, Violet: .6}},
		People:   []showreport.Person{{Name: "hooded puppeteer", Kind: "performer", Dose: 11200, Limit: 10000, Hours: .6}, {Name: "third row centre", Kind: "seat", Dose: 812, Limit: 10000, Hours: .6}},
		Doubts:   []string{"changed since, or that night: the tide; hours and doses are those of the show as it is now"},
	}
	return NightReport{Report: r, Since: []string{"files changed: score.yaml", "preshow took 25:00, longer by 5:00", "new this night: clock lost: no timecode comes"}}, nil
}

// The page Report has the last night first, says in words when one cannot be reported, and goes
// onto paper.
func TestReportPage(t *testing.T) {
	server, err := New(Options{Show: openHall(t, 1), Gate: admit.New(admit.Options{Own: ownKey}), Nights: written{}})
	if err != nil {
		t.Fatal(err)
	}
	page := openTab(t, serve(t, server)+"/report", 1280, 900)
	page.wait(`document.querySelectorAll(".report table").length === 5`)
	text := value[string](page, `document.querySelector(".report").innerText`)
	for _, want := range []string{"49:00", "Clock lost once", "phone 1", "no timecode comes", "36:00", "112 %", "Files changed: score.yaml.", "1:14:00"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q:\n%s", want, text)
		}
	}
	if bad := value[string](page, `[...document.querySelectorAll(".report .bad")].map((e) => e.textContent).join()`); bad != "clock lost,112 %" {
		t.Errorf("marked as bad: %s", bad)
	}
	page.whole("report")
	judge(page)
	pdf, err := chromedp.Run(page.ctx, chromedp.PrintToPDF())
	if err != nil || len(pdf) < 10_000 {
		t.Errorf("on paper: %d octets, %v", len(pdf), err)
	}
	page.clean()
	page.do(chromedp.Evaluate[chromedp.Void](`(() => { const s = document.querySelector('[aria-label="night"]'); s.value = "2026-11-27"; s.dispatchEvent(new Event("change")); })()`))
	page.wait(`document.querySelector(".report").innerText.includes("The journal tells of nothing that this show ran.")`)
}
