package check

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// signingSlack is how much worse than the signed value a finding may be: the
// rounding of a value that a person has copied.
const signingSlack = .005

// sign puts the signatures of the bill on the stops that they name, and
// reports those that hold no longer. A signature lapses when the value has got
// worse than the signed one, by more than rounding.
func sign(r *subject.Run, today time.Time) {
	list := r.Bound()
	var notes []finding.Finding
	for i := range r.Bill().Signed {
		s := &r.Bill().Signed[i]
		f, changed := named(list, s)
		var problem finding.Words
		switch {
		case tells[s.Finding] == "":
			problem = finding.Say("the signature of %s names %q, and no finding is called that", s.Person, s.Finding)
		case f == nil:
			problem = finding.Say("the signature of %s for %s at %s names no finding of this show: it can go", s.Person, s.Finding, s.Place)
		case !Signable(f):
			continue
		case changed:
			problem = finding.Say("the signature of %s for %s was given for other cues or looks than are there now, or for one that is signed for already", s.Person, f.Key())
		case s.Value == nil:
			problem = finding.Say("the signature of %s for %s gives no value, so nothing tells whether it got worse", s.Person, f.Key())
		case worse(f, *s.Value):
			problem = finding.Say("the signature of %s for %s has lapsed: %s was signed for, and it is %s", s.Person, f.Key(), si.Of(*s.Value, f.Unit), si.Of(f.Value, f.Unit))
		case blank(f, *s.Value):
			problem = finding.Say("the signature of %s for %s is for %s, and there are %s: it would let pass whatever becomes of it", s.Person, f.Key(), si.Of(*s.Value, f.Unit), si.Of(f.Value, f.Unit))
		default:
			f.Signed = fmt.Sprintf("%s, %s: %s", s.Person, s.Date, s.Reason)
			if !toCome(s.Date, today) {
				continue
			}
			// It holds: a computer whose clock is wrong must not stop a show.
			problem = finding.Say("the signature of %s for %s is dated %s, a day that is still to come", s.Person, f.Key(), s.Date)
		}
		note := finding.Finding{ID: "signature", Severity: finding.Warn, Place: fmt.Sprintf("%s at %s", s.Finding, s.Place), Says: problem, Source: "the show's own signatures"}
		if tells[s.Finding] != "" {
			note.Cure = finding.Say("%s", source.OneOf(s.Place, placesOf(list, s.Finding)))
		} else {
			note.Cure = finding.Say("%s", source.OneOf(s.Finding, Identifiers()))
		}
		if f != nil && toCome(s.Date, today) {
			note.Cure = finding.Say("give the day on which somebody looked and signed")
		} else if f != nil {
			note.Cure = finding.Say("look at it again, and sign for value: %v", f.Value)
		}
		notes = append(notes, note.At(s.Pos))
	}
	for _, n := range notes {
		r.Add(n)
	}
}

// toCome tells whether a day is later than tomorrow, as clocks of two places may be a day apart; never without a day
// that is today.
func toCome(d show.Date, today time.Time) bool {
	day, err := time.Parse(time.DateOnly, string(d))
	return err == nil && !today.IsZero() && day.Sub(today) > 24*time.Hour
}

// named returns the finding that a signature names, or nil. Of several at one place it is one whose cues
// and looks were signed for, that with the number if it can be; where none has these, the first, which
// has changed since.
func named(list []finding.Finding, s *show.Signature) (f *finding.Finding, changed bool) {
	var at, fit []*finding.Finding
	for i := range list {
		g := &list[i]
		if g.ID != s.Finding || numbered.ReplaceAllString(g.Place, "") != numbered.ReplaceAllString(s.Place, "") {
			continue
		}
		at = append(at, g)
		if g.Signed == "" && (s.Light == "" || g.Light == "" || s.Light == g.Light) {
			fit = append(fit, g)
		}
	}
	n := 1
	if m := numbered.FindStringSubmatch(s.Place); m != nil {
		n, _ = strconv.Atoi(m[1])
	}
	switch {
	case n >= 1 && n <= len(at) && slices.Contains(fit, at[n-1]):
		return at[n-1], false
	case fit != nil:
		return fit[0], false
	case at != nil:
		return at[0], true
	}
	return nil, false
}

// numbered is what findings of one kind at one place are told apart by.
var numbered = regexp.MustCompile(` \((\d+)\)$`)

func placesOf(list []finding.Finding, id string) []string {
	var out []string
	for _, f := range list {
		if f.ID == id {
			out = append(out, f.Place)
		}
	}
	return out
}

// worse tells whether the finding's value lies farther on the bad side than
// one that was signed for.
func worse(f *finding.Finding, signed float64) bool {
	slack := signingSlack * math.Abs(signed)
	if f.Value < f.Limit {
		return f.Value < signed-slack
	}
	return f.Value > signed+slack
}

// mostSigned is how many times as many flashes may be signed for as there are (a choice): a
// signature that was given for more, and for a show that got better since, holds.
const mostSigned = 2

// blank tells whether a signature for flashing is for so much more than was found that nobody can
// have looked at it.
func blank(f *finding.Finding, signed float64) bool {
	return strings.HasPrefix(f.ID, "flash-") && signed > mostSigned*f.Value
}

// Signable tells whether a person may answer for a finding: for a stop, which lets the show run, and for a
// warning, which stays a warning that somebody has seen to.
func Signable(f *finding.Finding) bool { return f.Severity != finding.Note && f.ID != "file" }

// Signature is the entry for show.yaml with which a person signs for a
// finding, as one line of YAML.
func Signature(f *finding.Finding, person, reason string, day time.Time) string {
	light := ""
	if f.Light != "" {
		light = ", light: " + source.Quote(f.Light)
	}
	return fmt.Sprintf("{finding: %s, place: %s, person: %s, date: %s, reason: %s, value: %v%s}",
		f.ID, source.Quote(f.Place), source.Quote(person), day.Format(time.DateOnly), source.Quote(reason), f.Value, light)
}
