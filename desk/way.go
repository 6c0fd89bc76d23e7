package desk

// way is one manner of using a desk. A desk that can do much can also do what
// a lesser one can, and sometimes that loses less: one fade time that is wrong
// for most changes is worse than none.
type way struct {
	fade  FadeKind
	whole bool // units share addresses whole, not slot by slot
}

// ways lists what the desk can do, the most flexible first. The order matters where two
// lose the same: the first stays, which uses most of what the desk can do.
func (d *Desk) ways() []way {
	fades := map[FadeKind][]FadeKind{
		FadeEachScene: {FadeEachScene, FadeOneTime, FadeNone},
		FadeOneTime:   {FadeOneTime, FadeNone},
	}[d.Fade.Kind]
	if fades == nil {
		fades = []FadeKind{FadeNone}
	}
	var out []way
	for _, fade := range fades {
		if d.Patch == PatchAny {
			out = append(out, way{fade, false})
		}
		out = append(out, way{fade, true})
	}
	return out
}

// better tells whether p loses less than q by more than rounding.
func (p *Plan) better(q *Plan) bool { return q == nil || p.Harm < q.Harm-1e-9*(1+q.Harm) }

// write puts the times of the way into what the desk's owner sets: a desk whose
// scenes have their own times keeps the one time of all in each of them.
func (p *Plan) write() {
	if p.Desk.Fade.Kind == FadeEachScene && p.way.fade == FadeOneTime {
		for i := range p.Scenes {
			p.Scenes[i].Fade = p.Fade
		}
	}
}
