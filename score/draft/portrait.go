package draft

import (
	"fmt"
	"slices"
	"time"

	"lampblack/soundtrack"
)

// part is a section as the draft sees it.
type part struct {
	from, to time.Duration
	label    string // parts that sound alike share one
	energy   float64
	mood     Mood
	wish     *Section // nil when nobody asked
	turn     *soundtrack.Moment
	voice    bool // somebody speaks, and has a look for it
}

// shortestPart is the least that a part lasts; shorter ones belong to the one
// before.
const shortestPart = 5 * time.Second

// portrait cuts the track into parts. Silences and voices are put in before lengths are
// known, as both cut parts in two.
func portrait(t *soundtrack.Track, w *Wish) []part {
	parts := withVoices(t, w, withHushes(t, cut(t, w)))
	for i := range parts {
		p := &parts[i]
		p.to = t.Duration
		if i+1 < len(parts) {
			p.to = parts[i+1].from
		}
		p.energy = energy(t, p.from, p.to)
		if p.wish != nil && p.wish.Mood != "" {
			p.mood = p.wish.Mood
			p.energy = tempers[p.mood].energy
		} else {
			p.mood = moodOf(p.energy)
		}
	}
	return parts
}

// cut cuts where the wishes say so, else at the turns. What comes before the first turn
// is a part of its own when it is long enough, else it belongs to the first.
func cut(t *soundtrack.Track, w *Wish) []part {
	turns := t.Of(soundtrack.Turn)
	if len(w.Sections) > 0 {
		return wished(turns, w)
	}
	var out []part
	for i := range turns {
		m := &turns[i]
		if n := len(out); n > 0 && m.Time-out[n-1].from < shortestPart {
			continue
		}
		out = append(out, part{from: m.Time, label: m.Label, turn: m})
	}
	if len(out) == 0 || out[0].from > shortestPart {
		out = slices.Insert(out, 0, part{label: "beginning"})
	}
	out[0].from = 0
	return out
}

// withHushes begins a part where a silence ends, so that the light comes back.
func withHushes(t *soundtrack.Track, parts []part) []part {
	for _, m := range t.Of(soundtrack.Hush) {
		if m.End-m.Time >= time.Second && m.Time >= time.Second && m.End <= t.Duration-time.Second {
			parts = insert(parts, m.End)
		}
	}
	return parts
}

// withVoices begins a part where a voice begins and where it ends, when there
// is a look for it.
func withVoices(t *soundtrack.Track, w *Wish, parts []part) []part {
	if w.Voice.Name == "" {
		return parts
	}
	for _, m := range t.Of(soundtrack.Voice) {
		if m.Strength < sureVoice {
			continue
		}
		parts = insert(parts, m.End)
		parts = insert(parts, m.Time)
		for i := range parts {
			if parts[i].from >= m.Time-time.Second && parts[i].from < m.End-time.Second {
				parts[i].voice, parts[i].label = true, "voice"
			}
		}
	}
	return parts
}

// insert begins a part at a time, like the one that it is in, unless one begins there
// already. Within a second of where a part begins or ends, nothing is cut: a part so
// short has no look of its own.
func insert(parts []part, at time.Duration) []part {
	i := len(parts)
	for i > 0 && parts[i-1].from > at {
		i--
	}
	if i > 0 && at-parts[i-1].from < time.Second || i < len(parts) && parts[i].from-at < time.Second {
		return parts
	}
	p := part{label: "beginning"}
	if i > 0 {
		p = parts[i-1]
	}
	p.from, p.turn = at, nil
	return slices.Insert(parts, i, p)
}

// wished cuts where the director said, on the turn near it if there is one. A wish
// within a second of a turn means the turn, as a person's times are round. Two wishes
// on one turn are kept apart by a millisecond.
func wished(turns []soundtrack.Moment, w *Wish) []part {
	var out []part
	if w.Sections[0].From > 0 {
		out = append(out, part{label: "beginning"})
	}
	for i := range w.Sections {
		s := &w.Sections[i]
		p := part{from: s.From, wish: s, label: fmt.Sprintf("wish %d", i+1)}
		if s.Look.Name != "" {
			p.label = "look " + s.Look.Name
		}
		for k := range turns {
			if (turns[k].Time - s.From).Abs() < time.Second {
				p.from, p.turn = turns[k].Time, &turns[k]
				if s.Look.Name == "" {
					p.label = turns[k].Label
				}
			}
		}
		if n := len(out); n > 0 && p.from <= out[n-1].from {
			p.from = out[n-1].from + time.Millisecond
		}
		out = append(out, p)
	}
	return out
}

// energy is how loud a stretch is against the whole, 12 dB under to 6 dB over it, and
// how many hits there are in a second, up to 4. Loudness weighs three times as much as
// hits: a slow loud piece wants more light than a busy quiet one (this tool's choice).
func energy(t *soundtrack.Track, from, to time.Duration) float64 {
	sum, n := 0.0, 0
	for at := from; at < to; at += 250 * time.Millisecond {
		sum += float64(max(t.ShortTerm.At(at, -70), -70))
		n++
	}
	hits := 0
	for _, m := range t.Moments {
		if m.Kind == soundtrack.Hit && m.Time >= from && m.Time < to {
			hits++
		}
	}
	loud := (sum/float64(max(n, 1)) - t.Programme + 12) / 18
	busy := float64(hits) / max((to-from).Seconds(), .1) / 4
	return .75*min(max(loud, 0), 1) + .25*min(busy, 1)
}
