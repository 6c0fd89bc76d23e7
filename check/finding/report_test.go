package finding

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// Of many findings of a kind the gravest hundred are told, the earliest first,
// and one more has the number of the rest, as grave as the worst of these; the
// order in which they come does not matter.
func TestBound(t *testing.T) {
	for _, n := range []int{1, 100, 101, 199, 200, 201, 5791} {
		var texts []string
		for _, seed := range []uint64{1, 2} {
			r := NewReport(Tells{"cue-off": "off", "cue-calm": "calm"})
			for _, i := range rand.New(rand.NewPCG(seed, 0)).Perm(n) {
				severity := Note
				if i%3 == 0 {
					severity = Warn
				}
				r.Add(Finding{ID: "cue-off", Severity: severity, Place: fmt.Sprint("cue ", i), From: float64(i)})
			}
			if got := len(r.list); got >= 2*mostOfAKind {
				t.Fatalf("%d findings are kept at once", got)
			}
			r.Add(Finding{ID: "cue-calm", Severity: Note, Place: "cue 1"})
			all := r.List()
			var b bytes.Buffer
			if err := WriteJSON(&b, all); err != nil {
				t.Fatal(err)
			}
			texts = append(texts, b.String())
			told := slices.DeleteFunc(slices.Clone(all), func(f Finding) bool { return f.ID != "cue-off" || f.Place == "and more" })
			if len(told) != min(n, mostOfAKind) {
				t.Errorf("%d of %d are told", len(told), n)
			}
			i := slices.IndexFunc(all, func(f Finding) bool { return f.Place == "and more" })
			switch {
			case n <= mostOfAKind && i >= 0:
				t.Errorf("%d: more are counted than there are", n)
			case n > mostOfAKind && (i < 0 || all[i].Value != float64(n-mostOfAKind)):
				t.Errorf("%d: the rest is not counted", n)
			case n == 5791 && (all[i].Severity != Warn || told[99].Place != "cue 297"):
				t.Errorf("the rest is %s, the last told is %s", all[i].Severity, told[99].Place)
			}
		}
		if texts[0] != texts[1] {
			t.Errorf("%d: the order matters", n)
		}
	}
}
