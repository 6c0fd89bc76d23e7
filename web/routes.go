package web

import (
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"strconv"
	"time"
)

//go:generate go run ./ui/generate.go
//go:generate go tool -modfile=../tools/go.mod esbuild ui/book.ts ui/room.ts ui/rig.ts ui/looks.ts ui/checks.ts ui/night.ts ui/book.css --bundle --splitting --format=esm --target=es2022 --minify --charset=utf8 --loader:.woff2=copy --asset-names=[name] --chunk-names=shared-[hash] --outdir=ui/built --log-level=warning

//go:embed ui/built
var built embed.FS

// policy lets a page load its own files and nothing else, from nowhere else,
// in no frame.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; " +
	"connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

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
	mux.HandleFunc("POST /api/control/{order}", s.order)
	return guard(mux)
}

// guard refuses what does not come from this machine's own pages: a name
// that is not loopback (a page elsewhere may have pointed its own name here),
// and writes from another origin.
func guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	inner := cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !loopback(r.Host) {
			http.Error(w, "the book answers only to 127.0.0.1, localhost and [::1]", http.StatusForbidden)
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

func (s *Server) show(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	contents := now.book.Contents()
	contents.Edition, contents.Steerable = now.name, s.control != nil
	w.Header().Set("Content-Type", "application/json")
	json.NewEncoder(w).Encode(contents) // an error here is a page that went away
}

func (s *Server) light(w http.ResponseWriter, r *http.Request) {
	var t [3]time.Duration
	for i, name := range []string{"from", "to", "step"} {
		var err error
		if t[i], err = secondsIn(r, name); err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
	}
	now, _ := s.book.get()
	b, err := now.book.Light(t[0], t[1], t[2])
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	writeBytes(w, b)
}

func (s *Server) room(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	if text := r.URL.Query().Get("look"); text != "" {
		look, err := strconv.Atoi(text)
		b := now.book.RoomUnder(look)
		if err != nil || b == nil {
			http.Error(w, fmt.Sprintf("look %q is none of the show's", text), http.StatusNotFound)
			return
		}
		writeBytes(w, b)
		return
	}
	at, err := secondsIn(r, "at")
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	writeBytes(w, now.book.Room(at))
}

func writeBytes(w http.ResponseWriter, b []byte) {
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Content-Length", strconv.Itoa(len(b)))
	w.Write(b)
}

// longest is the longest show that times may point into.
const longest = 48 * time.Hour

// secondsIn reads a time in seconds from the query.
func secondsIn(r *http.Request, name string) (time.Duration, error) {
	text := r.URL.Query().Get(name)
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= 0 && v <= longest.Seconds()) {
		return 0, fmt.Errorf("%s %q should be a time in seconds, 0 to %.0f", name, text, longest.Seconds())
	}
	return time.Duration(v * float64(time.Second)).Round(time.Microsecond), nil
}

// order passes one order of the Night page to the run.
func (s *Server) order(w http.ResponseWriter, r *http.Request) {
	if s.control == nil {
		http.Error(w, "no run is attached: start one with lampblack run", http.StatusConflict)
		return
	}
	switch name := r.PathValue("order"); name {
	case "hold":
		s.control.Hold()
	case "go":
		s.control.Go()
	case "back":
		s.control.Back()
	case "lights-up":
		s.control.LightsUp()
	case "seek":
		to, err := secondsIn(r, "to")
		if err != nil {
			http.Error(w, err.Error(), http.StatusBadRequest)
			return
		}
		s.control.Seek(to)
	default:
		http.Error(w, fmt.Sprintf("%q is no order: hold, go, back, lights-up or seek", name), http.StatusNotFound)
		return
	}
	w.WriteHeader(http.StatusNoContent)
}
