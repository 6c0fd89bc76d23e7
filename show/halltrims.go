package show

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"time"

	"lampblack/play/line"
	"lampblack/si"
	"lampblack/source"
)

// TrimsFile holds what loudspeakers are given in each hall, apart from the show; a show may do
// without. Commands and the page write it.
const TrimsFile = "hall.yaml"

// Trims is the text of hall.yaml.
type Trims struct {
	source.Pos
	Trims []ChannelTrim `key:"trims,required"`
}

// ChannelTrim is what a channel of the sound device, and so the loudspeaker on it, is given in
// a hall.
type ChannelTrim struct {
	source.Pos
	Hall    string        `key:"hall"` // as `place` in show.yaml; any hall where absent
	Channel int           `key:"channel,required"`
	Speaker string        `key:"speaker"` // what it is called: left, balcony
	Level   si.Decibels   `key:"level"`
	Delay   time.Duration `key:"delay"`
}

// Bounds of trims: what a hall asks for more of is another loudspeaker's work, and 300 ms are
// 100 m of the way that sound takes.
const (
	LoudestTrim si.Decibels = 6
	LongestTrim             = 300 * time.Millisecond
	mostTrims               = 1000
)

// ReadTrims reads the text of hall.yaml.
func ReadTrims(data []byte) (*Trims, source.Faults) {
	t := &Trims{Pos: source.Pos{File: TrimsFile, Line: 1, Column: 1}}
	faults := source.Decode(TrimsFile, data, t)
	if len(t.Trims) > mostTrims {
		faults.Add(t.Pos, "", "%d trims are more than the %d of one file", len(t.Trims), mostTrims)
		t.Trims = t.Trims[:mostTrims]
	}
	type place struct {
		hall    string
		channel int
	}
	seen := map[place]int{}
	for i := range t.Trims {
		c := &t.Trims[i]
		if c.Pos.Line == 0 {
			continue
		}
		if err := c.Check(); err != nil {
			faults.Add(c.Pos, "turn an amplifier up, not a trim; sound takes some 3 ms for a metre", "the trim of channel %d: %v", c.Channel, err)
			c.Level, c.Delay = 0, 0
		}
		at := place{c.Hall, c.Channel}
		if line, twice := seen[at]; twice {
			faults.Add(c.Pos, "take one of them out", "channel %d has two trims in one hall; the first is on line %d", c.Channel, line)
		}
		seen[at] = c.Pos.Line
	}
	return t, faults
}

// readTrims reads the trims of a folder, nil where it has none.
func readTrims(dir fs.FS, faults *source.Faults) *Trims {
	if !there(dir, TrimsFile) {
		return nil
	}
	data, ok := text(dir, TrimsFile, faults)
	if !ok {
		return nil
	}
	t, more := ReadTrims(data)
	*faults = append(*faults, more...)
	return t
}

// In are the trims of a hall: those that name it, and for other channels those that name none.
func (t *Trims) In(hall string) []ChannelTrim {
	if t == nil {
		return nil
	}
	var out []ChannelTrim
	for _, own := range []bool{true, false} {
		for _, c := range t.Trims {
			if own != (c.Hall != "" && c.Hall == hall) || !own && c.Hall != "" {
				continue
			}
			known := slices.ContainsFunc(out, func(o ChannelTrim) bool { return o.Channel == c.Channel })
			if !known && c.Channel >= 1 && c.Channel <= line.MaxChannels {
				out = append(out, c)
			}
		}
	}
	return out
}

// Elsewhere tells whether there are trims, and all of them are of other halls.
func (t *Trims) Elsewhere(hall string) bool {
	return t != nil && len(t.Trims) > 0 && len(t.In(hall)) == 0
}

// Check tells what is wrong with a trim.
func (c *ChannelTrim) Check() error {
	switch {
	case c.Channel < 1 || c.Channel > line.MaxChannels:
		return fmt.Errorf("channel %d lies outside 1 to %d", c.Channel, line.MaxChannels)
	case c.Level > LoudestTrim || c.Level < si.Lowest:
		return fmt.Errorf("a level of %s lies outside %s to %s", c.Level, si.Lowest, LoudestTrim)
	case c.Delay < 0 || c.Delay > LongestTrim:
		return errors.New("the delay lies outside 0 to 300 ms")
	}
	return nil
}

// With is the text of hall.yaml with a trim set: that which the channel has in the hall is
// changed in place, so that all else stays as it is; data is nil where there is no file yet.
func (c ChannelTrim) With(data []byte) ([]byte, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	item := "{"
	if c.Hall != "" {
		item += "hall: " + source.Quote(c.Hall) + ", "
	}
	item += fmt.Sprintf("channel: %d, ", c.Channel)
	if c.Speaker != "" {
		item += "speaker: " + source.Quote(c.Speaker) + ", "
	}
	item += fmt.Sprintf("level: %s, delay: %s}", c.Level, delayText(c.Delay))
	if len(data) == 0 {
		return []byte("# What the loudspeakers are given in each hall: apart from the show.\ntrims:\n  - " + item + "\n"), nil
	}
	t, faults := ReadTrims(data)
	if faults.Err() != nil {
		return nil, faults
	}
	text, faults := source.OpenText(TrimsFile, data)
	if faults.Err() != nil {
		return nil, faults
	}
	for i, old := range t.Trims {
		if old.Hall != c.Hall || old.Channel != c.Channel {
			continue
		}
		err := errors.Join(text.SetKey("level", c.Level.String(), "trims", i), text.SetKey("delay", delayText(c.Delay), "trims", i))
		if err == nil && c.Speaker != "" {
			err = text.SetKey("speaker", source.Quote(c.Speaker), "trims", i)
		}
		if err != nil {
			return nil, err
		}
		return text.Bytes()
	}
	if err := text.Append("trims", item); err != nil {
		return nil, err
	}
	return text.Bytes()
}

// delayText is a delay as files have it.
func delayText(d time.Duration) string {
	return fmt.Sprintf("%g ms", float64(d.Round(100*time.Microsecond))/float64(time.Millisecond))
}
