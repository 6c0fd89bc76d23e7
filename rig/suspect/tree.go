package suspect

import (
	"slices"

	"lampblack/rig"
)

// Branch is one step of a search on paper, and where its answers lead: to another branch by its place
// from 1 on, 0 where the tree ends.
type Branch struct {
	Step    Step
	Yes, No int
	Share   float64 // of all searches that come here
}

// A tree on paper ends where few searches come, and at a page or two.
const (
	mostBranches = 60
	leastReached = .01
)

// Tree is the steps of a search from where it stands, those that come oftenest first.
func Tree(r *rig.Rig, q Question) []Branch {
	type open struct {
		given []Given
		share float64
		from  int
		yes   bool
	}
	var out []Branch
	todo := []open{{given: q.Given, share: 1, from: -1}}
	for len(todo) > 0 && len(out) < mostBranches {
		k := 0
		for i := range todo {
			if todo[i].share > todo[k].share {
				k = i
			}
		}
		o := todo[k]
		todo = slices.Delete(todo, k, k+1)
		v := Find(r, Question{q.Seen, o.given, q.Mended})
		if v.Next == nil || o.share < leastReached {
			continue
		}
		out = append(out, Branch{Step: *v.Next, Share: o.share})
		if o.from >= 0 && o.yes {
			out[o.from].Yes = len(out)
		} else if o.from >= 0 {
			out[o.from].No = len(out)
		}
		yes := v.likelyYes()
		give := func(a Answer) []Given { return append(slices.Clone(o.given), Given{v.Next.ID, a}) }
		if !v.Next.Mend {
			todo = append(todo, open{give(Yes), o.share * yes, len(out) - 1, true})
		}
		todo = append(todo, open{give(No), o.share * (1 - yes), len(out) - 1, false})
	}
	return out
}

// likelyYes is how likely the next step is answered with yes, if it is one of the suspects.
func (v *Verdict) likelyYes() float64 {
	yes, all := 0.0, 0.0
	for i := range v.Suspects {
		s := &v.Suspects[i]
		yes, all = yes+s.Share*v.Next.yes(s), all+s.Share
	}
	if all == 0 {
		return 0
	}
	return yes / all
}
