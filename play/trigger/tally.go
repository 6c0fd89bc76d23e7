package trigger

// Tally counts who is inside, by what fires on the way in and on the way out. It is
// an estimate: two people side by side are one to a beam. The zero value is empty.
type Tally struct {
	Inside   int    `json:"inside"` // never below 0
	Entered  uint64 `json:"entered"`
	Left     uint64 `json:"left"`
	Doubtful uint64 `json:"doubtful"` // left an empty place, or passed without being sure
}

// Enters counts one in.
func (t Tally) Enters() Tally {
	t.Entered++
	t.Inside++
	return t
}

// Leaves counts one out. Whoever leaves an empty place was missed on the way in, so
// nobody can say how many more were.
func (t Tally) Leaves() Tally {
	t.Left++
	if t.Inside == 0 {
		t.Doubtful++
		return t
	}
	t.Inside--
	return t
}

// Doubts counts a passage of which it is not known whether it was one.
func (t Tally) Doubts() Tally {
	t.Doubtful++
	return t
}

// Empty is the tally of a place that somebody has seen empty; what was counted
// stays.
func (t Tally) Empty() Tally {
	t.Inside = 0
	return t
}
