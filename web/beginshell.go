package web

import (
	"html/template"
	"net/http"
	"time"
)

// beginShell is what the pages have in common that come before a book.
var beginShell = template.Must(template.New("begin").Parse(`<!doctype html>
<html lang="en" data-page="{{.Script}}" data-epoch="{{.Epoch}}" data-time="{{.Time}}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light">
<title>{{.Name}}</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/built/book.css">
{{range .Parts}}<link rel="modulepreload" href="/built/{{.}}">
{{end}}<script type="module" src="/built/{{.Script}}.js"></script>
</head>
<body>
<a class="skip" href="#main">To the page</a>
<header class="head"><p class="title" id="title">{{if eq .Script "begin"}}Lampblack{{else}}<a href="/begin">All shows</a>{{end}}</p><p class="run" id="run" role="status"></p></header>
<main id="main" tabindex="-1">
<p class="waits" id="waits" role="status">A moment.</p>
<noscript><p>The pages are drawn by a script that comes with the program. Please allow scripts for this address.</p></noscript>
</main>
</body>
</html>
`))

func (s *Start) page(name, script string) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		beginShell.Execute(w, struct {
			Epoch        string
			Time         int64 // s
			Name, Script string
			Parts        []string
		}{s.gate.Epoch(), time.Now().Unix(), name, script, parts(script + ".js")})
	})
}
