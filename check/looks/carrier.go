package looks

import (
	"lampblack/check/finding"
	"lampblack/room"
)

// carriers finds people who carry what is to glow in a look, and are dressed in what glows there too: they are to
// be unseen.
func (r *limits) carriers() {
	in := r.Room()
	for i := range in.People {
		p := &in.People[i]
		if p.Wears.Name == "" || !in.PaintFluoresces(p.Wears.Name) {
			continue
		}
		look, cues := r.carriedInGlow(p)
		if look == "" {
			continue
		}
		r.Add(finding.Finding{ID: "glow-carrier", Severity: finding.Warn, Place: finding.Thing("performer", p.Name), Cues: cues, Source: "common practice, no source: who carries things in black light wears black that does not glow",
			Says: finding.Say("%s carries what glows in look %s, and wears %s, which glows beside it", p.Name, look, p.Wears.Name),
			Cure: finding.Say("black velvet, gloves and a hood; washed white cloth glows most of all. Where the costume is to be seen, let it be")}.At(p.Wears.Pos))
	}
}

// carriedInGlow is the first look, of those that cues bring, in which something that a person carries is to glow.
func (r *limits) carriedInGlow(p *room.Eye) (look string, cues []string) {
	for i := range r.Show.Looks {
		name := r.Show.Looks[i].Name
		parts := r.Show.Score.Parts(name)
		for k := range parts {
			if g := parts[k].Glow; g != nil {
				if o := r.Room().Objects.Get(g.Object.Name); o != nil && o.Carried.Name == p.Name {
					if _, _, cues := r.Stands(i); cues != nil {
						return name, cues
					}
				}
			}
		}
	}
	return "", nil
}
