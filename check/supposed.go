package check

import (
	"strings"

	"lampblack/check/dose"
	"lampblack/check/finding"
	"lampblack/check/sight"
	"lampblack/check/subject"
)

// ofEyes are the limits that some eye must be there for.
var ofEyes = []string{"flash-rate", "flash-red", "uv-dose", "uv-actinic", "uv-irradiance", "blue-gaze", "blue-room"}

// supposed measures what eyes would get in a room of which nobody said where any are: of some places over the audience
// and the stage the worst is told for each limit, as a warning, as it is about a guess.
func supposed(r *subject.Run) error {
	of, ok := subject.Supposed(r.Ctx, r.Subject)
	if !ok {
		return nil
	}
	run := &subject.Run{Subject: of, Ctx: r.Ctx, Report: finding.NewReport(tells)}
	if err := measure(run, []subject.Family{sight.Family, dose.Family}); err != nil {
		return err
	}
	for _, id := range ofEyes {
		var worst *finding.Finding
		list := run.List()
		for i := range list {
			if f := &list[i]; f.ID == id && f.Severity != finding.Note && strings.Contains(f.Place, "supposed at ") && (worst == nil || f.Margin < worst.Margin) {
				worst = f
			}
		}
		if worst == nil {
			continue
		}
		f := *worst
		f.Severity = finding.Warn
		f.File, f.Line, f.Column = "", 0, 0 // no text says where that eye is
		r.Add(f)
	}
	return nil
}
