package web

import (
	"fmt"
	"net/http"
	"time"
)

// Sounds is what pages ask of what is heard, and of light that is to stand meanwhile. Errors
// are for the person who asked; what else comes of an order, pages learn by the events.
type Sounds interface {
	Sound(SoundOrder) error
}

// SoundOrder is an order to the sound of a run. None is a toggle: each may come twice.
type SoundOrder struct {
	// Do is "freeze light", "light on again", "stop all", "skip for certain", "sound
	// level", "extra sound", "extra sounds off", "test signal" or "trim".
	Do      string  `json:"do"`
	Zone    string  `json:"zone"`    // "" for all that it can mean
	Over    float64 `json:"over"`    // s: how long it takes; 0 as the show has it
	Level   float64 `json:"level"`   // dB: of a sound level below its own, of a trim either way
	Off     bool    `json:"off"`     // of a sound level: nothing is heard
	Name    string  `json:"name"`    // of an extra sound
	Channel int     `json:"channel"` // of a test signal, and of a trim
	Delay   float64 `json:"delay"`   // ms, of a trim
}

// mostOver bounds how long a fade may take, s.
const mostOver = 60

// fit tells what is wrong with the numbers of an order. NaN cannot come in JSON.
func (o *SoundOrder) fit() error {
	switch {
	case o.Over < 0 || o.Over > mostOver:
		return fmt.Errorf("%g s lie outside 0 to %d s", o.Over, mostOver)
	case o.Level < -60 || o.Level > 24:
		return fmt.Errorf("%g dB lie outside -60 to 24 dB", o.Level)
	case o.Delay < 0 || o.Delay > 1000:
		return fmt.Errorf("%g ms lie outside 0 to 1000 ms", o.Delay)
	}
	return nil
}

// Time is Over as a time.
func (o *SoundOrder) Time() time.Duration { return time.Duration(o.Over * float64(time.Second)) }

// sound passes an order on to the sound.
func (s *Server) sound(w http.ResponseWriter, r *http.Request) {
	if s.sounds == nil {
		notRunning(w)
		return
	}
	var o SoundOrder
	takes(w, r, &o, func() error {
		if err := o.fit(); err != nil {
			return err
		}
		return s.sounds.Sound(o)
	})
}

// Hearing is what is heard beside the order, and what a hand has done to sound and light.
type Hearing struct {
	Frozen   bool        `json:"frozen"`   // the light stands, in some zone
	Violet   bool        `json:"violet"`   // that light has ultraviolet in it
	Skips    bool        `json:"skips"`    // a skip was asked for once, and the second jumps the sound
	SkipsTo  float64     `json:"skipsTo"`  // s: to there
	Notice   string      `json:"notice"`   // about what was asked for last
	Lowered  float64     `json:"lowered"`  // dB by which the sound of the piece is below its own; 100 is off
	Tests    bool        `json:"tests"`    // a test signal is heard
	Device   bool        `json:"device"`   // there is a sound device
	Live     string      `json:"live"`     // what is heard of live sound, "" where none is listened to
	Stops    float64     `json:"stops"`    // s that the sound fades in when all stops
	Zones    []string    `json:"zones"`    // of a place of several
	Extras   []ExtraOf   `json:"extras"`   // in the order of show.yaml
	Speakers []SpeakerOf `json:"speakers"` // by channel
}

// ExtraOf is an extra sound.
type ExtraOf struct {
	Name  string `json:"name"`
	Key   string `json:"key"`
	Plays bool   `json:"plays"`
}

// SpeakerOf is a loudspeaker, with what the hall gives it.
type SpeakerOf struct {
	Name    string  `json:"name"`
	Channel int     `json:"channel"`
	Level   float64 `json:"level"` // dB
	Delay   float64 `json:"delay"` // ms
}

// whole is h with lists that are empty rather than none, as pages want them.
func (h Hearing) whole() Hearing {
	if h.Zones == nil {
		h.Zones = []string{}
	}
	if h.Extras == nil {
		h.Extras = []ExtraOf{}
	}
	if h.Speakers == nil {
		h.Speakers = []SpeakerOf{}
	}
	return h
}
