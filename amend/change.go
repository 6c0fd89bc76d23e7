package amend

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lampblack/source"
)

// Do is what a change does.
type Do string

// What a change does.
const (
	Set    Do = "set"    // a value is another, a key is added; with nothing as To it is taken away
	Add    Do = "add"    // an item comes into a list, behind the one at the path, or before the first
	Cut    Do = "cut"    // an item or a key with its value is taken away
	Move   Do = "move"   // an item has another place in its list, which To counts from 0
	Rename Do = "rename" // a cue, a look, a unit has another name, wherever it is spoken of

	TakeOut Do = "take out" // a unit is taken away, wherever it is spoken of
)

// Change is one change of one file.
type Change struct {
	File string `json:"file"`
	Do   Do     `json:"do"`
	At   Path   `json:"at"`
	// Was is what stood there when it was asked for; nil does not matter, nothing is that nothing
	// did.
	Was *source.Plain `json:"was,omitempty"`
	To  source.Plain  `json:"to,omitzero"`
}

// UnmarshalJSON tells a value of null, that nothing was there, from none.
func (c *Change) UnmarshalJSON(data []byte) error {
	var in struct {
		File string          `json:"file"`
		Do   Do              `json:"do"`
		At   Path            `json:"at"`
		Was  json.RawMessage `json:"was"`
		To   source.Plain    `json:"to"`
	}
	if err := json.Unmarshal(data, &in); err != nil {
		return err
	}
	*c = Change{File: in.File, Do: in.Do, At: in.At, To: in.To}
	if in.Was != nil {
		c.Was = &source.Plain{}
		return json.Unmarshal(in.Was, c.Was)
	}
	return nil
}

// Path leads from the root of a file to a value: keys as texts, items by their places as numbers
// from 0, or by a key and its value as an [Item].
type Path []any

// Item is an item of a list, by a key of it and what stands there.
type Item struct{ Key, Value string }

// UnmarshalJSON reads ["cues", {"cue": "5"}, "up"].
func (p *Path) UnmarshalJSON(data []byte) error {
	var steps []any
	if err := json.Unmarshal(data, &steps); err != nil {
		return err
	}
	*p = nil
	for _, step := range steps {
		switch step := step.(type) {
		case string:
			*p = append(*p, step)
			continue
		case float64:
			if i := int(step); float64(i) == step && i >= 0 {
				*p = append(*p, i)
				continue
			}
		case map[string]any:
			if item, ok := itemOf(step); ok {
				*p = append(*p, item)
				continue
			}
		}
		return fmt.Errorf("a step of a path is a key, a place from 0, or an item as {\"cue\": \"5\"}, and not %v", step)
	}
	return nil
}

// itemOf is the one key with a text that an object has.
func itemOf(step map[string]any) (Item, bool) {
	for key, value := range step {
		text, ok := value.(string)
		return Item{key, text}, ok && len(step) == 1
	}
	return Item{}, false
}

// MarshalJSON writes what UnmarshalJSON reads.
func (p Path) MarshalJSON() ([]byte, error) {
	out := []any{}
	for _, step := range p {
		if item, ok := step.(Item); ok {
			step = map[string]string{item.Key: item.Value}
		}
		out = append(out, step)
	}
	return json.Marshal(out)
}

// String is the path in words: cue 5, up.
func (p Path) String() string {
	var out []string
	for i := 0; i < len(p); i++ {
		switch step := p[i].(type) {
		case Item:
			out = append(out, step.Key+" "+step.Value)
		case int:
			out = append(out, fmt.Sprintf("the %s", ordinal(step+1)))
		case string:
			// cues {cue 5} is cue 5, looks lagoon is look lagoon, parts 0 is part 1.
			one := strings.TrimSuffix(step, "s")
			if i+1 == len(p) {
				out = append(out, step)
				continue
			}
			switch next := p[i+1].(type) {
			case Item:
				continue
			case int:
				out = append(out, fmt.Sprintf("%s %d", one, next+1))
				i++
			case string:
				if slices.Contains(named, step) {
					out = append(out, one+" "+next)
					i++
				} else {
					out = append(out, step)
				}
			}
		}
	}
	return strings.Join(out, ", ")
}

// named are the keys whose values are things by their names.
var named = []string{"looks", "objects", "surfaces", "circuits", "supports", "boxes", "marks", "paths", "crosses", "opens", "on stage", "curtains", "extra sounds", "emitters", "modes"}

func ordinal(n int) string {
	switch {
	case n%10 == 1 && n%100 != 11:
		return fmt.Sprintf("%dst", n)
	case n%10 == 2 && n%100 != 12:
		return fmt.Sprintf("%dnd", n)
	case n%10 == 3 && n%100 != 13:
		return fmt.Sprintf("%drd", n)
	}
	return fmt.Sprintf("%dth", n)
}

// Conflict is that something else stands where a change was to be made than whoever asked saw.
type Conflict struct {
	File string       `json:"file"`
	At   Path         `json:"at"`
	Is   source.Plain `json:"is"`
}

func (c *Conflict) Error() string {
	if c.Is.Kind == source.PlainNothing {
		return fmt.Sprintf("%s is not there any more: somebody took it away meanwhile", c.At)
	}
	return fmt.Sprintf("%s is %s by now: somebody changed it meanwhile", c.At, brief(c.Is))
}

// Texts are the texts of a show's folder.
type Texts interface {
	Read(name string) []byte // nil where there is none
	Names() []string
	Put(name string, data []byte)
}

// mostChanges bounds the changes of one edit.
const mostChanges = 5000

// Apply makes changes, one after another, and says in words what they are. Where one cannot be
// made the texts are of no use, and the error says why.
func Apply(t Texts, changes []Change) (said string, err error) {
	if len(changes) == 0 || len(changes) > mostChanges {
		return "", fmt.Errorf("an edit is of 1 to %d changes, and this one of %d", mostChanges, len(changes))
	}
	var all []string
	for i := range changes {
		words, err := changes[i].apply(t)
		if err != nil {
			return "", err
		}
		all = append(all, words)
	}
	const most = 3
	said = strings.Join(all[:min(len(all), most)], "; ")
	if n := len(all) - most; n > 0 {
		said += fmt.Sprintf("; and %d more", n)
	}
	return said, nil
}

func (c *Change) apply(t Texts) (said string, err error) {
	if len(c.At) == 0 {
		return "", errors.New("a change needs a place in the file")
	}
	data := t.Read(c.File)
	if data == nil {
		return c.begin(t)
	}
	text, faults := source.OpenText(c.File, data)
	if faults.Err() != nil {
		return "", fmt.Errorf("%s does not read as it is, and is changed by an editor alone: %w", c.File, faults.Err())
	}
	if c.Do == Rename {
		return c.rename(t, text)
	}
	if c.Do == TakeOut {
		return c.takeOut(t, text)
	}
	at, err := c.resolve(text)
	if err != nil {
		return "", err
	}
	was, there := text.At(at...)
	if c.Was != nil && !c.Was.Same(was) {
		return "", &Conflict{c.File, c.At, was}
	}
	switch {
	case c.Do == Add:
		err, said = c.add(text, at), fmt.Sprintf("%s new", noun(c.At, c.To))
	case c.Do == Cut, c.Do == Set && c.To.Kind == source.PlainNothing:
		if !there {
			return "", &Conflict{File: c.File, At: c.At}
		}
		err, said = text.CutAt(at...), fmt.Sprintf("%s taken away", c.At)
	case c.Do == Set:
		err, said = text.PutAt(c.To, at...), fmt.Sprintf("%s: %s", c.At, brief(c.To))
		if there && was.Kind == source.PlainText {
			said += fmt.Sprintf(" (was %s)", brief(was))
		}
	case c.Do == Move:
		said, err = c.move(text, at)
	default:
		return "", fmt.Errorf("a change does not %q: it may set, add, cut, move, rename, take out", c.Do)
	}
	if err != nil {
		return "", err
	}
	return said, put(t, c.File, text)
}

// begin puts a first item into a list of a file that is not there yet.
func (c *Change) begin(t Texts) (said string, err error) {
	key, ok := c.At[0].(string)
	if c.Do != Add || len(c.At) != 1 || !ok {
		return "", &Conflict{File: c.File, At: c.At}
	}
	t.Put(c.File, []byte(source.Quote(key)+":\n  - "+c.To.String()+"\n"))
	return fmt.Sprintf("%s new", noun(c.At, c.To)), nil
}

func put(t Texts, name string, text *source.Text) error {
	data, err := text.Bytes()
	if err == nil {
		t.Put(name, data)
	}
	return err
}

// At is what a text says at a place; nothing where it has none, or is not there.
func At(t Texts, file string, at Path) (source.Plain, error) {
	data := t.Read(file)
	if data == nil {
		return source.Plain{}, nil
	}
	text, faults := source.OpenText(file, data)
	if err := faults.Err(); err != nil {
		return source.Plain{}, err
	}
	steps, ok := at.in(text)
	if !ok {
		return source.Plain{}, nil
	}
	is, _ := text.At(steps...)
	return is, nil
}

// in turns items by their values into places; ok is false where one is not there.
func (p Path) in(text *source.Text) (out []any, ok bool) {
	for _, step := range p {
		if item, is := step.(Item); is {
			i := text.Index(item.Key, item.Value, out...)
			if i < 0 {
				return nil, false
			}
			step = i
		}
		out = append(out, step)
	}
	return out, true
}

// resolve is the place of a change.
func (c *Change) resolve(text *source.Text) ([]any, error) {
	if out, ok := c.At.in(text); ok {
		return out, nil
	}
	return nil, &Conflict{File: c.File, At: c.At}
}

// add puts an item behind the one at a path; a path that ends at a list puts it behind all, one
// that ends with First before all.
func (c *Change) add(text *source.Text, at []any) error {
	switch last := at[len(at)-1].(type) {
	case int:
		return text.InsertAt(c.To, append(slices.Clone(at[:len(at)-1]), last+1)...)
	case string:
		if last == First {
			return text.InsertAt(c.To, append(slices.Clone(at[:len(at)-1]), 0)...)
		}
	}
	return text.InsertAt(c.To, append(slices.Clone(at), text.Count(at...))...)
}

// move gives an item another place in its list.
func (c *Change) move(text *source.Text, at []any) (said string, err error) {
	from, ok := at[len(at)-1].(int)
	to, err := strconv.Atoi(c.To.Text)
	if !ok || err != nil {
		return "", fmt.Errorf("an item is moved to a place from 0, and not %s to %s", c.At, brief(c.To))
	}
	list := at[:len(at)-1]
	is, _ := text.At(at...)
	return fmt.Sprintf("%s is the %s", noun(c.At, is), ordinal(to+1)), text.MoveAt(from, to, list...)
}

// First as the last step of an Add is before all items.
const First = "first"

// noun is what an item that comes in is called.
func noun(at Path, to source.Plain) string {
	if to.Kind == source.PlainPairs && len(to.Pairs) > 0 && to.Pairs[0].Value.Kind == source.PlainText {
		return to.Pairs[0].Key + " " + to.Pairs[0].Value.Text
	}
	return at.String()
}

// brief is a value in a few words.
func brief(p source.Plain) string {
	text := p.Text
	if p.Kind != source.PlainText {
		text = p.String()
	}
	const most = 60
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "…"
	}
	return text
}
