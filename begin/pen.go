package begin

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"lampblack/amend"
	"lampblack/ledger"
	"lampblack/show"
	"lampblack/source"
)

// heads are how texts begin that are not there yet.
var heads = map[string]string{
	show.BillFile:  "# The show as a whole. Beside it: room.yaml, the room; rig.yaml, the lamps; score.yaml, looks and cues.\n",
	show.RoomFile:  "# The room. Places are in metres from the middle of the front edge of the stage, on the floor:\n# x to the right as the audience sees it, y away from the audience, z up.\n",
	show.RigFile:   "# Which lamp hangs where. A unit without \"at\" is taken to hang with its likes on a bar before the stage.\n",
	show.ScoreFile: "# Looks, and the cues that bring them.\n",
	show.OrderFile: "# The evening, one step after another.\n",
	deskFile:       "# The small desk that is there, for `lampblack desk`.\n",
}

// pen changes texts value by value. After a first error it writes nothing more.
type pen struct {
	t   *ledger.Texts
	err error
}

func (p *pen) open(file string) *source.Text {
	text, faults := source.OpenText(file, p.t.Read(file))
	if err := faults.Err(); err != nil {
		p.err = fmt.Errorf("%s does not read as it is: put it right with a text editor, or take the last edit back: %w", file, err)
		return nil
	}
	return text
}

func (p *pen) close(file string, text *source.Text, err error) {
	if err == nil {
		var data []byte
		if data, err = text.Bytes(); err == nil {
			p.t.Put(file, data)
		}
	}
	if err != nil {
		p.err = err
	}
}

// at is what stands at a path.
func (p *pen) at(file string, path ...any) (source.Plain, bool) {
	if p.err != nil || p.t.Read(file) == nil {
		return source.Plain{}, false
	}
	text := p.open(file)
	if text == nil {
		return source.Plain{}, false
	}
	return text.At(path...)
}

// set has a value stand under a key of the root, or a key of one of its mappings. Why it is guessed
// stands behind it; "" is that somebody said it.
func (p *pen) set(file string, value source.Plain, guess string, path ...any) {
	is, there := p.at(file, path...)
	switch {
	case p.err != nil:
		return
	case there && is.Same(value):
	case p.t.Read(file) == nil || !there && p.begins(file, path):
		p.begin(file, value, path)
	default:
		text := p.open(file)
		p.close(file, text, text.PutAt(value, path...))
	}
	p.mark(file, guess, path...)
}

// begins tells whether the mapping or list that a value comes into is not there, or holds nothing.
func (p *pen) begins(file string, path []any) bool {
	section, there := p.at(file, path[0])
	if len(path) == 1 {
		return true
	}
	if there && len(section.Pairs) == 0 && len(section.List) == 0 {
		text := p.open(file)
		if keys := text.Keys(); len(keys) == 1 { // it is all that the file has
			p.t.Put(file, []byte(heads[file]))
		} else {
			p.close(file, text, text.CutAt(path[0]))
		}
		there = false
	}
	return !there && len(path) == 2
}

// begin puts a key, or a section with its first line, at the end of a file.
func (p *pen) begin(file string, value source.Plain, path []any) {
	data := p.t.Read(file)
	if data == nil {
		data = []byte(heads[file])
	}
	if n := len(data); n > 0 && data[n-1] != '\n' {
		data = append(data, '\n')
	}
	key := source.Quote(path[0].(string))
	switch {
	case len(path) == 1:
		data = fmt.Appendf(data, "%s: %s\n", key, value)
	default:
		lead := "- "
		if name, ok := path[1].(string); ok {
			lead = source.Quote(name) + ": "
		}
		data = fmt.Appendf(data, "%s:\n  %s%s\n", key, lead, value)
	}
	p.t.Put(file, data)
}

// add puts an item behind the others of a list of the root.
func (p *pen) add(file, list string, item source.Plain, guess string) {
	if p.err != nil {
		return
	}
	if p.t.Read(file) == nil || p.begins(file, []any{list, 0}) {
		p.begin(file, item, []any{list, 0})
		p.mark(file, guess, list, 0)
		return
	}
	text := p.open(file)
	if text == nil {
		return
	}
	n := text.Count(list)
	p.close(file, text, text.InsertAt(item, list, n))
	p.mark(file, guess, list, n)
}

// cut takes a value away, if it is there, and with the last of a section the section.
func (p *pen) cut(file string, path ...any) {
	if _, there := p.at(file, path...); !there || p.err != nil {
		return
	}
	if len(path) == 2 {
		if section, _ := p.at(file, path[0]); len(section.Pairs)+len(section.List) == 1 {
			path = path[:1]
		}
	}
	text := p.open(file)
	if len(path) == 1 && len(text.Keys()) == 1 {
		p.t.Put(file, nil) // a text without a key is none
		return
	}
	p.close(file, text, text.CutAt(path...))
}

// keys has keys of a mapping stand at a path: those that are nothing are taken away, and all that
// are not named stay. A mapping that is not there is made of them.
func (p *pen) keys(file, guess string, path []any, pairs ...source.Pair) {
	is, there := p.at(file, path...)
	if p.err != nil {
		return
	}
	if !there {
		p.set(file, plainOf(pairs...), guess, path...)
		return
	}
	changed := false
	for _, one := range pairs {
		if was := is.Get(one.Key); was.Same(one.Value) {
			continue
		}
		changed = true
		text := p.open(file)
		if text == nil {
			return
		}
		to := append(slices.Clone(path), one.Key)
		if one.Value.Kind == source.PlainNothing {
			p.close(file, text, text.CutAt(to...))
		} else {
			p.close(file, text, text.PutAt(one.Value, to...))
		}
	}
	if changed {
		p.mark(file, guess, path...)
	}
}

// rename gives a thing another name, wherever it is spoken of.
func (p *pen) rename(file, list, was, to string) {
	if p.err == nil {
		_, p.err = amend.Apply(p.t, []amend.Change{{File: file, Do: amend.Rename, At: amend.Path{list, was}, To: source.TextOf(to)}})
	}
}

// guessed is how a comment begins that tells of a guess.
const guessed = "  # guessed: "

// mark has the line of a value end with why it is guessed, or with nothing of that.
func (p *pen) mark(file, guess string, path ...any) {
	if p.err != nil {
		return
	}
	text := p.open(file)
	if text == nil {
		return
	}
	pos, there := text.Find(path...)
	if !there {
		return
	}
	lines := bytes.SplitAfter(p.t.Read(file), []byte("\n"))
	line := string(lines[pos.Line-1])
	body, end := strings.TrimRight(line, "\r\n"), line[len(strings.TrimRight(line, "\r\n")):]
	if at := guessAt(body); at >= 0 {
		body = body[:at]
	}
	if guess != "" {
		body += guessed + guess
	}
	lines[pos.Line-1] = []byte(body + end)
	p.t.Put(file, bytes.Join(lines, nil))
}

// guessAt is where the comment of a guess begins in a line, -1 where there is none. What a person
// wrote in quotes is no comment.
func guessAt(line string) int {
	at := strings.LastIndex(line, guessed)
	if at >= 0 && strings.ContainsAny(line[at+len(guessed):], `"'}]`) {
		return -1
	}
	return at
}

// guessOf is why the line of a value says that it is guessed, "" where it does not.
func (p *pen) guessOf(file string, path ...any) string {
	if p.err != nil || p.t.Read(file) == nil {
		return ""
	}
	text := p.open(file)
	if text == nil {
		return ""
	}
	pos, there := text.Find(path...)
	if !there {
		return ""
	}
	line := strings.TrimRight(strings.Split(string(p.t.Read(file)), "\n")[pos.Line-1], "\r")
	if at := guessAt(line); at >= 0 {
		return line[at+len(guessed):]
	}
	return ""
}

func (p *pen) isGuess(file string, path ...any) bool { return p.guessOf(file, path...) != "" }
