package web

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"net/http"
	"time"

	"github.com/klauspost/compress/gzhttp"
)

// smallest is the least answer that is worth being compressed, bytes.
const smallest = 1024

// compressed has texts sent compressed (RFC 9110, 8.4). Pixels and light are left as they
// are, since it takes longer to compress them than to carry them, and so is the stream of
// events, which waits for nothing. The panic is a fault of the options below.
func compressed(h http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.MinSize(smallest), gzhttp.EnableZstd(false), gzhttp.ContentTypes([]string{
		"application/json", "image/svg+xml", "text/html", "text/css", "text/javascript"}))
	if err != nil {
		panic("web: " + err.Error())
	}
	return wrap(h)
}

// unchanging answers files that are the same as long as the program is, each with a tag by
// which a browser asks whether it has it already (RFC 9110, 8.8.3). They are read once; the
// panic is a fault of the build, which embeds them.
func unchanging(files fs.FS) http.Handler {
	type file struct {
		data []byte
		tag  string
	}
	all := map[string]file{}
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(files, name)
		sum := sha256.Sum256(data)
		all[name] = file{data, fmt.Sprintf(`"%x"`, sum[:8])}
		return err
	})
	if err != nil {
		panic("web: " + err.Error())
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		f, ok := all[r.URL.Path]
		if !ok {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("ETag", f.tag)
		http.ServeContent(w, r, r.URL.Path, time.Time{}, bytes.NewReader(f.data))
	})
}
