package web

import (
	"embed"
	"io/fs"
	"net"
	"net/http"
)

//go:generate go run ./ui/generate.go
//go:generate go tool -modfile=../tools/go.mod esbuild ui/book.ts ui/room.ts ui/rig.ts ui/looks.ts ui/checks.ts ui/night.ts ui/hand.ts ui/focus.ts ui/doors.ts ui/book.css --bundle --splitting --format=esm --target=es2022 --minify --charset=utf8 --loader:.woff2=copy --asset-names=[name] --chunk-names=shared-[hash] --outdir=ui/built --log-level=warning

//go:embed ui/built
var built embed.FS

// policy lets a page load its own files and nothing else, from nowhere else,
// in no frame.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; " +
	"connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// routes is all that the server answers. What is read is GET and changes nothing; all
// writes are POST. The last panic is a fault of the build: the files are
// embedded.
func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	for _, p := range pages {
		mux.HandleFunc("GET "+p.Path, s.page(p))
	}
	files, err := fs.Sub(built, "ui/built")
	if err != nil {
		panic("web: " + err.Error())
	}
	mux.Handle("GET /built/", http.StripPrefix("/built/", http.FileServerFS(files)))
	mux.HandleFunc("GET /api/show", s.show)
	mux.HandleFunc("GET /api/light", s.light)
	mux.HandleFunc("GET /api/room", s.room)
	mux.HandleFunc("GET /api/events", s.events)
	mux.HandleFunc("GET /plate/plan", s.plan)
	mux.HandleFunc("GET /plate/plot", s.plot)
	mux.HandleFunc("GET /plate/gamut", s.gamut)
	mux.HandleFunc("POST /api/control/{order}", s.order)
	mux.HandleFunc("GET /api/doors", s.round)
	mux.HandleFunc("POST /api/doors/{do}", s.onRound)
	mux.HandleFunc("GET /api/lamps", s.lamps)
	mux.HandleFunc("POST /api/hand", s.hand)
	mux.HandleFunc("POST /api/keep", s.keep)
	mux.HandleFunc("POST /api/write", s.write)
	mux.HandleFunc("POST /api/undo", s.undo)
	mux.HandleFunc("POST /api/sound", s.sound)
	mux.HandleFunc("POST /api/aimed", s.aimed)
	mux.HandleFunc("GET /api/focus", s.focus)
	mux.HandleFunc("GET /api/reach", s.reach)
	return s.guard(mux)
}

// guard refuses what does not come from this machine's own pages: a name
// that is not loopback (a page elsewhere may have pointed its own name here),
// and writes from another origin. A guest comes in by the key.
func (s *Server) guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	inner := cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case loopback(r.Host):
		case s.guest == nil:
			http.Error(w, "the book answers only to 127.0.0.1, localhost and [::1]", http.StatusForbidden)
			return
		case !s.guest.admits(w, r):
			return
		}
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-cache")
		inner.ServeHTTP(w, r)
	})
}

// loopback tells whether a request names this machine. Any port will do; the name is
// what a page elsewhere cannot forge.
func loopback(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	switch host {
	case "127.0.0.1", "localhost", "::1", "[::1]":
		return true
	}
	return false
}
