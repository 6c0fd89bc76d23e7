package web

import (
	"crypto/subtle"
	"net/http"
	"strings"
)

// Guest is a way in for another machine, a phone as a rule: an address of this computer in
// its network, and the key that whoever comes by it must know.
type Guest struct {
	Address string // host and port, as a browser's Host has them
	Key     string
}

// keyCookie holds the key in a browser that came by a link with it.
const keyCookie = "lampblack-key"

// Link is the address of a page with the key.
func (g *Guest) Link(page string) string { return "http://" + g.Address + page + "?key=" + g.Key }

// admits tells whether a request may come in. One with the key in its link gets it as a
// cookie, and is sent on to the same page without: a link on a screen is soon photographed.
func (g *Guest) admits(w http.ResponseWriter, r *http.Request) bool {
	if r.Host != g.Address {
		http.Error(w, "the book answers only to addresses that the program has printed", http.StatusForbidden)
		return false
	}
	if key := r.URL.Query().Get("key"); key != "" && r.Method == http.MethodGet && g.fits(key) {
		http.SetCookie(w, &http.Cookie{Name: keyCookie, Value: key, Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode, MaxAge: 24 * 3600})
		to := "/" + strings.TrimLeft(r.URL.EscapedPath(), "/") // never another host's address
		http.Redirect(w, r, to, http.StatusSeeOther)
		return false
	}
	if c, err := r.Cookie(keyCookie); err == nil && g.fits(c.Value) {
		return true
	}
	http.Error(w, "open the link that the program has printed: it holds the key", http.StatusForbidden)
	return false
}

func (g *Guest) fits(key string) bool {
	return g.Key != "" && subtle.ConstantTimeCompare([]byte(key), []byte(g.Key)) == 1
}
