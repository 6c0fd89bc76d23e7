package check

import (
	"fmt"
	"math"
	"time"

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
func (r *report) sign() {
	for i := range r.show.Bill.Signed {
		s := &r.show.Bill.Signed[i]
		f := r.signed(s)
		problem := ""
		switch {
		case catalogue[s.Finding] == "":
			problem = fmt.Sprintf("the signature of %s names %q, and no finding is called that", s.Person, s.Finding)
		case f == nil:
			problem = fmt.Sprintf("the signature of %s for %s at %s names no finding of this show: it can go", s.Person, s.Finding, s.Place)
		case f.Severity != Stop:
			continue
		case s.Value == nil:
			problem = fmt.Sprintf("the signature of %s for %s gives no value, so nothing tells whether it got worse", s.Person, f.key())
		case f.worse(*s.Value):
			problem = fmt.Sprintf("the signature of %s for %s has lapsed: %s was signed for, and it is %s", s.Person, f.key(), si.Say(*s.Value, f.Unit), si.Say(f.Value, f.Unit))
		default:
			f.Signed = fmt.Sprintf("%s, %s: %s", s.Person, s.Date, s.Reason)
			continue
		}
		note := Finding{ID: "signature", Severity: Warn, Place: fmt.Sprintf("%s at %s", s.Finding, s.Place), Text: problem, Source: "the show's own signatures"}
		if catalogue[s.Finding] != "" {
			note.Hint = source.OneOf(s.Place, r.placesOf(s.Finding))
		} else {
			note.Hint = source.OneOf(s.Finding, Identifiers())
		}
		if f != nil {
			note.Hint = fmt.Sprintf("look at it again, and sign for value: %v", f.Value)
		}
		r.add(note.at(s.Pos))
	}
}

// signed returns the finding that a signature names, or nil.
func (r *report) signed(s *show.Signature) *Finding {
	for i := range r.list {
		if f := &r.list[i]; f.ID == s.Finding && f.Place == s.Place {
			return f
		}
	}
	return nil
}

func (r *report) placesOf(id string) []string {
	var out []string
	for _, f := range r.list {
		if f.ID == id {
			out = append(out, f.Place)
		}
	}
	return out
}

// worse tells whether the finding's value lies farther on the bad side than
// one that was signed for.
func (f *Finding) worse(signed float64) bool {
	slack := signingSlack * math.Abs(signed)
	if f.Value < f.Limit {
		return f.Value < signed-slack
	}
	return f.Value > signed+slack
}

// Signature is the entry for show.yaml with which a person signs for a
// finding, as one line of YAML.
func (f *Finding) Signature(person, reason string, day time.Time) string {
	return fmt.Sprintf("{finding: %s, place: %s, person: %s, date: %s, reason: %s, value: %v}",
		f.ID, source.Quote(f.Place), source.Quote(person), day.Format(time.DateOnly), source.Quote(reason), f.Value)
}
