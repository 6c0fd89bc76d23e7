package begin

import (
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"lampblack/folder"
	"lampblack/show"
	"lampblack/source"
)

// mostRecent is how many shows are remembered.
const mostRecent = 30

// Recent is a show that was opened here.
type Recent struct {
	Dir    string    `json:"dir"`
	Title  string    `json:"title"`
	Opened time.Time `json:"opened"`
}

// Recents reads a list of shows, the newest first: those that are still there. A list that is
// missing, or is none, is empty.
func Recents(ctx context.Context, list string) []Recent {
	out := []Recent{}
	for _, r := range remembered(ctx, list) {
		if IsShow(r.Dir) {
			r.Title = titleOf(ctx, r.Dir)
			out = append(out, r)
		}
	}
	return out
}

// mostList bounds the list, bytes.
const mostList = 1 << 20

func remembered(ctx context.Context, list string) []Recent {
	data, err := folder.ReadFile(ctx, list, mostList)
	if err != nil {
		return nil
	}
	var out []Recent
	if json.Unmarshal(data, &out) != nil {
		return nil
	}
	out = slices.DeleteFunc(out, func(r Recent) bool { return !filepath.IsAbs(r.Dir) })
	return out[:min(len(out), mostRecent)]
}

// Remember puts a show at the head of a list.
func Remember(ctx context.Context, list, dir string) error {
	if !filepath.IsAbs(dir) {
		return errors.New("a show is remembered by where it is")
	}
	all := slices.DeleteFunc(remembered(ctx, list), func(r Recent) bool { return r.Dir == dir })
	all = slices.Insert(all, 0, Recent{Dir: dir, Opened: time.Now().UTC().Truncate(time.Second)})
	data, err := json.MarshalIndent(all[:min(len(all), mostRecent)], "", " ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(list), 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return folder.WriteFile(ctx, list, data)
}

// titleOf is what a show is called; its folder's name where nothing better can be read.
func titleOf(ctx context.Context, dir string) string {
	name := filepath.Base(dir)
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return name
	}
	defer f.Close()
	data, err := f.Optional(show.BillFile)
	if err != nil || data == nil {
		return name
	}
	text, faults := source.OpenText(show.BillFile, data)
	if faults.Err() != nil {
		return name
	}
	if title, there := text.At("title"); there && title.Text != "" {
		return title.Text
	}
	return name
}
