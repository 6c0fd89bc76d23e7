package finding

// NotJudged is the identifier of what tells, once for a whole show, what could not be
// judged since nobody said enough.
const NotJudged = "not-judged"

// Fact is something about a show that may not have been said, and where it would be
// written.
type Fact struct {
	What  string // "where the units hang and aim"
	Write string // "at: and aim: in rig.yaml"
}

// Lack is a fact that nobody said, and what was not judged for want of it.
type Lack struct {
	Fact   string   `json:"fact"`
	Write  string   `json:"write"`
	Of     []string `json:"of,omitempty"` // units, circuits or types of which it was not said
	Limits []string `json:"limits"`       // identifiers of the findings that there would be
}

// Lack tells that nobody said a fact of some units, circuits or types, so that limits
// were not judged. All that a run lacks is gathered into one finding in the end.
func (r *Report) Lack(fact Fact, of []string, limits ...string) {
	r.Add(Finding{ID: NotJudged, Severity: Note, Place: fact.What, Lacks: []Lack{{fact.What, fact.Write, of, limits}}})
}
