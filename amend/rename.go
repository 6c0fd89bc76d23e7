package amend

import (
	"fmt"
	"regexp"
	"slices"

	"lampblack/source"
)

// kind is a kind of thing that has a name: where its names are given, and by which keys of the
// files it is spoken of. Where a key that is spoken by is missing here, the show does not read or
// solve after a change of a name, and the change is refused.
type kind struct {
	list   string   // the key of the list or mapping that has the things
	key    string   // by which an item of a list is called; "" for a mapping
	spoken []string // keys whose texts, or lists of texts, are names of it
	keys   []string // keys of mappings whose keys are names of it
	listed []string // keys, each of an item of a mapping, whose lists are names of it: the order of a line
	within bool     // texts that hold the name within words: cues 10 to 20
}

var kinds = []kind{
	{list: "cues", key: "cue", spoken: []string{"cue", "follows"}, within: true},
	{list: "looks", spoken: []string{"look", "looks", "like", "from", "when silent", "rest look", "standing look", "lights up"}},
	{list: "units", key: "unit", spoken: []string{"unit", "units", "fed by"}, listed: []string{"lines", "order"}},
	{list: "objects", spoken: []string{"object", "objects", "on", "carried by"}, keys: []string{"on stage", "crosses", "opens"}},
	{list: "surfaces", spoken: []string{"on", "surface"}, keys: []string{"on stage", "crosses", "opens"}},
	{list: "lines", spoken: []string{"line"}},
	{list: "circuits", spoken: []string{"circuit", "shares device of"}},
}

// rename gives a thing another name wherever it is spoken of.
func (c *Change) rename(t Texts, text *source.Text) (string, error) {
	at, err := c.resolve(text)
	if err != nil {
		return "", err
	}
	switch _, there := text.At(at...); {
	case !there:
		return "", &Conflict{File: c.File, At: c.At}
	case len(c.At) != 2 || c.To.Kind != source.PlainText || c.To.Text == "":
		return "", fmt.Errorf("%s needs a name of letters or digits", c.At)
	}
	list, _ := c.At[0].(string)
	i := slices.IndexFunc(kinds, func(k kind) bool { return k.list == list })
	if i < 0 {
		return "", fmt.Errorf("what is in %s has no name that could be another", list)
	}
	k, to := &kinds[i], c.To.Text
	was, ok := c.At[1].(string)
	if item, is := c.At[1].(Item); is && item.Key == k.key {
		was, ok = item.Value, true
	}
	if !ok {
		return "", fmt.Errorf("%s is to be called by its name", c.At)
	}
	_, taken := text.At(list, to)
	if k.key != "" {
		taken = text.Index(k.key, to, list) >= 0
	}
	if taken && to != was {
		return "", fmt.Errorf("there is %s %s already", list[:len(list)-1], to)
	}
	if k.key == "" {
		if err := text.RenameKey(was, source.Quote(to), list); err != nil {
			return "", err
		}
		if err := put(t, c.File, text); err != nil {
			return "", err
		}
	}
	for _, name := range t.Names() {
		if err := k.renameIn(t, name, c.File, was, to); err != nil {
			return "", err
		}
	}
	return fmt.Sprintf("%s is %s", c.At, to), nil
}

// renameIn changes a name where a file speaks of it. A cue's number is one of its own file.
func (k *kind) renameIn(t Texts, name, file, was, to string) error {
	if k.within && name != file {
		return nil
	}
	text, faults := source.OpenText(name, t.Read(name))
	if faults.Err() != nil {
		return nil // it speaks of nothing as it is
	}
	root, _ := text.At()
	n := 0
	var walk func(p source.Plain, key string, path []any) error
	walk = func(p source.Plain, key string, path []any) error {
		switch p.Kind {
		case source.PlainText:
			if next, ok := k.says(p.Text, key, path, was, to); ok {
				n++
				return text.PutAt(source.TextOf(next), path...)
			}
		case source.PlainList:
			for i, item := range p.List {
				if err := walk(item, key, append(slices.Clone(path), i)); err != nil {
					return err
				}
			}
		case source.PlainPairs:
			for _, one := range p.Pairs {
				if one.Key == was && slices.Contains(k.keys, key) {
					n++
					if err := text.RenameKey(was, source.Quote(to), path...); err != nil {
						return err
					}
				}
				if err := walk(one.Value, one.Key, append(slices.Clone(path), one.Key)); err != nil {
					return err
				}
			}
		}
		return nil
	}
	if err := walk(root, "", nil); err != nil || n == 0 {
		return err
	}
	return put(t, name, text)
}

// cueWords are the words behind which numbers of cues stand in texts.
var cueWords = regexp.MustCompile(`^(?:cues? [\d.]+(?: to [\d.]+)?|from cue [\d.]+|until cue [\d.]+)$`)
var number = regexp.MustCompile(`\d+(?:\.\d+)?`)

// lists tells whether a place is in a list of names: lines, stage, order, 3.
func (k *kind) lists(path []any) bool {
	return len(k.listed) == 2 && len(path) == 4 && path[0] == k.listed[0] && path[2] == k.listed[1]
}

// says is a text with another name in it, where it speaks of one.
func (k *kind) says(text, key string, path []any, was, to string) (string, bool) {
	if text == was && (slices.Contains(k.spoken, key) || k.lists(path)) {
		return to, true
	}
	if k.within && len(path) > 0 && path[0] == "on stage" && cueWords.MatchString(text) {
		next := number.ReplaceAllStringFunc(text, func(n string) string {
			if n == was {
				return to
			}
			return n
		})
		return next, next != text
	}
	return text, false
}
