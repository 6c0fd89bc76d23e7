package begin

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"lampblack/ledger"
	"lampblack/rig"
	"lampblack/rig/manual"
)

// Table is what a slot table was read as.
type Table struct {
	Modes  []TableMode `json:"modes"`
	Light  []string    `json:"emitters"`
	Doubts []string    `json:"doubts"` // what to beware of, and what the table does not tell
}

// TableMode is a mode of it.
type TableMode struct {
	Name  string      `json:"mode"`
	Slots []TableSlot `json:"slots"`
}

// TableSlot is a slot, as it was understood.
type TableSlot struct {
	Slot   string   `json:"slot"`
	Called string   `json:"called"`
	Does   string   `json:"does"`
	Values []string `json:"values"`
}

// ErrNoTable is that no slot was found in a text.
var ErrNoTable = Unfit{"no slot was found in this text: a slot begins a line with its number, as in \"1 red 0-255\""}

// MostTable bounds a text that is said to be a slot table, bytes.
const MostTable = 64 << 10

// ReadTable reads a slot table as people have it.
func ReadTable(text string) (*Table, error) {
	_, out, err := readTable(text)
	return out, err
}

func readTable(text string) (*manual.Reading, *Table, error) {
	if len(text) > MostTable {
		return nil, nil, Unfit{fmt.Sprintf("this text is longer than any slot table, %d kB: paste the table alone", MostTable>>10)}
	}
	read := manual.Read([]byte(text))
	if len(read.Modes) == 0 {
		return nil, nil, ErrNoTable
	}
	out := &Table{}
	data, err := json.Marshal(read)
	if err == nil {
		err = json.Unmarshal(data, out)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("read the table: %w", err)
	}
	for i := range out.Modes {
		for k := range out.Modes[i].Slots {
			if s := &out.Modes[i].Slots[k]; s.Values == nil {
				s.Values = []string{}
			}
		}
	}
	out.Doubts = doubts(read.Words())
	return read, out, nil
}

// doubts are the lines of what was understood that begin behind the slots.
func doubts(words string) []string {
	out := []string{}
	_, rest, _ := strings.Cut(words, "\n\n")
	for _, line := range strings.Split(rest, "\n") {
		if text := strings.TrimSpace(line); text != "" && strings.HasPrefix(line, "  ") {
			out = append(out, text)
		}
	}
	return out
}

// KeepTable makes a lamp of a slot table, in the folder of a show.
func KeepTable(ctx context.Context, dir, who, name, text string) error {
	if err := FolderName(name); err != nil {
		return Unfit{fmt.Sprintf("a lamp cannot be called %q: letters, figures, blanks and hyphens", name)}
	}
	read, _, err := readTable(text)
	if err != nil {
		return err
	}
	file := "fixtures/" + name + ".yaml"
	data := read.YAML(name)
	if _, faults := rig.ReadType(name, file, data); faults.Err() != nil {
		return fmt.Errorf("what was made of the table is no lamp: %w", faults.Err())
	}
	_, err = ledger.Make(ctx, dir, who, func(t *ledger.Texts) (string, error) {
		if t.Read(file) != nil {
			return "", Unfit{fmt.Sprintf("there is a lamp %q already: give this one another name", name)}
		}
		t.Put(file, data)
		return "the lamp " + name + ", from a table", nil
	})
	if errors.Is(err, ledger.ErrUnchanged) {
		return nil
	}
	return err
}
