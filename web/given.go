package web

import (
	"fmt"
	"net/http"
	"path"
	"strings"

	"lampblack/check/finding"
	"lampblack/export"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// given is a form in which a show leaves the house, for other machines.
type given struct {
	Name, File, Says string
	make             func(*show.Show) ([]byte, error)
}

// givens are those of `lampblack export` that are small enough for a page: not the frames of a night, nor hours
// of linear time code.
var givens = []given{
	{"cues as MIDI notes", "cues.mid", "a Standard MIDI File with a note for each cue", export.MIDI},
	{"cue table", "cues.csv", "the cue list for a spreadsheet", export.Cues},
	{"MIDI time code", "time-code.mid", "as a Standard MIDI File", export.QuarterFrames},
	{"scene", "scene.mvr", "units, places and addresses by DIN SPEC 15801", export.Scene},
}

// given answers a file of the show. One that a stop holds, for which nobody answers, is not given out.
func (s *Server) given(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	var names []string
	for i := range givens {
		g := &givens[i]
		if names = append(names, g.File); g.File != name {
			continue
		}
		now, _ := s.book.get()
		if n := len(finding.Stops(now.book.Findings())); n > 0 {
			http.Error(w, fmt.Sprintf("%s this show: mend that, or answer for it, on the Checks page", si.Count(n, "finding stops", "findings stop")), http.StatusConflict)
			return
		}
		data, err := g.make(now.book.Show())
		if err != nil {
			http.Error(w, err.Error(), http.StatusUnprocessableEntity)
			return
		}
		kind := map[string]string{".mid": "audio/midi", ".csv": "text/csv; charset=utf-8", ".mvr": "application/zip"}[path.Ext(name)]
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
		w.Write(data)
		return
	}
	http.Error(w, "there is no such file: "+source.OneOf(strings.TrimSpace(name), names), http.StatusNotFound)
}
