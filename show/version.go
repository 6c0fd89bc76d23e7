package show

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
)

// Version names one state of a show, in 16 hexadecimal digits: the same texts,
// the same moments of the soundtrack under its cues, and the same way of solving
// have the same version, on every machine. "" is a show that does not stand in a
// folder, such as a score that is only tried.
//
// A run writes it into its log, so that whoever takes the run up sees whether it
// is still the show that was running.
type Version string

// solver is part of every version. It is raised when the same texts come to
// other light; TestVersionOfTheSolver holds it to that.
const solver = 6

// sum adds up what Read reads: names and texts, each with its length, so that no
// two folders run together into one.
type sum struct{ hash.Hash }

func newSum() sum { return sum{sha256.New()} }

func (s sum) add(name string, text []byte) {
	for _, part := range [][]byte{[]byte(name), text} {
		s.number(int64(len(part)))
		s.Write(part)
	}
}

func (s sum) number(n int64) {
	var b [8]byte
	binary.BigEndian.PutUint64(b[:], uint64(n))
	s.Write(b[:])
}

// Version returns the version of the show.
func (s *Show) Version() Version {
	if s.texts == "" {
		return ""
	}
	h := newSum()
	h.add("texts", []byte(s.texts))
	h.number(solver)
	h.number(int64(s.Length))
	for i := range s.Cues {
		h.number(int64(s.Cues[i].Start))
		h.number(int64(s.Cues[i].Complete))
	}
	return Version(hex.EncodeToString(h.Sum(nil)[:8]))
}
