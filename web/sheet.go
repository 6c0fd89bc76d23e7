package web

import (
	"bytes"
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"lampblack/sheet"
	"lampblack/sheet/typeset"
)

// sheet answers a paper of the show that is served, as PDF: /sheet/prompt-book.pdf, with ?paper=letter on another
// paper than A4; all.pdf is the whole folder. One at a time is made: each takes a second of all the computer has.
func (s *Server) sheet(w http.ResponseWriter, r *http.Request) {
	name, ok := strings.CutSuffix(r.PathValue("name"), ".pdf")
	names := []string{name}
	if name == sheet.All {
		names = sheet.Names()
	} else if _, known := sheet.Of(name); !known {
		ok = false
	}
	paper, err := typeset.PaperOf(cmp.Or(r.URL.Query().Get("paper"), typeset.A4.Name))
	switch {
	case !ok:
		http.Error(w, fmt.Sprintf("there is no paper %q: `lampblack sheet` lists them", name), http.StatusNotFound)
		return
	case err != nil:
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	s.papering.Lock()
	defer s.papering.Unlock()
	now, _ := s.book.get()
	of := &sheet.Subject{Show: now.book.Show(), Found: now.book.Findings(), Paper: paper}
	of.Runs = []sheet.Run{{Show: of.Show}}
	of.Stock, _ = typeset.StockOf("", paper)
	names = slices.DeleteFunc(slices.Clone(names), func(n string) bool {
		k, _ := sheet.Of(n)
		return k.Without(of) != ""
	})
	if len(names) == 0 {
		http.Error(w, "the page has nothing for that paper: `lampblack sheet` may", http.StatusNotFound)
		return
	}
	var b bytes.Buffer
	docs, err := sheet.Make(r.Context(), of, names...)
	if err == nil {
		err = typeset.Set(paper, sheet.Foot(of.Show, time.Now()), docs...).PDF(&b)
	}
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `inline; filename="`+name+`.pdf"`)
	w.Write(b.Bytes())
}
