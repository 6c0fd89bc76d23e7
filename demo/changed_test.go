package demo

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"
	"time"

	"lampblack/room"
	"lampblack/score"
	"lampblack/show"
)

// numbers are what a hand changes most: how bright, how long, when.
var changeable = regexp.MustCompile(`(level|up|returns|luminance|over background|at|takes): ([\d.:]+)( %| s| cd/m2)?`)

// A show that is changed again and again, each time from the one before, has the light of one
// that is made anew of the same score: looks that were kept are those that would be solved. It is
// also seen that most are kept.
func TestChangedAgain(t *testing.T) {
	defer func(was room.Fineness) { room.Usual = was }(room.Usual)
	room.Usual = room.Fineness{Patches: 400, Elements: 100}
	dir := embedded(t, Fish.texts...)
	text, err := fs.ReadFile(dir, show.ScoreFile)
	if err != nil {
		t.Fatal(err)
	}
	read := func(text []byte) *score.Score {
		sc, faults := score.Read(show.ScoreFile, text)
		if err := faults.Err(); err != nil {
			return nil
		}
		return sc
	}
	files := readShow(t, dir)
	files.Score = &score.Score{}
	bare, _ := show.New(t.Context(), files, nil) // which knows no look
	last, _ := bare.With(read(text))
	random := rand.New(rand.NewPCG(11, 4))
	for i := range 25 {
		places := changeable.FindAllSubmatchIndex(text, -1)
		m := places[random.IntN(len(places))]
		value := fmt.Sprintf("%d", 1+random.IntN(9))
		if text[m[3]-1] == 't' { // at
			value = fmt.Sprintf("%d:%02d.%03d", random.IntN(6), random.IntN(60), random.IntN(1000))
		}
		next := slices.Concat(text[:m[4]], []byte(value), text[m[5]:])
		if random.IntN(5) == 0 { // lines move: all that names a place is another
			next = append([]byte("# a comment\n"), next...)
		}
		sc := read(next)
		if sc == nil {
			continue
		}
		text = next
		with, _ := last.With(sc)
		anew, _ := bare.With(sc)
		if with.Length != anew.Length || len(with.Looks) != len(anew.Looks) {
			t.Fatalf("after %d changes: %v and %d looks, made anew %v and %d", i+1, with.Length, len(with.Looks), anew.Length, len(anew.Looks))
		}
		for k := range anew.Looks {
			w, a := &with.Looks[k], &anew.Looks[k]
			if w.Name != a.Name || !slices.Equal(w.Levels, a.Levels) || !slices.Equal(w.For, a.For) || fmt.Sprint(w.Misses) != fmt.Sprint(a.Misses) {
				t.Fatalf("after %d changes, the last %q: look %s for %v is not %s for %v", i+1, value, w.Name, w.For, a.Name, a.For)
			}
		}
		a, b := with.NewFrame(), anew.NewFrame()
		for range 50 {
			at := time.Duration(random.Int64N(int64(anew.Length)))
			with.At(a, at)
			anew.At(b, at)
			if !slices.Equal(a.Levels, b.Levels) {
				t.Fatalf("after %d changes the light at %v is another than made anew", i+1, at)
			}
		}
		last = with
	}
}
