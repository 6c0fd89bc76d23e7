package main

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"sync/atomic"

	"lampblack/folder"
	"lampblack/show"
)

// What runs is pinned: its texts are kept beside the journal, so that a run that is started
// again goes on with what was on the stage, and not with what somebody has written since.

// pinnedFile is where the texts of a run with a journal are kept.
func pinnedFile(journal string) string { return beside(journal, ".texts") }

// textRecorder remembers the texts that are read of a folder.
type textRecorder struct {
	fs.FS
	texts map[string][]byte
}

// ReadFile reads a file and remembers it.
func (r *textRecorder) ReadFile(name string) ([]byte, error) {
	data, err := fs.ReadFile(r.FS, name)
	if err == nil && isText(name) {
		r.texts[name] = data
	}
	return data, err
}

// Stat and ReadDir are the folder's.
func (r *textRecorder) Stat(name string) (fs.FileInfo, error)      { return fs.Stat(r.FS, name) }
func (r *textRecorder) ReadDir(name string) ([]fs.DirEntry, error) { return fs.ReadDir(r.FS, name) }

// Dir is where the folder is, which may give a show its title.
func (r *textRecorder) Dir() string { return dirOf(r.FS) }

func dirOf(f fs.FS) string {
	if named, ok := f.(interface{ Dir() string }); ok {
		return named.Dir()
	}
	return ""
}

func isText(name string) bool { return path.Ext(name) == ".yaml" }

// versionOf is a sum of the texts of a show and of where the cues of a place come to lie by them:
// two machines with the same run the same. "" is where nobody knows the texts.
func versionOf(p *show.Place, texts map[string][]byte) string {
	if len(texts) == 0 {
		return ""
	}
	h := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		fmt.Fprintf(h, "%q %d ", name, len(texts[name]))
		h.Write(texts[name])
	}
	for i := range p.Zones {
		for k := range p.Zones[i].Evening.Steps {
			for _, c := range p.Zones[i].Evening.Steps[k].Show.Cues {
				fmt.Fprint(h, " ", c.Start, " ", c.Complete)
			}
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}

// pin keeps the texts of what runs. Where they cannot be kept a run that is started again reads
// those of the folder.
func pin(ctx context.Context, journal string, texts map[string][]byte) {
	if journal == "" || len(texts) == 0 {
		return
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write(texts[name])
		}
		if err != nil {
			return
		}
	}
	if z.Close() == nil {
		_ = folder.WriteFile(ctx, pinnedFile(journal), b.Bytes())
	}
}

// pinnedOver is a folder with the texts of what ran, where they were kept.
type pinnedOver struct {
	fs.FS
	texts fs.FS
}

// Dir is where the folder is.
func (p *pinnedOver) Dir() string { return dirOf(p.FS) }

// Open opens a text as it ran, and whatever else the folder has.
func (p *pinnedOver) Open(name string) (fs.File, error) {
	if isText(name) || name == show.TypesDir || strings.HasPrefix(name, show.TypesDir+"/") {
		return p.texts.Open(name)
	}
	return p.FS.Open(name)
}

// onStage is that the show runs: what is read from now on is what the folder has.
var onStage atomic.Bool

// pinnedTo is the folder as it ran before the run died that this one follows; the folder itself
// for any other run, and when it runs again.
func pinnedTo(ctx context.Context, dir fs.FS) fs.FS {
	if again == nil || again.Journal == "" || onStage.Load() {
		return dir
	}
	data, err := folder.ReadFile(ctx, pinnedFile(again.Journal), folder.MaxText)
	if err != nil {
		return dir
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return dir
	}
	return &pinnedOver{dir, z}
}
