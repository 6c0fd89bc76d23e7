package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// picture draws the packages in rows, each above all that it imports, with a
// line to those imports that no other import stands for already.
func (h *house) picture() string {
	h = h.grouped()
	level := h.levels()
	rows := [][]*part{}
	for _, p := range h.parts {
		for len(rows) <= level[p.dir] {
			rows = append(rows, nil)
		}
		rows[level[p.dir]] = append(rows[level[p.dir]], p)
	}
	const width, high, gap = 1240, 74, 18
	at := map[string][2]float64{}
	for i, row := range rows {
		y := float64(len(rows)-1-i)*high + 30
		at0 := place(h, row, at, i)
		for k, p := range at0 {
			at[p.dir] = [2]float64{width * (float64(k) + .5) / float64(len(at0)), y}
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="12" text-anchor="middle">`+"\n", width, len(rows)*high+10)
	fmt.Fprintf(&b, "<title>The packages of Lampblack: each stands above all that it imports</title>\n<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n<g stroke=\"#999\" stroke-width=\".8\">\n")
	for _, p := range h.parts {
		for _, to := range h.direct(p) {
			fmt.Fprintf(&b, "<path d=\"M%.0f %.0fL%.0f %.0f\"/>\n", at[p.dir][0], at[p.dir][1]+11, at[to][0], at[to][1]-11)
		}
	}
	b.WriteString("</g>\n")
	for _, p := range h.parts {
		x, y := at[p.dir][0], at[p.dir][1]
		w := float64(7*len(p.dir) + gap)
		fmt.Fprintf(&b, "<rect x=\"%.0f\" y=\"%.0f\" width=\"%.0f\" height=\"22\" fill=\"#fff\" stroke=\"#333\"/><text x=\"%.0f\" y=\"%.0f\">%s</text>\n", x-w/2, y-11, w, x, y+4, p.dir)
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// crowds are drawn as one box: many small packages of one kind, side by side.
var crowds = []string{"wire", "soundfile/internal"}

// forTests are left out.
var forTests = []string{"check/checktest", "folder/foldertest", "play/output/sinktest", "soundtrack/truth", "soundtrack/train", "wire/outside", "web/ui"}

// grouped is the house with its crowds as one package each.
func (h *house) grouped() *house {
	of := func(dir string) string {
		for _, c := range crowds {
			if strings.HasPrefix(dir, c+"/") {
				return c + "/…"
			}
		}
		return dir
	}
	out := &house{}
	for _, p := range h.parts {
		if slices.Contains(forTests, p.dir) || strings.HasSuffix(p.dir, "test") {
			continue
		}
		one := out.find(of(p.dir))
		if one == nil {
			one = &part{dir: of(p.dir)}
			out.parts = append(out.parts, one)
		}
		for _, i := range p.imports {
			if to := of(i); to != one.dir && !slices.Contains(one.imports, to) {
				one.imports = append(one.imports, to)
			}
		}
	}
	return out
}

// levels counts for each package the longest way down.
func (h *house) levels() map[string]int {
	level := map[string]int{}
	var of func(dir string) int
	of = func(dir string) int {
		if n, ok := level[dir]; ok {
			return n
		}
		n := 0
		if p := h.find(dir); p != nil {
			for _, i := range p.imports {
				n = max(n, of(i)+1)
			}
		}
		level[dir] = n
		return n
	}
	for _, p := range h.parts {
		of(p.dir)
	}
	return level
}

func (h *house) find(dir string) *part {
	if i := slices.IndexFunc(h.parts, func(p *part) bool { return p.dir == dir }); i >= 0 {
		return h.parts[i]
	}
	return nil
}

// direct lists the imports that cannot be reached by way of another.
func (h *house) direct(p *part) []string {
	var out []string
	for _, i := range p.imports {
		other := slices.ContainsFunc(p.imports, func(j string) bool { return j != i && h.reaches(j, i) })
		if !other && h.find(i) != nil {
			out = append(out, i)
		}
	}
	return out
}

func (h *house) reaches(from, to string) bool {
	p := h.find(from)
	return p != nil && slices.ContainsFunc(p.imports, func(i string) bool { return i == to || h.reaches(i, to) })
}

// place orders a row so that packages stand over the middle of what they
// import.
func place(h *house, row []*part, at map[string][2]float64, level int) []*part {
	if level == 0 {
		return row
	}
	middle := func(p *part) float64 {
		sum, n := 0.0, 0.0
		for _, i := range h.direct(p) {
			sum += at[i][0]
			n++
		}
		return sum / max(n, 1)
	}
	out := slices.Clone(row)
	slices.SortStableFunc(out, func(a, b *part) int { return cmp.Compare(middle(a), middle(b)) })
	return out
}
