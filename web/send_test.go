package web

import (
	"net/http"
	"strings"
	"testing"
)

// Texts and light go compressed to who can read that (RFC 9110, 8.4), pixels do not; a file of the
// pages that a browser has is not sent again (RFC 9110, 13.1.2).
func TestWhatIsSent(t *testing.T) {
	s := newHall(t, nil)
	for path, want := range map[string]string{
		"/api/show": "gzip", "/api/span?from=0&to=60": "gzip", "/api/light?from=0&to=60&step=0.05": "gzip", "/plate/plot": "gzip", "/": "gzip", "/built/book.css": "gzip", "/built/book.js": "gzip",
		"/built/roman.woff2": "", "/api/picture?at=1&from=0&width=160&height=90&of=seen&as=eye": "",
	} {
		if w := ask(t, s, "GET", "127.0.0.1", path, map[string]string{"Accept-Encoding": "gzip, deflate, br, zstd"}); w.Code != 200 || w.Header().Get("Content-Encoding") != want {
			t.Errorf("%s: status %d, content encoding %q, want %q", path, w.Code, w.Header().Get("Content-Encoding"), want)
		}
		if w := ask(t, s, "GET", "127.0.0.1", path, nil); w.Header().Get("Content-Encoding") != "" {
			t.Errorf("%s is sent compressed to who cannot read that", path)
		}
	}
	w := ask(t, s, "GET", "127.0.0.1", "/built/book.css", nil)
	tag := w.Header().Get("ETag")
	if again := ask(t, s, "GET", "127.0.0.1", "/built/book.css", map[string]string{"If-None-Match": tag}); tag == "" || again.Code != http.StatusNotModified || again.Body.Len() > 0 {
		t.Errorf("with its tag %s: status %d, %d bytes", tag, again.Code, again.Body.Len())
	}
	if other := ask(t, s, "GET", "127.0.0.1", "/built/book.js", nil).Header().Get("ETag"); other == tag {
		t.Error("two files have one tag")
	}
	if w := ask(t, s, "GET", "127.0.0.1", "/built/nothing.js", nil); w.Code != http.StatusNotFound {
		t.Errorf("a file that there is not: status %d", w.Code)
	}
	page := ask(t, s, "GET", "127.0.0.1", "/", nil).Body.String()
	if n := strings.Count(page, "modulepreload"); n != len(parts("book.js")) || n == 0 {
		t.Errorf("the page names %d of its %d parts", n, len(parts("book.js")))
	}
}
