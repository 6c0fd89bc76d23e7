package web

import (
	"embed"
	"net/http"

	"lampblack/web/admit"
	"lampblack/web/page"
)

//go:generate go run ./ui/generate.go
//go:generate go tool -modfile=../tools/go.mod esbuild ui/book.ts ui/room.ts ui/rig.ts ui/looks.ts ui/order.ts ui/checks.ts ui/night.ts ui/hand.ts ui/focus.ts ui/doors.ts ui/devices.ts ui/report.ts ui/seat.ts ui/ear.ts ui/begin.ts ui/questions.ts ui/book.css --bundle --splitting --format=esm --target=es2022 --minify --charset=utf8 --loader:.woff2=copy --asset-names=[name] --chunk-names=shared-[hash] --outdir=ui/built --log-level=warning

//go:embed ui/built
var built embed.FS

// policy lets a page load its own files and nothing else, from nowhere else,
// in no frame.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; media-src 'self'; " +
	"connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// routes is all that an entrance answers. What is read is GET and changes nothing; all
// writes are POST. The shell of a page and its scripts are open to everybody: they tell
// nothing of the show.
func (s *Server) routes(guest bool) http.Handler {
	e := &entrance{s.gate, s.guest, guest, mostOrder, http.NewServeMux()}
	for _, p := range s.leaves() {
		e.open("GET "+p.Path, s.page(p))
	}
	e.open("GET /built/{name}", http.HandlerFunc(script))
	for path, answers := range map[string]http.HandlerFunc{
		"/api/show": s.show, "/api/span": s.span, "/api/looks": part(s, (*page.Book).Looks), "/api/findings": part(s, (*page.Book).Findings), "/api/checks": s.checks, "/api/order": s.runningOrder, "/api/run": s.runNow,
		"/api/rig": part(s, (*page.Book).Rig), "/api/shape": part(s, (*page.Book).Shape), "/api/light": s.light, "/api/room": s.room, "/api/readings": s.readings, "/api/picture": s.picture, "/api/point": s.pointed, "/api/events": s.events, "/api/doors": s.round,
		"/api/seats": s.seatsNow, "/api/sound": s.ticket, "/api/edits": s.edits, "/api/written": s.written, "/api/nights": s.listNights, "/api/night": s.night,
		"/api/lamps": s.lamps, "/api/focus": s.focus, "/api/reach": s.reach, "/api/without": s.without, "/api/stood": part(s, (*page.Book).Stood),
		"/plate/plan": s.plan, "/plate/plot": s.plot, "/plate/gamut": s.gamut,
		"/sheet/{name}": s.sheet, "/given/{name}": s.given,
	} {
		e.read(path, answers)
	}
	e.open("GET /heard/{ticket}", http.HandlerFunc(s.heard))
	e.may("POST /api/control/{order}", ordersRun, s.order)
	e.may("POST /api/sound", ordersSound, s.sound)
	e.does("POST /api/hand", admit.SetsLamps, s.hand)
	e.does("POST /api/aimed", admit.SetsLamps, s.aimed)
	e.does("POST /api/doors/{do}", admit.SetsLamps, s.onRound)
	e.does("POST /api/seats/{do}", admit.SetsLamps, s.onSeats)
	e.does("POST /api/keep", admit.Writes, s.keep)
	e.does("POST /api/write", admit.Writes, s.write)
	e.does("POST /api/undo", admit.Writes, s.undo)
	e.does("POST /api/change", admit.Writes, s.change)
	e.does("POST /api/try", admit.Writes, s.try)
	e.does("POST /api/piece", admit.Writes, s.openPiece)
	e.does("POST /api/run/{do}", admit.Owns, s.onRun)
	e.does("POST /api/cure", admit.Writes, s.cure)
	e.does("POST /api/cured", admit.Writes, s.cured)
	e.does("POST /api/sign", admit.Writes, s.signs)
	e.does("POST /api/edits/undo", admit.Writes, s.undone)
	e.does("POST /api/edits/redo", admit.Writes, s.redone)
	e.does("GET /api/devices", admit.Owns, s.devices)
	e.does("POST /api/devices/{do}", admit.Owns, s.onDevices)
	if guest {
		e.mux.HandleFunc("POST /api/pair", e.pair)
	}
	return e
}
