package web

import (
	"html/template"
	"net/http"
	"slices"
	"time"
)

// leaf is one page of the book: its path, and the script that fills it.
type leaf struct {
	Path, Name, Script, Says string
}

// pages are all pages, in the order of the bar. "/{$}" is the root alone: without it,
// every address would be the book.
var pages = []leaf{
	{"/{$}", "Book", "book", "the whole show, down the page"},
	{"/room", "Room", "room", "what is lit, seen from where people are"},
	{"/rig", "Rig", "rig", "plot, patch and supply"},
	{"/looks", "Looks", "looks", "every look as this rig gives it"},
	{"/checks", "Checks", "checks", "what was measured against which limit"},
	{"/hand", "By hand", "hand", "the lamps themselves, set by hand"},
	{"/focus", "Focus", "focus", "one lamp after another, from the ladder"},
	{"/doors", "Doors", "doors", "what is looked at before the audience comes in"},
	{"/night", "Night", "night", "now, next, and the way out"},
	{"/report", "Report", "report", "what a night came to"},
	{"/devices", "Devices", "devices", "who else may come, and what was asked"},
}

// Dark tells whether the page is read in the dark, and must light nobody.
func (l leaf) Dark() bool {
	return l.Script == "night" || l.Script == "hand" || l.Script == "focus" || l.Script == "doors" || l.Script == "seat"
}

// Link is the address of the page.
func (l leaf) Link() string {
	if l.Script == "book" {
		return "/"
	}
	return l.Path
}

// seat is the page of a server that measures.
var seat = leaf{"/seat", "Seat", "seat", "sound against light where you sit"}

// leaves are the pages that this server has.
func (s *Server) leaves() []leaf {
	if s.seats == nil {
		return pages
	}
	return append(slices.Clone(pages), seat)
}

// Owned tells whether the page is the laptop's alone.
func (l leaf) Owned() bool { return l.Script == "devices" }

// shell is what all pages have in common. It tells nothing of the show, for it is sent
// before anybody knows who reads it; how requests are to be signed it tells.
var shell = template.Must(template.New("shell").Parse(`<!doctype html>
<html lang="en" data-page="{{.Now.Script}}" data-epoch="{{.Epoch}}" data-time="{{.Time}}"{{if .Now.Dark}} data-dark{{end}}>
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="{{if .Now.Dark}}dark{{else}}light{{end}}">
<title>{{.Now.Name}}</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/built/book.css">
{{range .Parts}}<link rel="modulepreload" href="/built/{{.}}">
{{end}}<script type="module" src="/built/{{.Now.Script}}.js"></script>
</head>
<body>
<a class="skip" href="#main">To the page</a>
<header class="head">
<p class="title" id="title"></p>
<nav aria-label="Pages"><ul>{{range .Pages}}<li{{if .Owned}} data-owned hidden{{end}}><a href="{{.Link}}"{{if eq .Name $.Now.Name}} aria-current="page"{{end}} title="{{.Says}}">{{.Name}}</a></li>{{end}}</ul></nav>
<p class="run" id="run" role="status"></p>
</header>
<main id="main" tabindex="-1"><h1 class="unseen">{{.Now.Name}}</h1>
<noscript><p>The pages are drawn by a script that comes with the program. Please allow scripts for this address.</p></noscript>
</main>
</body>
</html>
`))

// page answers with the shell; the script fills it from /api.
func (s *Server) page(l leaf) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		shell.Execute(w, struct {
			Epoch string
			Time  int64 // s
			Now   leaf
			Pages []leaf
			Parts []string
		}{s.gate.Epoch(), time.Now().Unix(), l, s.leaves(), parts(l.Script + ".js")})
	}
}
