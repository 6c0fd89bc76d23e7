package begin

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/rig"
	"lampblack/show"
	"lampblack/soundfile"
)

// owl begins a show.
func owl(t testing.TB) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "owl")
	if err := New(t.Context(), dir, "me", What{Title: "The Owl"}); err != nil {
		t.Fatal(err)
	}
	return dir
}

// answered puts an answer, and fails where it is not taken.
func answered(t testing.TB, dir string, q Question, do func(*Answers)) {
	t.Helper()
	if err := answer(t, dir, q, do); err != nil {
		t.Fatalf("question %d: %v", q+1, err)
	}
}

func answer(t testing.TB, dir string, q Question, do func(*Answers)) error {
	t.Helper()
	a := now(t, dir)
	seen := a.Marks[q]
	do(a)
	return Put(context.Background(), dir, "me", q, seen, a)
}

func now(t testing.TB, dir string) *Answers {
	t.Helper()
	a, err := Read(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func text(t testing.TB, dir, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	return string(data)
}

func put(t testing.TB, dir, name, data string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(data), 0o644); err != nil {
		t.Fatal(err)
	}
}

// furnished has something said to every question but the sound.
func furnished(t testing.TB, dir string) {
	t.Helper()
	answered(t, dir, RoomQuestion, func(a *Answers) {
		a.Room.Width, a.Room.Depth, a.Room.Front, a.Room.Backdrop = 7, 11, 7, "black velvet"
	})
	answered(t, dir, PeopleQuestion, func(a *Answers) {
		a.People = People{[]Seats{{"", "seats", Area{-2.5, 2.5, -1.5, -6}, false}, {"", "children", Area{-2, 2, -.8, -1.2}, true}}, &Area{-2, 2, .5, 3},
			[]Player{{"", "player", 0, 2.4}}, []Way{{"", "way in", [][2]float64{{-3.2, -6}, {-3.2, 1}}, .9}}}
	})
	answered(t, dir, UnitsQuestion, func(a *Answers) {
		a.Units.Groups = []Group{{Type: "colour par", Count: 4}, {Type: "black light flood", Count: 2}}
	})
	answered(t, dir, GlowQuestion, func(a *Answers) { a.Glow.Things = []Thing{{"", "owl", "fluorescent orange", .6, .4, 0, 2, 1.2}} })
	answered(t, dir, SiteQuestion, func(a *Answers) { a.Site = Site{Out: ByE131, To: "multicast", Desk: true, DeskSlots: 24, Scenes: 48} })
}

// What was answered is what is read, the texts are a show, and all of it can be taken back to the
// first octet.
func TestAnswersStand(t *testing.T) {
	dir := owl(t)
	first := text(t, dir, show.BillFile)
	furnished(t, dir)
	answered(t, dir, PlacesQuestion, func(a *Answers) {
		u := &a.Places.Units[1]
		u.Placed, u.At, u.Aim = true, [3]float64{-2, -1, 2.5}, [3]float64{0, 2, 1}
	})
	a := now(t, dir)
	if len(a.Faults) > 0 {
		t.Errorf("faults: %q", a.Faults)
	}
	if got := a.People.Seats; len(got) != 2 || got[0].Area != (Area{-2.5, 2.5, -1.5, -6}) || !got[1].Children || got[0].Children {
		t.Errorf("seats are %+v", got)
	}
	if p := a.People.Playing; p == nil || *p != (Area{-2, 2, .5, 3}) {
		t.Errorf("it is played in %v", p)
	}
	if g := a.Units.Groups; len(g) != 2 || g[0].Count != 4 || g[0].Slots != "1, 4, 7, 10" || g[1].System != Dark || g[1].Slots != "13, 14" {
		t.Errorf("lamps are %+v", g)
	}
	if u := a.Places.Units[1]; !u.Placed || u.Guessed || u.At != [3]float64{-2, -1, 2.5} || u.Aim != [3]float64{0, 2, 1} || a.Places.Units[0].Placed {
		t.Errorf("places are %+v", a.Places.Units)
	}
	if a.Site != (Site{Out: ByE131, To: "multicast", Desk: true, DeskSlots: 24, Scenes: 48}) {
		t.Errorf("on site is %+v", a.Site)
	}
	if want := []bool{true, false, true, true, true, true, true, true}; !slices.Equal(a.Said, want) {
		t.Errorf("said is %v", a.Said)
	}
	f, err := folder.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, faults := show.Read(f); faults.Err() != nil {
		t.Error(faults)
	}
	for range 6 {
		if _, err := ledger.Undo(t.Context(), dir, "me"); err != nil {
			t.Fatal(err)
		}
	}
	if got := text(t, dir, show.BillFile); got != first || text(t, dir, show.RoomFile) != "" || text(t, dir, show.RigFile) != "" || text(t, dir, deskFile) != "" {
		t.Errorf("taken back it is\n%s\n%s", got, text(t, dir, show.RoomFile))
	}
}

// Random answers, one after another: each is read back as it was given, and the texts always read.
func TestRandomAnswers(t *testing.T) {
	kinds := []string{"colour par", "black light bar", "colour bar", "dimmer pack"}
	rapid.Check(t, func(r *rapid.T) {
		dir := owl(t)
		furnished(t, dir)
		metre := func(low, high float64) float64 {
			return math.Round(rapid.Float64Range(low, high).Draw(r, "metre")*100) / 100
		}
		name := func(i int) string {
			return rapid.SampledFrom([]string{"owl", "moon", "a: b", "-x", "# no", "yes", `"quoted"`, "12", "ü – é"}).Draw(r, "name") + strings.Repeat("'", i)
		}
		for range rapid.IntRange(1, 4).Draw(r, "answers") {
			switch rapid.SampledFrom([]Question{PeopleQuestion, UnitsQuestion, GlowQuestion}).Draw(r, "question") {
			case PeopleQuestion:
				var want []Seats
				answered(t, dir, PeopleQuestion, func(a *Answers) {
					a.People.Seats = a.People.Seats[:rapid.IntRange(0, len(a.People.Seats)).Draw(r, "seats")]
					for i := range a.People.Seats {
						a.People.Seats[i].Name = name(i) + " seats"
					}
					a.People.Seats = append(a.People.Seats, Seats{"", name(9), Area{metre(-3, -.1), metre(.1, 3), metre(-2, -.5), metre(-6, -3)}, rapid.Bool().Draw(r, "children")})
					want = slices.Clone(a.People.Seats)
				})
				got := now(t, dir).People.Seats
				for i := range want {
					want[i].Name = named(want[i].Name)
					want[i].ID = want[i].Name
					if !slices.Contains(got, want[i]) {
						r.Fatalf("there is no %+v in %+v", want[i], got)
					}
				}
			case UnitsQuestion:
				var want []int
				answered(t, dir, UnitsQuestion, func(a *Answers) {
					a.Units.Groups = nil
					for _, k := range kinds {
						if n := rapid.IntRange(0, 9).Draw(r, k); n > 0 {
							a.Units.Groups = append(a.Units.Groups, Group{Type: k, Count: n})
							want = append(want, n)
						}
					}
				})
				got := now(t, dir).Units.Groups
				if !slices.Equal(each2(got), want) {
					r.Fatalf("%v lamps of a kind became %+v", want, got)
				}
				apart(r, dir)
			case GlowQuestion:
				var want []Thing
				answered(t, dir, GlowQuestion, func(a *Answers) {
					a.Glow.Things = a.Glow.Things[:rapid.IntRange(0, len(a.Glow.Things)).Draw(r, "things")]
					for i := range a.Glow.Things {
						a.Glow.Things[i].Name = name(i)
					}
					a.Glow.Things = append(a.Glow.Things, Thing{"", name(7), rapid.SampledFrom(Paints()).Draw(r, "paint"), metre(.1, 1), metre(.1, 1), metre(-2, 2), metre(0, 3), metre(1, 2)})
					want = slices.Clone(a.Glow.Things)
				})
				got := now(t, dir).Glow.Things
				for i := range want {
					want[i].ID = want[i].Name
					if !slices.Contains(got, want[i]) {
						r.Fatalf("there is no %+v in %+v", want[i], got)
					}
				}
			}
			if faults := now(t, dir).Faults; len(faults) > 0 {
				r.Fatalf("faults: %q", faults)
			}
		}
	})
}

func each2(groups []Group) (out []int) {
	for _, g := range groups {
		out = append(out, g.Count)
	}
	return out
}

// apart fails where two units listen to one slot.
func apart(r *rapid.T, dir string) {
	f, err := folder.Open(context.Background(), dir)
	if err != nil {
		r.Fatal(err)
	}
	defer f.Close()
	files, _ := show.Read(f)
	if files.Rig == nil {
		return
	}
	taken := map[[2]int]string{}
	for i := range files.Rig.Units {
		u := &files.Rig.Units[i]
		for s := u.Address; s < u.Address+u.Mode.Footprint; s++ {
			if other := taken[[2]int{u.Universe, s}]; other != "" || s > 512 {
				r.Fatalf("%s and %s listen to slot %d of universe %d", other, u.Name.Name, s, u.Universe)
			}
			taken[[2]int{u.Universe, s}] = u.Name.Name
		}
	}
}

// What somebody else has changed since is not written over, and who asks is told.
func TestSomebodyElse(t *testing.T) {
	dir := owl(t)
	mine, theirs := now(t, dir), now(t, dir)
	theirs.Room.Width = 9
	if err := Put(t.Context(), dir, "they", RoomQuestion, theirs.Marks[RoomQuestion], theirs); err != nil {
		t.Fatal(err)
	}
	mine.Room.Depth = 12
	if err := Put(t.Context(), dir, "me", RoomQuestion, mine.Marks[RoomQuestion], mine); !errors.Is(err, ErrChanged) {
		t.Errorf("it was written over: %v", err)
	}
	if err := Put(t.Context(), dir, "me", WhatQuestion, mine.Marks[WhatQuestion], &Answers{What: What{Title: "The Owl's House"}}); err != nil {
		t.Errorf("another question is refused: %v", err)
	}
	if a := now(t, dir); a.Room.Width != 9 || a.What.Title != "The Owl's House" {
		t.Errorf("it is %+v", a.Room)
	}
}

// What a person wrote stays: comments, keys that no question knows, and a look that they made
// their own by taking its mark away.
func TestPersonsWords(t *testing.T) {
	dir := owl(t)
	furnished(t, dir)
	room := strings.Replace(text(t, dir, show.RoomFile), "owl: {paint: fluorescent orange,", "owl: {shape: disc, paint: fluorescent orange,", 1)
	put(t, dir, show.RoomFile, "# measured by Ada\n"+room+"haze: {leaves: 90 %, over: 6 m}   # thin\n")
	const theirs = `  warm: {system: front, colour: red, level: 5 %}   # as the director said`
	lines := strings.Split(text(t, dir, show.ScoreFile), "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, "  warm:") {
			lines[i] = theirs
		}
	}
	put(t, dir, show.ScoreFile, strings.Join(lines, "\n"))
	answered(t, dir, GlowQuestion, func(a *Answers) { a.Glow.Things[0].Name, a.Glow.Things[0].X = "big owl", 1 })
	answered(t, dir, UnitsQuestion, func(a *Answers) { a.Units.Groups[0].Count = 6 })
	got := text(t, dir, show.RoomFile)
	for _, want := range []string{"# measured by Ada\n", "haze: {leaves: 90 %, over: 6 m}   # thin\n", "big owl: {shape: disc, paint: fluorescent orange, centre: [1 m, 2 m, 1.2 m]"} {
		if !strings.Contains(got, want) {
			t.Errorf("there is no %q in\n%s", want, got)
		}
	}
	if got := text(t, dir, show.ScoreFile); !strings.Contains(got, theirs+"\n") || !strings.Contains(got, "big owl glows: {") || strings.Contains(got, "  owl glows") || strings.Contains(got, "object: owl") {
		t.Errorf("the looks are\n%s", got)
	}
}

// A guess is marked where it stands, and is none any more once somebody says it.
func TestGuessesAreSaid(t *testing.T) {
	dir := owl(t)
	furnished(t, dir)
	has := func(what, words string) bool {
		return slices.ContainsFunc(now(t, dir).Guesses, func(g Guess) bool {
			return strings.Contains(g.What, what) && strings.Contains(g.Text, words)
		})
	}
	if !has("walls", "made of") || !has("colour par", "mode") || !has("6 lamps", "bar") || !has("warm", "colour") || has("room", " m by ") {
		t.Errorf("guessed is %+v", now(t, dir).Guesses)
	}
	answered(t, dir, RoomQuestion, func(a *Answers) { a.Room.Walls = "brick" })
	answered(t, dir, UnitsQuestion, func(a *Answers) { a.Units.Groups[0].Mode = "7 slots" })
	answered(t, dir, PlacesQuestion, func(a *Answers) { a.Places.Units[0].Placed = true })
	if has("walls", "made of") || has("colour par", "mode") || has("6 lamps", "bar") || !has("floor", "made of") || !has("5 lamps", "bar") {
		t.Errorf("guessed is %+v", now(t, dir).Guesses)
	}
	if a := now(t, owl(t)); !slices.ContainsFunc(a.Guesses, func(g Guess) bool { return g.Question == RoomQuestion }) {
		t.Errorf("of an empty show nothing is guessed: %+v", a.Guesses)
	}
	put(t, dir, show.BillFile, "title: \"x  # guessed: y\"\n")
	if has("x", "") || now(t, dir).What.Title != "x  # guessed: y" {
		t.Error("words of a person are taken for a mark")
	}
}

// Whatever is no answer is refused in words, and nothing is written.
func TestNoAnswers(t *testing.T) {
	dir := owl(t)
	furnished(t, dir)
	files := []string{show.BillFile, show.RoomFile, show.RigFile, show.ScoreFile, deskFile}
	before := each(files, func(name *string) string { return text(t, dir, *name) })
	nan := math.NaN()
	for _, c := range []struct {
		q    Question
		do   func(*Answers)
		want string
	}{
		{WhatQuestion, func(a *Answers) { a.What.Title = "  " }, "title"},
		{WhatQuestion, func(a *Answers) { a.What.Title = strings.Repeat("x", 200) }, "letters"},
		{SoundQuestion, func(a *Answers) { a.Sound.Name = "../../etc/passwd" }, "no sound"},
		{SoundQuestion, func(a *Answers) { a.Sound.Name = "none.wav" }, "no sound"},
		{RoomQuestion, func(a *Answers) { a.Room.Width = nan }, "wide"},
		{RoomQuestion, func(a *Answers) { a.Room.Depth = 1e9 }, "wide"},
		{RoomQuestion, func(a *Answers) { a.Room.Front = 20 }, "inside the room"},
		{RoomQuestion, func(a *Answers) { a.Room.Walls = "gold\x1b[31m" }, "no material"},
		{PeopleQuestion, func(a *Answers) { a.People.Seats[0].Left = -40 }, "in the room"},
		{PeopleQuestion, func(a *Answers) { a.People.Seats[1].Name = "seats" }, "two called"},
		{PeopleQuestion, func(a *Answers) { a.People.Players[0].X = math.Inf(1) }, "in the room"},
		{PeopleQuestion, func(a *Answers) { a.People.Ways[0].Points = nil }, "points"},
		{PeopleQuestion, func(a *Answers) { a.People.Ways[0].Name = "" }, "name"},
		{UnitsQuestion, func(a *Answers) { a.Units.Groups[0].Type = "laser" }, "no lamp"},
		{UnitsQuestion, func(a *Answers) { a.Units.Groups[0].Type = "../rig" }, "no lamp"},
		{UnitsQuestion, func(a *Answers) { a.Units.Groups[0].Mode = "99 slots" }, "no mode"},
		{UnitsQuestion, func(a *Answers) { a.Units.Groups[0].Count = 100000 }, "lamps"},
		{PlacesQuestion, func(a *Answers) { a.Places.Units[0].Placed, a.Places.Units[0].At[2] = true, 30 }, "in the room"},
		{PlacesQuestion, func(a *Answers) { a.Places.Units[0].Unit = "nobody" }, "no lamp"},
		{GlowQuestion, func(a *Answers) { a.Glow.Things[0].Paint = "brick" }, "no paint that glows"},
		{GlowQuestion, func(a *Answers) { a.Glow.Things[0].Z = 9 }, "in the room"},
		{GlowQuestion, func(a *Answers) { a.Glow.Things[0].Width = -1 }, "wide"},
		{SiteQuestion, func(a *Answers) { a.Site.To = "multicast file /etc/passwd" }, "no way out"},
		{SiteQuestion, func(a *Answers) { a.Site.DeskSlots = 0 }, "slots"},
		{Question(99), func(*Answers) {}, "no question"},
	} {
		var err error
		if int(c.q) < Questions {
			err = answer(t, dir, c.q, c.do)
		} else {
			err = Put(t.Context(), dir, "me", c.q, "", now(t, dir))
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("question %d: %v, want %q", c.q+1, err, c.want)
		}
		for i, name := range files {
			if text(t, dir, name) != before[i] {
				t.Fatalf("question %d wrote %s", c.q+1, name)
			}
		}
	}
}

// A folder is only taken where nothing is that somebody needs.
func TestFolders(t *testing.T) {
	home := t.TempDir()
	g := NewGuide(Options{Home: home})
	defer g.Close()
	if err := os.Mkdir(filepath.Join(home, "letters"), 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(home, "letters"), "a.txt", "x")
	put(t, home, "plain", "x")
	for _, c := range []struct{ in, name, want string }{
		{"", "a/b", "cannot be called"}, {"", "..", "cannot be called"}, {"", `a\b`, "cannot be called"}, {"", "", "cannot be called"}, {"", "x\x00y", "cannot be called"}, {"", strings.Repeat("x", 99), "cannot be called"},
		{"some/where", "a", "no whole path"}, {"", "letters", ErrOther.Error()}, {"", "plain", "no folder that can be read"},
		{"", "owl", ""}, {"", "owl", ErrShow.Error()}, {home + "/deeper", "owl", ""},
	} {
		_, err := g.New(t.Context(), "me", c.in, c.name, What{Title: "x"})
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%q in %q: %v, want %q", c.name, c.in, err, c.want)
		}
	}
	if text(t, home, "letters/a.txt") != "x" || text(t, home, "plain") != "x" {
		t.Error("something was written over")
	}
}

// The list of shows holds those that are still there, and whatever else stands in its file is nothing.
func TestRecents(t *testing.T) {
	list := filepath.Join(t.TempDir(), "kept", "shows.json")
	one, two := owl(t), owl(t)
	for _, dir := range []string{one, two, one} {
		if err := Remember(t.Context(), list, dir); err != nil {
			t.Fatal(err)
		}
	}
	if got := Recents(t.Context(), list); len(got) != 2 || got[0].Dir != one || got[0].Title != "The Owl" {
		t.Errorf("remembered is %+v", got)
	}
	if err := os.RemoveAll(one); err != nil {
		t.Fatal(err)
	}
	if got := Recents(t.Context(), list); len(got) != 1 || got[0].Dir != two {
		t.Errorf("remembered is %+v", got)
	}
	for _, hostile := range []string{"", "null", "[", `[{"dir":"../x"}]`, `{"dir":1}`, strings.Repeat("[", 1<<21)} {
		put(t, filepath.Dir(list), "shows.json", hostile)
		if got := Recents(t.Context(), list); len(got) != 0 {
			t.Errorf("%.20q is %+v", hostile, got)
		}
	}
}

// wave is a second of sound.
func wave(t testing.TB) []byte {
	t.Helper()
	var b strings.Builder
	samples := make([]float32, 48000)
	for i := range samples {
		samples[i] = float32(math.Sin(float64(i) / 20))
	}
	if err := soundfile.WriteWAV(&b, 48000, 1, 16, samples); err != nil {
		t.Fatal(err)
	}
	return []byte(b.String())
}

// A sound comes in pieces, whole or not at all; what is none leaves nothing.
func TestSoundComes(t *testing.T) {
	dir := owl(t)
	g := NewGuide(Options{})
	defer g.Close()
	data := wave(t)
	send := func(name string, data []byte, pieces ...int) error {
		at := 0
		for _, n := range append(pieces, len(data)) {
			end := min(at+n, len(data))
			if err := g.Sound(t.Context(), dir, "me", name, int64(len(data)), int64(at), data[at:end]); err != nil {
				return err
			}
			if at = end; at == len(data) {
				break
			}
		}
		return nil
	}
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"letter.wav", []byte("Dear Ada, this is no sound at all."), "no sound"}, {"empty.wav", nil, "empty"}, {"../owl.wav", data, "cannot be called"}, {".wav", data, "cannot be called"},
	} {
		if err := send(c.name, c.data); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if err := g.Sound(t.Context(), dir, "me", "big.wav", MostSound+1, 0, data[:10]); err == nil {
		t.Error("a sound of any size is taken")
	}
	if err := g.Sound(t.Context(), dir, "me", "owl.wav", int64(len(data)), 7, data[7:]); err == nil {
		t.Error("a sound without its beginning is taken")
	}
	if err := send("owl.wav", data, 1000, 30000); err != nil {
		t.Fatal(err)
	}
	if err := send("owl.wav", data); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".lampblack") {
			names = append(names, e.Name())
		}
	}
	if want := []string{"owl-2.wav", "owl.wav", show.BillFile}; !slices.Equal(names, want) {
		t.Errorf("there are %q, want %q", names, want)
	}
	if got := now(t, dir).Sound.Name; got != "owl-2.wav" || text(t, dir, "owl.wav") != string(data) {
		t.Errorf("the sound is %q", got)
	}
	for end := time.Now().Add(time.Minute); ; time.Sleep(5 * time.Millisecond) {
		w := g.Works(dir)
		if i := slices.IndexFunc(w, func(w Work) bool { return w.Kind == Listening && w.Done && w.Said != "" }); i >= 0 {
			break
		}
		if time.Now().After(end) {
			t.Fatalf("it is not listened to: %+v", w)
		}
	}
}

// A sound whose browser went away is not in the folder, and keeps no other from coming.
func TestSoundBreaksOff(t *testing.T) {
	dir := owl(t)
	g := NewGuide(Options{})
	data := wave(t)
	if err := g.Sound(t.Context(), dir, "me", "a.wav", int64(len(data)), 0, data[:100]); err != nil {
		t.Fatal(err)
	}
	if err := g.Sound(t.Context(), dir, "me", "b.wav", int64(len(data)), 0, data); err != nil {
		t.Fatal(err)
	}
	if err := g.Sound(t.Context(), dir, "me", "c.wav", int64(len(data)), 0, data[:100]); err != nil {
		t.Fatal(err)
	}
	g.Close()
	left, _ := filepath.Glob(filepath.Join(dir, ".*wav*"))
	more, _ := filepath.Glob(filepath.Join(dir, "[ac].wav"))
	if len(left)+len(more) > 0 {
		t.Errorf("left are %q, %q", left, more)
	}
}

// A table of a manual becomes a lamp that can be picked; what is none is told.
func TestTables(t *testing.T) {
	dir := owl(t)
	const table = "CH1 dimmer 0-255\nCH2 red\nCH3 green\nCH4 blue\nCH5 strobe 0-9 off, 10-255 slow to fast\n"
	read, err := ReadTable(table)
	if err != nil || len(read.Modes) != 1 || len(read.Modes[0].Slots) != 5 || read.Modes[0].Slots[1].Does != "red" || len(read.Doubts) == 0 {
		t.Fatalf("%+v, %v", read, err)
	}
	for _, none := range []string{"", "Dear Ada", strings.Repeat("x", MostTable+1), "\x00\xff\xfe"} {
		if _, err := ReadTable(none); err == nil {
			t.Errorf("%.10q is a table", none)
		}
	}
	for _, name := range []string{"a/b", "..", "", ".x"} {
		if err := KeepTable(t.Context(), dir, "me", name, table); err == nil {
			t.Errorf("a lamp is called %q", name)
		}
	}
	if err := KeepTable(t.Context(), dir, "me", "hall lamp", table); err != nil {
		t.Fatal(err)
	}
	if err := KeepTable(t.Context(), dir, "me", "hall lamp", table); err == nil {
		t.Error("a lamp is written over")
	}
	f, err := folder.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if k := Kinds(f); k[0].Name != "hall lamp" || !k[0].Own || len(k) != len(rig.Generic())+1 {
		t.Errorf("the first of %d kinds is %+v", len(k), k[0])
	}
	answered(t, dir, UnitsQuestion, func(a *Answers) { a.Units.Groups = []Group{{Type: "hall lamp", Count: 2}} })
	if g := now(t, dir).Units.Groups; g[0].Slots != "1, 6" {
		t.Errorf("they listen to %s", g[0].Slots)
	}
}

// Places are proposed for what has none, and what was dragged stays.
func TestProposal(t *testing.T) {
	dir := owl(t)
	furnished(t, dir)
	answered(t, dir, PlacesQuestion, func(a *Answers) {
		a.Places.Units[0].Placed, a.Places.Units[0].At = true, [3]float64{-2, -1, 2.5}
	})
	var last float64
	p, err := Propose(t.Context(), dir, "me", 2*time.Minute, "", func(done float64) { last = done })
	if err != nil || p.Placed == 0 || last == 0 {
		t.Fatal(p, err, last)
	}
	a := now(t, dir)
	for i, u := range a.Places.Units {
		if !u.Placed || u.Guessed != (i > 0) {
			t.Errorf("%+v", u)
		}
	}
	if a.Places.Units[0].At != [3]float64{-2, -1, 2.5} {
		t.Errorf("what was dragged is at %v", a.Places.Units[0].At)
	}
	if _, err := Propose(t.Context(), owl(t), "me", time.Second, "", nil); !errors.Is(err, ErrNothing) {
		t.Errorf("of nothing: %v", err)
	}
}

// An evening stands around the piece where there is a sound, and is made of its looks where there is
// none; once a person has changed it, it is theirs.
func TestEvening(t *testing.T) {
	dir := owl(t)
	furnished(t, dir)
	answered(t, dir, WhatQuestion, func(a *Answers) { a.What.Evening = true })
	if got := text(t, dir, show.OrderFile); strings.Contains(got, "piece:") || !strings.Contains(got, "standing: owl glows") || len(now(t, dir).Faults) > 0 {
		t.Errorf("without a sound it is\n%s%q", got, now(t, dir).Faults)
	}
	put(t, dir, "owl.wav", string(wave(t)))
	answered(t, dir, SoundQuestion, func(a *Answers) { a.Sound.Name = "owl.wav" })
	if got := text(t, dir, show.OrderFile); strings.Count(got, "standing:") != 2 || !strings.Contains(got, "piece: the piece") || len(now(t, dir).Faults) > 0 {
		t.Errorf("with a sound it is\n%s%q", got, now(t, dir).Faults)
	}
	changed := strings.Replace(text(t, dir, show.OrderFile), "usually: 15 min, at most: 30 min}"+guessed+orderGuess, "usually: 20 min, at most: 40 min}", 1)
	put(t, dir, show.OrderFile, changed)
	answered(t, dir, SoundQuestion, func(a *Answers) { a.Sound.Name = "" })
	if got := text(t, dir, show.OrderFile); got != changed {
		t.Errorf("a person's order became\n%s", got)
	}
	answered(t, dir, WhatQuestion, func(a *Answers) { a.What.Evening = false })
	if got := text(t, dir, show.OrderFile); got != "" {
		t.Errorf("one piece has the order\n%s", got)
	}
}

// Texts that do not read are told, and not written over.
func TestTextsThatDoNotRead(t *testing.T) {
	dir := owl(t)
	furnished(t, dir)
	const broken = "size: [7 m\nwalls: }{\n"
	put(t, dir, show.RoomFile, broken)
	if a := now(t, dir); len(a.Faults) == 0 {
		t.Error("nothing is said")
	}
	if err := answer(t, dir, RoomQuestion, func(a *Answers) { a.Room.Width = 6 }); err == nil || text(t, dir, show.RoomFile) != broken {
		t.Errorf("%v; it is\n%s", err, text(t, dir, show.RoomFile))
	}
}
