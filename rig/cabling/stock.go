package cabling

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lampblack/si"
)

// Stock is the cables that are owned, by length.
type Stock []Owned

// Owned is cables of one length.
type Owned struct {
	Length si.Length
	Count  int // as many as it takes when it is 0
}

// Usual are the lengths that are sold and owned most (common practice, no source).
var Usual = Stock{{Length: 1}, {Length: 2}, {Length: 3}, {Length: 5}, {Length: 10}, {Length: 15}, {Length: 20}}

// The longest cable and the most lengths of a stock.
const (
	shortestCable = .1
	longestCable  = 200
	mostLengths   = 50
)

// ReadStock reads lengths as "1, 2, 5 m, 4 of 10 m": a number before "of" is how many there are.
func ReadStock(text string) (Stock, error) {
	var out Stock
	for part := range strings.SplitSeq(text, ",") {
		var o Owned
		count, length, counted := strings.Cut(part, " of ")
		if !counted {
			length = part
		} else if n, err := strconv.Atoi(strings.TrimSpace(count)); err != nil || n < 1 {
			return nil, fmt.Errorf("%q is no number of cables, as 4 of 10 m", strings.TrimSpace(count))
		} else {
			o.Count = n
		}
		length = strings.TrimSpace(length)
		if _, err := strconv.ParseFloat(length, 64); err == nil {
			length += " m"
		}
		if err := o.Length.UnmarshalText([]byte(length)); err != nil {
			return nil, err
		}
		if !(o.Length >= shortestCable) || o.Length > longestCable {
			return nil, fmt.Errorf("a cable of %v: lengths lie between %v m and %d m", o.Length, shortestCable, longestCable)
		}
		out = append(out, o)
	}
	if len(out) > mostLengths {
		return nil, fmt.Errorf("%d lengths of cable: at most %d", len(out), mostLengths)
	}
	slices.SortFunc(out, func(a, b Owned) int { return cmp.Compare(a.Length, b.Length) })
	for i := 1; i < len(out); i++ {
		if out[i].Length == out[i-1].Length {
			return nil, fmt.Errorf("%v stands twice among the lengths", out[i].Length)
		}
	}
	return out, nil
}

// String prints the form that ReadStock reads.
func (s Stock) String() string {
	var parts []string
	for _, o := range s {
		part := o.Length.String()
		if o.Count > 0 {
			part = fmt.Sprintf("%d of %v", o.Count, o.Length)
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, ", ")
}

// longest is that of the longest cable.
func (s Stock) longest() si.Length { return s[len(s)-1].Length }

// Pieces are the cables that make a run, in as few pieces as can be: one that is just long enough,
// or where none is, the longest one after another and one for the rest.
func (s Stock) Pieces(run si.Length) []si.Length {
	var out []si.Length
	for ; run > s.longest(); run -= s.longest() {
		out = append(out, s.longest())
	}
	i := slices.IndexFunc(s, func(o Owned) bool { return o.Length >= run })
	return append(out, s[i].Length)
}

// costs is what a run counts in metres: the cables that make it, its joints, and a hundredth of the way,
// so that of two runs that take the same cables the shorter is less.
func (s Stock) costs(run si.Length) float64 {
	pieces := s.Pieces(run)
	return float64(total(pieces)) + jointCosts*float64(len(pieces)-1) + float64(run)/100
}

func total(pieces []si.Length) (sum si.Length) {
	for _, p := range pieces {
		sum += p
	}
	return sum
}

// shortage tells what of the cables that a plan takes is not owned: for each length how many. A cable
// that is longer than it need be does as well, if one is left.
func (s Stock) shortage(wanted []si.Length) map[si.Length]int {
	left := map[si.Length]int{}
	for _, o := range s {
		if left[o.Length] = o.Count; o.Count == 0 {
			left[o.Length] = len(wanted)
		}
	}
	short := map[si.Length]int{}
	for _, w := range slices.Backward(slices.Sorted(slices.Values(wanted))) { // the longest have the least choice
		i := slices.IndexFunc(s, func(o Owned) bool { return o.Length >= w && left[o.Length] > 0 })
		if i < 0 {
			short[w]++
			continue
		}
		left[s[i].Length]--
	}
	return short
}
