package main

import (
	"bytes"
	"context"
	"path/filepath"
	"strings"
	"time"

	"lampblack/folder"
	"lampblack/plate/drawing"
	"lampblack/show"
	"lampblack/show/compare"
	"lampblack/web/page"
)

// pairForms are the endings that pictures of pairs may have.
var pairForms = []string{".png", ".svg", ".pdf"}

// drawPairs draws the looks of two shows side by side into a file.
func drawPairs(ctx context.Context, file string, before, after *show.Show) error {
	eye := func(s *show.Show) int {
		e, _ := findEye(s, "") // nobody is named who may not be there
		return e
	}
	looks := compare.Shows(before, after)
	p := page.Pairs(before, after, [2]int{eye(before), eye(after)}, [2]string{"as it is", "in the other hall"}, func(look int) string { return inShort(looks, &after.Looks[look]) })
	ext := strings.ToLower(filepath.Ext(file))
	if ext == ".pdf" {
		pages, err := p.Pages(ctx)
		if err != nil {
			return err
		}
		var b bytes.Buffer
		if err := drawing.PDF(&b, p.Title, time.Now(), pages); err != nil {
			return err
		}
		return folder.WriteFile(ctx, file, b.Bytes())
	}
	d, err := p.Draw(ctx)
	if err != nil {
		return err
	}
	data, err := d.File(file)
	if err != nil {
		return err
	}
	return folder.WriteFile(ctx, file, data)
}

// longest is how many letters find room below a picture.
const longest = 46

// inShort says the greatest difference of a look, as far as there is room.
func inShort(looks []compare.Look, l *show.Look) string {
	for i := range looks {
		if looks[i].Name != l.Name || strings.Join(looks[i].For, ",") != strings.Join(l.For, ",") {
			continue
		}
		lines := looks[i].Lines()
		if len(lines) == 0 {
			return "as before"
		}
		text, _, _ := strings.Cut(lines[0].Text, ";")
		text, _, _ = strings.Cut(text, " (")
		if r := []rune(text); len(r) > longest {
			return string(r[:longest-1]) + "…"
		}
		return text
	}
	return ""
}
