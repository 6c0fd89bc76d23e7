package admit

import "fmt"

// Right is what a device may do.
type Right string

// The rights that a device is given as it is paired. Focus and Go have no part of each
// other: who is on a ladder does not run the show, and who runs it sets no lamp.
const (
	Watch Right = "watch" // read every page
	Focus Right = "focus" // and set lamps by hand, note what is aimed, go round before doors
	Go    Right = "go"    // or the orders of the run: hold, go, back, lights up, sound
	All   Right = "all"   // all of these, and write into the show's files
	own   Right = "own"   // of this computer's user: all, and who else may come
)

// Rights are those that can be given.
func Rights() []Right { return []Right{Watch, Focus, Go, All} }

// ParseRight reads a right that can be given.
func ParseRight(text string) (Right, error) {
	for _, r := range Rights() {
		if string(r) == text {
			return r, nil
		}
	}
	return "", fmt.Errorf("%q is no right: watch, focus, go or all", text)
}

// Deed is what a request does.
type Deed int

// What is asked for. Rescue is what anybody may do who may do anything but look: lights up.
const (
	Reads Deed = iota
	Rescues
	SetsLamps
	RunsShow
	Writes
	Owns // the list of who may come
)

// May tells whether a right holds a deed.
func (r Right) May(d Deed) bool {
	switch r {
	case own:
		return true
	case All:
		return d != Owns
	case Focus:
		return d <= SetsLamps
	case Go:
		return d <= Rescues || d == RunsShow
	case Watch:
		return d == Reads
	}
	return false
}

// Owner tells whether it is that of this computer's user.
func (r Right) Owner() bool { return r == own }
