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

// task is what a person comes to the pages for, and the pages for it.
type task struct {
	Name, Says string
	Pages      []leaf
	Papers     []string // by their names in package sheet; "all papers" for the folder
	Files      []given  // for other machines
}

// tasks are those of a show from its beginning to its end, in the order of the bar. "/{$}" is
// the root alone: without it, every address would be the book.
var tasks = []task{
	{"make", "what is to be seen, by which lamps, in which room", []leaf{
		{"/{$}", "Book", "book", "the whole show, down the page"},
		{"/order", "Order", "order", "what follows what on an evening, and when"},
		{"/looks", "Looks", "looks", "every look as this rig gives it"},
		{"/room", "Room", "room", "what is lit, seen from where people are"},
		{"/rig", "Rig", "rig", "plot, patch and supply"},
		{"/checks", "Checks", "checks", "what was measured against which limit"},
	}, []string{"lighting plan", "patch list", "cable schedule", "power sheet"}, nil},
	{"rehearse", "aim the lamps, set light by hand, learn the cues", []leaf{
		{"/focus", "Focus", "focus", "one lamp after another, from the ladder"},
		{"/hand", "By hand", "hand", "the lamps themselves, set by hand"},
	}, []string{"focus chart", "cue sheet", "stopwatch sheet"}, nil},
	{"run", "look round before doors, then the night", []leaf{
		{"/doors", "Doors", "doors", "what is looked at before the audience comes in"},
		{"/night", "Night", "night", "now, next, and the way out"},
	}, []string{"preshow list", "prompt book", "call script"}, nil},
	{"hand over", "what a night came to, who may come, all of it on paper", []leaf{
		{"/report", "Report", "report", "what a night came to"},
		{"/devices", "Devices", "devices", "who else may come, and what was asked"},
	}, []string{"summary", "risk assessment", "all papers"}, givens},
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

// tasks are those that this server has pages for.
func (s *Server) tasks() []task {
	out := slices.Clone(tasks)
	if s.seats != nil {
		out[1].Pages = append(slices.Clone(out[1].Pages), seat)
	}
	return out
}

// leaves are the pages that this server has.
func (s *Server) leaves() []leaf {
	var out []leaf
	for _, t := range s.tasks() {
		out = append(out, t.Pages...)
	}
	return out
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
<nav aria-label="Pages"><ul>{{if .Begins}}<li><a href="/begin">All shows</a></li>{{end}}{{range .Tasks}}<li class="task" data-says="{{.Says}}" data-papers="{{range $i, $p := .Papers}}{{if $i}}, {{end}}{{$p}}{{end}}" data-files="{{range $i, $f := .Files}}{{if $i}}; {{end}}{{$f.File}}: {{$f.Name}}: {{$f.Says}}{{end}}"><span>{{.Name}}</span><ul>{{range .Pages}}<li{{if .Owned}} data-owned hidden{{end}}><a href="{{.Link}}"{{if eq .Name $.Now.Name}} aria-current="page"{{end}} title="{{.Says}}">{{.Name}}</a></li>{{end}}</ul></li>{{end}}</ul></nav>
<p class="run" id="run" role="status"></p>
</header>
<main id="main" tabindex="-1"><h1 class="unseen">{{.Now.Name}}</h1>
<p class="waits" id="waits" role="status">The show is being opened.</p>
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
			Tasks []task
			Parts []string

			Begins bool
		}{s.gate.Epoch(), time.Now().Unix(), l, s.tasks(), parts(l.Script + ".js"), s.begins})
	}
}
