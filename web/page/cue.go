package page

import "lampblack/show"

// Cue is a cue as placed in time.
type Cue struct {
	Number   string  `json:"number"`
	Look     int     `json:"look"`   // in Contents.Looks
	Moment   float64 `json:"moment"` // what it lands on
	Start    float64 `json:"start"`
	Peak     float64 `json:"peak"`
	Complete float64 `json:"complete"`
	Up       float64 `json:"up"`
	Down     float64 `json:"down"`
	Delay    float64 `json:"delay"`
	Hold     float64 `json:"hold"`
	Returns  float64 `json:"returns"` // of a bump, over which it falls back
	Bump     bool    `json:"bump"`
	Lands    string  `json:"lands"`
	On       string  `json:"on"`    // the anchor's text, "" when a time was given
	Found    bool    `json:"found"` // false when the anchor has no moment near
	OffBy    float64 `json:"offBy"`
	Why      string  `json:"why"`
	By       string  `json:"by"`
	File     string  `json:"file"` // in which it is written; "" for one that is guessed
}

// cuesOf takes the cues as placed. Times that the score leaves out are filled in as the
// show takes them: down is up, and a cue that does not say how it lands starts on its
// moment.
func cuesOf(s *show.Show) []Cue {
	out := make([]Cue, 0, len(s.Cues))
	for i := range s.Cues {
		c := &s.Cues[i]
		p := Cue{
			Number: c.Number.Name, Look: c.Look,
			Moment: seconds(c.Moment), Start: seconds(c.Start), Peak: seconds(c.Peak), Complete: seconds(c.Complete),
			Up: seconds(c.Up), Down: seconds(c.Up), Delay: seconds(c.Delay), Hold: seconds(c.Hold),
			Bump: c.Bump(), Lands: string(c.Lands), Found: c.Found, OffBy: seconds(c.OffBy),
			Why: c.Why, By: string(c.By), File: c.Number.Pos.File,
		}
		if c.Down != nil {
			p.Down = seconds(*c.Down)
		}
		if c.Returns != nil {
			p.Returns = seconds(*c.Returns)
		}
		if c.On != nil {
			p.On = c.On.String()
		}
		if p.Lands == "" {
			p.Lands = "starts"
		}
		out = append(out, p)
	}
	return out
}
