package lm63

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// MostFile bounds a file: a table of 721 by 361 angles has about 2 MB.
const MostFile = 16 << 20

// Parse reads a file. What is odd and can only mean one thing is a note; what cannot be a table is an
// error.
func Parse(b []byte) (*File, error) {
	if len(b) > MostFile {
		return nil, fmt.Errorf("intensity table: got %d octets, want at most %d", len(b), MostFile)
	}
	text := string(bytes.TrimPrefix(b, []byte("\xef\xbb\xbf")))
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	f := &File{}
	rest, line, err := f.head(text)
	if err != nil {
		return nil, fmt.Errorf("intensity table: %w", err)
	}
	// A comma stands between numbers; where the numbers do not come out, it may be a decimal one.
	out := *f
	if err := out.numbers(rest, line, false); err != nil {
		again := *f
		if !strings.Contains(rest, ",") || again.numbers(rest, line, true) != nil {
			return nil, fmt.Errorf("intensity table: %w", err)
		}
		again.note("commas stand for decimal points")
		out = again
	}
	out.close()
	if err := out.wrong(); err != nil {
		return nil, err
	}
	return &out, nil
}

// wrong is Check but for missing keywords, which are a note when read.
func (f *File) wrong() error {
	words := f.Keywords
	defer func() { f.Keywords = words }()
	if err := f.checkWords(); err != nil {
		f.note("%v", strings.TrimPrefix(err.Error(), "intensity table: "))
	}
	f.Keywords = nil
	for _, name := range f.Edition.wanted() {
		f.Keywords = append(f.Keywords, Keyword{Name: name})
	}
	return f.Check()
}

func (f *File) note(format string, args ...any) {
	f.Notes = append(f.Notes, fmt.Sprintf(format, args...))
}

// head reads up to the line TILT; it returns what follows, and the number of its first line.
func (f *File) head(text string) (rest string, line int, err error) {
	f.Edition = 1986
	for {
		var now string
		var more bool
		now, text, more = strings.Cut(text, "\n")
		line++
		now = strings.TrimSpace(now)
		key, value, isTilt := strings.Cut(now, "=")
		switch {
		case isTilt && strings.EqualFold(strings.TrimSpace(key), "TILT"):
			f.Tilt = tilt(strings.TrimSpace(value))
			return text, line + 1, nil
		case !more:
			return "", 0, fmt.Errorf("got no line TILT= in %d lines", line)
		case len(f.Keywords) > 10_000:
			return "", 0, fmt.Errorf("got no line TILT= in the first %d lines", line)
		case line == 1 && strings.HasPrefix(strings.ToUpper(now), "IES"):
			f.edition(now)
		case now != "":
			f.keyword(now)
		}
	}
}

// edition reads the first line, which people write in many ways.
func (f *File) edition(line string) {
	plain := strings.ToUpper(strings.ReplaceAll(line, " ", ""))
	for e, m := range magic {
		if plain == m {
			f.Edition = e
			return
		}
	}
	f.Edition = 2002
	for year, e := range map[string]Edition{"1986": 1986, "91": 1991, "95": 1995, "2019": 2019, "63-19": 2019} {
		if strings.HasSuffix(plain, year) {
			f.Edition = e
		}
	}
	f.note("the first line is %.60q: read as edition %d", line, f.Edition)
}

func (f *File) keyword(line string) {
	k := Keyword{Text: line}
	if name, text, ok := strings.Cut(line, "]"); ok && strings.HasPrefix(name, "[") {
		k = Keyword{strings.ToUpper(strings.TrimSpace(name[1:])), strings.TrimSpace(text)}
	}
	f.Keywords = append(f.Keywords, k)
}

func tilt(value string) Tilt {
	switch strings.ToUpper(value) {
	case "NONE", "":
		return Tilt{}
	case "INCLUDE":
		return Tilt{Included: true}
	}
	return Tilt{File: value}
}

// stream takes numbers from a text.
type stream struct {
	text  string
	line  int
	comma bool // stands for a decimal point
	err   error
}

func (s *stream) separates(c byte) bool {
	return c == ' ' || c == '\t' || c == '\n' || c == '\v' || c == '\f' || c == 0x1a || c == ',' && !s.comma || c == ';'
}

// skip goes to the next number.
func (s *stream) skip() {
	for s.text != "" && s.separates(s.text[0]) {
		if s.text[0] == '\n' {
			s.line++
		}
		s.text = s.text[1:]
	}
}

// next is the next number, after an error always 0.
func (s *stream) next(what string) float64 {
	s.skip()
	n := 0
	for n < len(s.text) && !s.separates(s.text[n]) {
		n++
	}
	word := s.text[:n]
	s.text = s.text[n:]
	if s.err != nil {
		return 0
	}
	if s.comma {
		word = strings.Replace(word, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(word, 64)
	switch {
	case word == "":
		s.err = fmt.Errorf("line %d: the file ends before %s", s.line, what)
	case err != nil || math.IsNaN(v) || math.Abs(v) > 1e12:
		s.err = fmt.Errorf("line %d: got %.30q, want %s", s.line, word, what)
		return 0
	}
	return v + 0
}

// count is a number of things.
func (s *stream) count(what string, least, most int) int {
	v := s.next("the number of " + what)
	if s.err == nil && (v != math.Trunc(v) || v < float64(least) || v > float64(most)) {
		s.err = fmt.Errorf("line %d: got %g %s, want %d to %d", s.line, v, what, least, most)
	}
	if s.err != nil {
		return 0
	}
	return int(v)
}

// left is how many numbers follow, up to what is no number.
func (s stream) left() (n int) {
	for s.skip(); s.text != "" && s.err == nil; s.skip() {
		if s.next(""); s.err == nil {
			n++
		}
	}
	return n
}

// list is so many numbers. Memory is taken as they come.
func (s *stream) list(n int, what string) []float64 {
	var out []float64
	for range n {
		if s.err != nil {
			return nil
		}
		out = append(out, s.next(what))
	}
	return out
}

// numbers reads all that follows TILT.
func (f *File) numbers(text string, line int, comma bool) error {
	f.Notes = append([]string(nil), f.Notes...)
	s := &stream{text: text, line: line, comma: comma}
	if f.Tilt.Included {
		f.Tilt.Lies = s.count("ways in which the lamp lies", 1, 3)
		n := s.count("tilt angles", 1, mostAngles)
		f.Tilt.Angles, f.Tilt.Factors = s.list(n, "a tilt angle"), s.list(n, "a tilt factor")
	}
	f.Lamps = s.count("lamps", 0, 1e6)
	f.Lumens, f.Multiplier = s.next("the lumens of a lamp"), s.next("the multiplier of candela")
	nv, nh := s.count("vertical angles", 1, mostAngles), s.count("horizontal angles", 1, mostAngles)
	f.Type = Photometry(s.count("the photometric type", 1, 3))
	f.Feet = s.count("the units", 1, 2) == 1
	for i := range f.Size {
		f.Size[i] = s.next("the size of the luminous opening")
	}
	f.Ballast, f.Third, f.Watts = s.next("the ballast factor"), s.next("the number after the ballast factor"), s.next("the watts")
	f.Vertical = s.list(nv, "a vertical angle")
	// A first number of 0 is the angle, and the table is cut short.
	if ahead := *s; nh == 1 && s.err == nil && s.left() == nv && ahead.next("") != 0 {
		f.Horizontal = []float64{0}
		f.note("the one horizontal angle is missing: taken as 0°")
	} else {
		f.Horizontal = s.list(nh, "a horizontal angle")
	}
	f.Table = nil
	for range nh {
		if s.err == nil {
			f.Table = append(f.Table, s.list(nv, "candela"))
		}
	}
	if s.err != nil {
		return s.err
	}
	f.odd()
	if s.skip(); s.text != "" {
		f.note("line %d: what follows the table is passed over", s.line)
	}
	return nil
}

// odd notes numbers that are not as the standard wants them.
func (f *File) odd() {
	if f.Edition == 2002 && f.Third != 1 {
		f.note("the number after the ballast factor is %g, where the edition of 2002 wants 1: not taken as a factor", f.Third)
	}
	if f.Edition <= 1995 && f.Third == 0 {
		f.note("the factor after the ballast factor is 0: taken as 1")
		f.Third = 1
	}
	if f.Tilt.File != "" {
		f.note("the table of tilt is in another file, %q, and not read", f.Tilt.File)
	}
	if f.Multiplier == 0 {
		f.note("the multiplier is 0: taken as 1")
		f.Multiplier = 1
	}
	if f.Ballast == 0 {
		f.note("the ballast factor is 0: taken as 1")
		f.Ballast = 1
	}
}

// close makes the horizontal angles of type C end where the standard has them end: at 0°, 90°, 180° or
// 360°, or at 270° from 90°.
func (f *File) close() {
	n := len(f.Horizontal)
	if f.Type != C || n == 0 || len(f.Table) != n {
		return
	}
	first, last := f.Horizontal[0], f.Horizontal[n-1]
	switch {
	case n == 1 && last != 0:
		f.note("the one horizontal angle is %g°: taken as all around", last)
		f.Horizontal = []float64{0}
	case n == 1, first == 0 && (last == 90 || last == 180 || last == 360), first == 90 && last == 270:
	case first == 0 && last > 180 && last < 360:
		f.note("the horizontal angles end at %g°: closed at 360°", last)
		f.Horizontal = append(append([]float64(nil), f.Horizontal...), 360)
		f.Table = append(append([][]float64(nil), f.Table...), f.Table[0])
	default:
		f.note("the horizontal angles run from %g° to %g°, which no symmetry has: the nearest stands for those that are missing", first, last)
	}
}
