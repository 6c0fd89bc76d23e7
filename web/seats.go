package web

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"net/http"

	"lampblack/play/lag"
)

// Seats measures how far sound is behind light at places of the hall. Errors are for the
// person who asked.
type Seats interface {
	Seats() SeatsNow
	// Begin plays clicks and flashes for the place where the asker is. Opening names the time
	// for which the camera has been open; "" is for an eye.
	Begin(place, opening string) error
	Take(SeatTake) error           // of camera and microphone
	Came(first lag.Came) error     // what an eye and an ear say
	Said(place, text string) error // a figure that somebody knows
	Stop() error
}

// SeatsNow is how far the measuring is.
type SeatsNow struct {
	Place string    `json:"place"` // that is measured, "" for none
	Eye   bool      `json:"eye"`   // by eye
	Takes string    `json:"takes"` // the opening whose camera and microphone are listened to
	Done  int       `json:"done"`  // flashes of
	Of    int       `json:"of"`
	Wrong string    `json:"wrong"` // with the last, and what to do
	Light string    `json:"light"` // which units flash
	Rows  []SeatRow `json:"rows"`
}

// SeatRow is a place with what is known of it, in words.
type SeatRow struct {
	Place  string `json:"place"`
	Behind string `json:"behind"` // sound after light, as it really is; "" while no reference is known
	Beside string `json:"beside"` // against the first place
	How    string `json:"how"`
}

// SeatTake is a second or so of what camera and microphone took.
type SeatTake struct {
	Opening string      `json:"opening"` // that of Begin: two phones are not mixed
	Bin     float64     `json:"bin"`     // s to a level of sound
	Blocks  []SeatBlock `json:"blocks"`
	Frames  []SeatFrame `json:"frames"`
}

// SeatBlock is levels of sound, one octet each: the fourth root of the root mean square over
// full scale, times 255.
type SeatBlock struct {
	At     float64 `json:"at"` // s of the browser's clock
	Levels []byte  `json:"levels"`
}

// SeatFrame is brightness by bands from top to bottom, two octets each, the higher first.
type SeatFrame struct {
	At   float64 `json:"at"`
	Rows []byte  `json:"rows"`
}

// Bounds of what one order brings, and of a whole recording.
const (
	mostBand   = 64
	mostFrames = 120 * 240        // 240 a second
	mostLevels = 120 * 2 * 192000 // far above any
)

var errTake = errors.New("what the camera and the microphone took cannot be read")

// AddTo adds what was taken to a recording, all of it or nothing.
func (t *SeatTake) AddTo(to *lag.Recording, levels *int) error {
	r, sum := *to, *levels
	good := func(v float64) bool { return !math.IsNaN(v) && math.Abs(v) < 1e9 }
	if !good(t.Bin) || t.Bin < 1e-4 || t.Bin > 2e-3 || r.Bin != 0 && math.Abs(r.Bin-t.Bin) > 1e-9 {
		return errTake
	}
	for _, b := range t.Blocks {
		if !good(b.At) || len(b.Levels) == 0 {
			return errTake
		}
		sum += len(b.Levels)
		block := lag.Block{At: b.At, Levels: make([]float64, len(b.Levels))}
		for i, o := range b.Levels {
			block.Levels[i] = math.Pow(float64(o)/255, 4)
		}
		r.Blocks = append(r.Blocks, block)
	}
	for _, f := range t.Frames {
		n := len(f.Rows) / 2
		late := len(r.Frames) > 0 && f.At <= r.Frames[len(r.Frames)-1].At
		if !good(f.At) || n == 0 || n > mostBand || len(f.Rows)%2 != 0 || len(r.Frames) > 0 && len(r.Frames[0].Rows) != n {
			return errTake
		}
		if late {
			continue // two frames of one time: the browser dates them so when it is late
		}
		frame := lag.Frame{At: f.At, Rows: make([]float64, n)}
		for i := range frame.Rows {
			frame.Rows[i] = float64(binary.BigEndian.Uint16(f.Rows[2*i:])) / 65535
		}
		r.Frames = append(r.Frames, frame)
	}
	if len(r.Frames) > mostFrames || sum > mostLevels {
		return errors.New("that is more than any place needs: begin again")
	}
	r.Bin = t.Bin
	*to, *levels = r, sum
	return nil
}

// seatsNow answers how far the measuring is.
func (s *Server) seatsNow(w http.ResponseWriter, _ *http.Request) {
	if s.seats == nil {
		http.Error(w, errNoSeats.Error(), http.StatusConflict)
		return
	}
	now := s.seats.Seats()
	now.Rows = list(now.Rows)
	writeJSON(w, now)
}

var errNoSeats = errors.New("nothing is measured here: lampblack sync does")

// onSeats carries out what a page asks of the measuring.
func (s *Server) onSeats(w http.ResponseWriter, r *http.Request) {
	if s.seats == nil {
		http.Error(w, errNoSeats.Error(), http.StatusConflict)
		return
	}
	var o struct {
		Place, Opening, Text string
		First                lag.Came
	}
	var t SeatTake
	switch r.PathValue("do") {
	case "begin":
		takes(w, r, &o, func() error { return s.seats.Begin(o.Place, o.Opening) })
	case "take":
		takes(w, r, &t, func() error { return s.seats.Take(t) })
	case "came":
		takes(w, r, &o, func() error { return s.seats.Came(o.First) })
	case "said":
		takes(w, r, &o, func() error { return s.seats.Said(o.Place, o.Text) })
	case "stop":
		takes(w, r, nil, s.seats.Stop)
	default:
		http.Error(w, fmt.Sprintf("there is no order %q", r.PathValue("do")), http.StatusNotFound)
	}
}
