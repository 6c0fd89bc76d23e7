package web

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"strings"
	"time"

	"lampblack/web/admit"
)

// entrance is a way to the pages: that of this computer alone, or that of other machines.
// Each has a listener of its own, so that none can pass for the other by what it sends.
type entrance struct {
	gate  *admit.Gate
	name  string // host and port of other machines' entrance, as a browser's Host has them
	guest bool
	most  int64 // octets of a body
	mux   *http.ServeMux
}

// visitor is the key of who asks, in the context of a request.
type visitor struct{}

// whoAsks is who asks; a handler of an entrance has one.
func whoAsks(r *http.Request) admit.Who {
	w, _ := r.Context().Value(visitor{}).(admit.Who)
	return w
}

// Bounds of what is asked.
const (
	mostOrder   = 64 << 10 // of a body: the names of some hundred units
	mostAddress = 2 << 10  // of a path and its query
)

// read lets who may do so read.
func (e *entrance) read(pattern string, do http.HandlerFunc) {
	e.may("GET "+pattern, func(*http.Request, []byte) admit.Deed { return admit.Reads }, do)
}

// does lets who may do a deed do it.
func (e *entrance) does(pattern string, d admit.Deed, do http.HandlerFunc) {
	e.may(pattern, func(*http.Request, []byte) admit.Deed { return d }, do)
}

// open lets everybody read: what tells nothing of the show.
func (e *entrance) open(pattern string, do http.Handler) {
	e.mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
		if e.guest {
			if err := e.gate.Stranger(from(r)); err != nil {
				e.refuse(w, r, err)
				return
			}
		}
		do.ServeHTTP(w, r)
	})
}

// may reads the body, asks the gate, does what is asked, and has it noted.
func (e *entrance) may(pattern string, deed func(*http.Request, []byte) admit.Deed, do http.HandlerFunc) {
	e.mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, e.most))
		if err != nil {
			http.Error(w, "the order cannot be read: it is longer than any order, or was cut off", http.StatusRequestEntityTooLarge)
			return
		}
		who, err := e.admits(r, body, deed(r, body))
		if err != nil {
			e.note(r, body, who, err)
			e.refuse(w, r, err)
			return
		}
		r.Body = io.NopCloser(bytes.NewReader(body))
		r = r.WithContext(context.WithValue(r.Context(), visitor{}, who))
		if r.Method == http.MethodGet {
			do(w, r)
			return
		}
		told := &listener{ResponseWriter: w}
		do(told, r)
		if r.Method == http.MethodPut && told.err() == nil {
			return // a piece of a file: the first and the last would say no more than the file does
		}
		e.note(r, body, who, told.err())
	})
}

func (e *entrance) admits(r *http.Request, body []byte, d admit.Deed) (admit.Who, error) {
	if e.guest {
		return e.gate.Guest(r, from(r), body, d)
	}
	return e.gate.Local(r, body, d)
}

// refuse answers why not. What was not signed, or not for now, learns how to be (RFC 9421,
// 5.1; RFC 9110, 15.5.2), and by the answer's date what time it is here.
func (e *entrance) refuse(w http.ResponseWriter, _ *http.Request, err error) {
	status := http.StatusForbidden
	var no admit.Refusal
	if errors.As(err, &no) {
		status = no.Status
	}
	h := w.Header()
	switch status {
	case http.StatusUnauthorized:
		h.Set("WWW-Authenticate", "Signature")
		h.Set("Accept-Signature", e.gate.Wanted())
		h.Set("Date", time.Now().UTC().Format(http.TimeFormat))
	case http.StatusTooManyRequests:
		h.Set("Retry-After", "1")
	}
	http.Error(w, err.Error(), status)
}

// note writes down what was asked, and what came of it. Of strangers it is said that they
// asked, not what: the list is not theirs to fill.
func (e *entrance) note(r *http.Request, body []byte, who admit.Who, err error) {
	o := admit.Asked{Time: time.Now(), Who: who.Name, From: who.From, Order: orderText(r, body), Said: admit.Done}
	var no admit.Refusal
	switch {
	case errors.As(err, &no):
		o.Said = no.Why
	case err != nil:
		o.Said = err.Error()
	}
	if who.ID == "" {
		o.Who, o.Order = "stranger", ""
		if e.guest {
			o.From = from(r)
		}
	} else if err != nil && r.Method == http.MethodGet {
		return // a page that asks anew
	}
	e.gate.Note(o)
}

// from is the address that a request comes from.
func from(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// ServeHTTP refuses what does not come by this entrance's own name (a page elsewhere may
// have pointed its own name here), writes from another origin, and what is too long, before
// anything is read.
func (e *entrance) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-cache")
	switch {
	case e.guest && r.Host != e.name:
		http.Error(w, "the book answers only to the address that the program has printed", http.StatusForbidden)
	case !e.guest && !loopback(r.Host):
		http.Error(w, "the book answers only to 127.0.0.1, localhost and [::1]", http.StatusForbidden)
	case len(r.RequestURI) > mostAddress:
		http.Error(w, "this address is longer than any of the book", http.StatusRequestURITooLong)
	case elsewhere(r):
		http.Error(w, "a page elsewhere may ask nothing here", http.StatusForbidden)
	default:
		e.mux.ServeHTTP(w, r)
	}
}

// elsewhere tells whether a page of another origin asks: browsers say so themselves (Fetch
// Metadata Request Headers, W3C; the Fetch standard's Origin). A link from elsewhere may
// open a page, which is GET and tells nothing of the show.
func elsewhere(r *http.Request) bool {
	if crossOrigin.Check(r) != nil {
		return true
	}
	site := r.Header.Get("Sec-Fetch-Site")
	return strings.HasPrefix(r.URL.Path, "/api/") && site != "" && site != "same-origin" && site != "none"
}

var crossOrigin = http.NewCrossOriginProtection()

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

// listener hears what an answer says, to be noted.
type listener struct {
	http.ResponseWriter
	status int
	words  []byte
}

func (l *listener) Unwrap() http.ResponseWriter { return l.ResponseWriter }

func (l *listener) WriteHeader(status int) {
	l.status = status
	l.ResponseWriter.WriteHeader(status)
}

// mostWords bounds what is noted of an answer.
const mostWords = 200

func (l *listener) Write(b []byte) (int, error) {
	if l.status >= 400 && len(l.words) < mostWords {
		l.words = append(l.words, b[:min(len(b), mostWords-len(l.words))]...)
	}
	return l.ResponseWriter.Write(b)
}

// err is what was answered, when it was no.
func (l *listener) err() error {
	if l.status < 400 {
		return nil
	}
	return errors.New(strings.ToValidUTF8(strings.TrimSpace(string(l.words)), ""))
}
