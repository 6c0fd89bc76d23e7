package begin

import (
	"os"
	"path/filepath"
	"testing"
)

func TestTry(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "owl")
	ctx := t.Context()
	if err := New(ctx, dir, "me", What{Title: "The Owl: a play", About: "An owl, and \"children\".\nTwo lines"}); err != nil {
		t.Fatal(err)
	}
	put := func(q Question, do func(*Answers)) {
		a, err := Read(ctx, dir)
		if err != nil {
			t.Fatal(err)
		}
		seen := a.Marks[q]
		do(a)
		if err := Put(ctx, dir, "me", q, seen, a); err != nil {
			t.Fatal(q, err)
		}
	}
	put(RoomQuestion, func(a *Answers) {
		a.Room.Width, a.Room.Depth, a.Room.Height, a.Room.Front, a.Room.Backdrop = 7, 11, 3.4, 7, "black velvet"
	})
	put(PeopleQuestion, func(a *Answers) {
		a.People.Seats = append(a.People.Seats, Seats{"", "seats", Area{-2.5, 2.5, -1.5, -6}, false}, Seats{"", "children", Area{-2, 2, -.8, -1.2}, true})
		a.People.Playing = &Area{-2, 2, .5, 3}
		a.People.Players = append(a.People.Players, Player{"", "player", 0, 2.4})
		a.People.Ways = append(a.People.Ways, Way{"", "way in", [][2]float64{{-3.2, -6}, {-3.2, 1}}, .9})
	})
	put(UnitsQuestion, func(a *Answers) {
		a.Units.Groups = append(a.Units.Groups, Group{Type: "colour par", Count: 4}, Group{Type: "black light flood", Count: 2})
	})
	put(GlowQuestion, func(a *Answers) {
		a.Glow.Things = append(a.Glow.Things, Thing{"", "owl", "fluorescent orange", .6, .4, 0, 2, 1.2}, Thing{"", "moon", "fluorescent yellow", .5, .5, 1, 2.5, 2})
	})
	put(SiteQuestion, func(a *Answers) { a.Site = Site{Out: ByE131, To: "multicast", Desk: true, DeskSlots: 24, Scenes: 48} })
	put(WhatQuestion, func(a *Answers) { a.What.Evening = true })
	os.WriteFile(filepath.Join(dir, "a.wav"), []byte("x"), 0o644)
	put(SoundQuestion, func(a *Answers) { a.Sound.Name = "a.wav" })
	p, err := Propose(ctx, dir, "me", 5e9, "", nil)
	t.Log(p, err)
	put(UnitsQuestion, func(a *Answers) { a.Units.Groups[0].Mode = "7 slots"; a.Units.Groups[1].Count = 3 })
	for _, f := range []string{"show.yaml", "room.yaml", "rig.yaml", "score.yaml", "order.yaml", "desk.yaml"} {
		data, _ := os.ReadFile(filepath.Join(dir, f))
		t.Logf("%s\n%s", f, data)
	}
	a, _ := Read(ctx, dir)
	for _, g := range a.Guesses {
		t.Log(g)
	}
	t.Log(a.Faults, a.Said)
	os.RemoveAll("/tmp/n/try")
	os.CopyFS("/tmp/n/try", os.DirFS(dir))
}
