package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/klauspost/compress/gzhttp"
)

// smallest is the least answer that is worth being compressed, bytes.
const smallest = 1024

// compressed has texts and light sent compressed (RFC 9110, 8.4). Pixels are left as they are,
// since it takes longer to compress them than to carry them, and so is the stream of events,
// which waits for nothing. The panic is a fault of the options below.
func compressed(h http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.MinSize(smallest), gzhttp.EnableZstd(false), gzhttp.ContentTypes([]string{
		"application/json", "image/svg+xml", "application/octet-stream", "text/html"}))
	if err != nil {
		panic("web: " + err.Error())
	}
	return wrap(h)
}

// asIs says that an answer is not to be compressed.
func asIs(w http.ResponseWriter) { w.Header().Set(gzhttp.HeaderNoCompression, "yes") }

// file is one that is the same as long as the program is, with a tag by which a browser asks
// whether it has it already (RFC 9110, 8.8.3).
type file struct {
	plain, short []byte // short is compressed, nil where that does not help
	tag          string
}

func newFile(data []byte) (*file, error) {
	sum := sha256.Sum256(data)
	f := &file{plain: data, tag: fmt.Sprintf(`"%x"`, sum[:8])}
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = z.Write(data)
	}
	if err == nil {
		err = z.Close()
	}
	if b.Len() < len(data)*9/10 {
		f.short = b.Bytes()
	}
	return f, err
}

func (f *file) serve(w http.ResponseWriter, r *http.Request) {
	asIs(w)
	h, data := w.Header(), f.plain
	h.Set("Vary", "Accept-Encoding")
	if f.short != nil && strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		h.Set("Content-Encoding", "gzip")
		data = f.short
	}
	h.Set("ETag", f.tag)
	http.ServeContent(w, r, r.URL.Path, time.Time{}, bytes.NewReader(data))
}

// scripts are the files of the pages, read once. The panic is a fault of the build, which
// embeds them.
var scripts = sync.OnceValue(func() map[string]*file {
	all := map[string]*file{}
	entries, err := built.ReadDir("ui/built")
	for _, e := range entries {
		if err == nil {
			var data []byte
			if data, err = built.ReadFile("ui/built/" + e.Name()); err == nil {
				all[e.Name()], err = newFile(data)
			}
		}
	}
	if err != nil {
		panic("web: " + err.Error())
	}
	return all
})

// script answers a file of the pages.
func script(w http.ResponseWriter, r *http.Request) {
	if f := scripts()[r.PathValue("name")]; f != nil {
		f.serve(w, r)
		return
	}
	http.NotFound(w, r)
}

var shared = regexp.MustCompile(`shared-[A-Z0-9]+\.js`)

// parts are the files that a page's script is made of beside itself, so that a browser asks for
// all at once.
func parts(name string) []string {
	var out []string
	f := scripts()[name]
	if f == nil {
		return out
	}
	for _, part := range shared.FindAll(f.plain, -1) {
		for _, p := range append(parts(string(part)), string(part)) {
			if !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	return out
}
