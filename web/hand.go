package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"

	"lampblack/play/hand"
	"lampblack/web/page"
)

// Hands is what pages ask of the lamps, beside the orders of the Night page. Errors are for
// the person who asked.
type Hands interface {
	Hand(hand.Order) error // the lamps follow with the next frame
	// Keep writes light into a look. Without any it is what is held, which is let go of.
	Keep(look string, held []hand.Held) error
	Write() error // writes the trims into all looks, and lets go of them
	Undo() error  // takes the last change of the files back
	// Aimed notes that a unit is aimed as it stands in the files, or that it is not.
	Aimed(unit string, done bool, note string) error
	Lamps() Lamps
}

// Lamps is what a hand holds, and how the lamps shine.
type Lamps struct {
	Holds  string       `json:"holds"` // in words; "" for nothing
	Wrong  string       `json:"wrong"` // with keeping it, or with what was kept
	Look   string       `json:"look"`  // that is brought up
	Held   []hand.Held  `json:"held"`
	Trims  []hand.Trim  `json:"trims"`
	Outs   []hand.Out   `json:"outs"`
	Covers string       `json:"covers"` // how far the likes of those bring what they did
	Focus  hand.Focus   `json:"focus"`
	Undo   string       `json:"undo"`  // what undo would take back, "" for nothing
	Levels []float32    `json:"-"`     // by drive, as they were sent last
	Aimed  []hand.Aimed `json:"aimed"` // whose aim is still that of the files

	Lamps   []page.Lamp `json:"lamps"`
	Looks   []string    `json:"looks"`
	Systems []System    `json:"systems"`
}

// System is a system of the show by its units, as places in Lamps.
type System struct {
	Name  string `json:"name"`
	Loose bool   `json:"loose"` // its units belong to none, and are ordered by their own names
	Units []int  `json:"units"`
}

// lamps answers how the lamps shine and what a hand holds.
func (s *Server) lamps(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	l := Lamps{Wrong: errNoRun.Error()}
	if s.hands != nil {
		l = s.hands.Lamps()
	}
	l.Lamps, l.Looks, l.Systems = now.book.Lamps(l.Levels), []string{}, []System{}
	l.Held, l.Trims, l.Outs, l.Aimed = list(l.Held), list(l.Trims), list(l.Outs), list(l.Aimed)
	for _, look := range now.book.Contents().Looks {
		l.Looks = append(l.Looks, look.Name)
	}
	for _, of := range now.book.Systems() {
		l.Systems = append(l.Systems, System{of.Name, of.Name == page.NoSystem, of.Units})
	}
	writeJSON(w, l)
}

// list is a list that is written as one when it is empty: pages go through it.
func list[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}

// hand passes an order on to the lamps.
func (s *Server) hand(w http.ResponseWriter, r *http.Request) {
	o := hand.Order{Level: math.NaN()} // one that needs a level, and names none, is refused
	s.asks(w, r, &o, func() error {
		if math.IsNaN(o.Level) {
			if o.Do == hand.Set || o.Do == hand.TrimTo {
				return fmt.Errorf("%q needs a level", o.Do)
			}
			o.Level = 0
		}
		return s.hands.Hand(o)
	})
}

// keep writes light into a look.
func (s *Server) keep(w http.ResponseWriter, r *http.Request) {
	var k Kept
	s.asks(w, r, &k, func() error { return s.hands.Keep(k.Look, k.Held) })
}

// Kept is what keep is asked.
type Kept struct {
	Look string      `json:"look"`
	Held []hand.Held `json:"held,omitempty"`
}

func (s *Server) write(w http.ResponseWriter, r *http.Request) {
	s.asks(w, r, nil, func() error { return s.hands.Write() })
}

func (s *Server) undo(w http.ResponseWriter, r *http.Request) {
	s.asks(w, r, nil, func() error { return s.hands.Undo() })
}

func (s *Server) aimed(w http.ResponseWriter, r *http.Request) {
	var a Noted
	s.asks(w, r, &a, func() error { return s.hands.Aimed(a.Unit, a.Done, a.Note) })
}

// Noted is what is noted of a unit.
type Noted struct {
	Unit string `json:"unit"`
	Done bool   `json:"done"`
	Note string `json:"note"`
}

// asks reads what is asked into body, if there is to be any, and does it.
func (s *Server) asks(w http.ResponseWriter, r *http.Request, body any, do func() error) {
	if s.hands == nil {
		notRunning(w)
		return
	}
	takes(w, r, body, do)
}

// takes is asks of whoever is there. What do answers itself stays.
func takes(w http.ResponseWriter, r *http.Request, body any, do func() error) {
	if body != nil {
		text, err := io.ReadAll(r.Body) // bounded by the entrance
		if err == nil {
			err = json.Unmarshal(text, body)
		}
		if err != nil {
			http.Error(w, fmt.Sprintf("the order cannot be read: %v", err), http.StatusBadRequest)
			return
		}
	}
	if err := do(); err != nil {
		http.Error(w, err.Error(), http.StatusUnprocessableEntity)
		return
	}
	if w.Header().Get("Content-Type") == "" {
		w.WriteHeader(http.StatusNoContent)
	}
}

var errNoRun = errors.New("no run is attached: start one with lampblack run")

func notRunning(w http.ResponseWriter) { http.Error(w, errNoRun.Error(), http.StatusConflict) }

// focus answers where units are to point.
func (s *Server) focus(w http.ResponseWriter, _ *http.Request) {
	now, _ := s.book.get()
	writeJSON(w, now.book.Aims())
}

// reach answers which systems reach a place: ?place=NAME.
func (s *Server) reach(w http.ResponseWriter, r *http.Request) {
	now, _ := s.book.get()
	writeJSON(w, now.book.Reaching(r.URL.Query().Get("place")))
}
