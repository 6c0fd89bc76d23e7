package begin

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"lampblack/folder"
	"lampblack/ledger"
	"lampblack/play/line"
	"lampblack/room"
	"lampblack/show"
)

const deskFile = "desk.yaml"

// Read reads the answers that the texts of a folder give.
func Read(ctx context.Context, dir string) (*Answers, error) {
	f, err := folder.Open(ctx, dir)
	if err != nil {
		return nil, fmt.Errorf("read the show: %w", err)
	}
	defer f.Close()
	t, err := ledger.Look(ctx, dir)
	if err != nil {
		return nil, fmt.Errorf("read the show: %w", err)
	}
	return read(f, t), nil
}

// read reads the answers out of texts that lie over a folder.
func read(dir fs.FS, t *ledger.Texts) *Answers {
	files, faults := show.Read(&folder.Laid{FS: dir, Texts: t.Changed()})
	p := &pen{t: t}
	a := &Answers{Faults: []string{}, Guesses: append(guesses(t), unsaid(&files)...)}
	a.What = whatOf(p, &files)
	a.Sound.Name = files.Bill.Soundtrack.Name
	a.Room, a.People, a.Glow = roomOf(files.Room), peopleOf(p, files.Room), glowOf(files.Room)
	a.Units, a.Places = unitsOf(&files), placesOf(p, &files)
	a.Site = siteOf(p, &files)
	a.Drafted = files.Score != nil && len(files.Score.Cues) > 1
	a.says(p)
	for _, f := range faults {
		if !f.Mild && !(f.Line == 0 && t.Read(f.File) == nil) { // a text that is still to come is no fault
			a.Faults = append(a.Faults, f.Error())
		}
	}
	return a
}

// says fills in what was answered, and the mark of each answer.
func (a *Answers) says(p *pen) {
	has := func(file string, keys ...string) bool {
		return slices.ContainsFunc(keys, func(key string) bool {
			_, there := p.at(file, key)
			return there && !p.isGuess(file, key)
		})
	}
	placed := slices.ContainsFunc(a.Places.Units, func(u Place) bool { return u.Placed })
	a.Said = []bool{
		has(show.BillFile, "title"), has(show.BillFile, "soundtrack"), has(show.RoomFile, "size"),
		len(a.People.Seats)+len(a.People.Players)+len(a.People.Ways) > 0 || a.People.Playing != nil,
		len(a.Units.Groups) > 0, placed, len(a.Glow.Things) > 0, has(show.BillFile, "outputs") || a.Site.Desk || a.Site.Timecode,
	}
	p.err = nil // of a text that does not read: it is among the faults
	for _, answer := range []any{a.What, a.Sound, a.Room, a.People, a.Units, a.Places, a.Glow, a.Site} {
		data, err := json.Marshal(answer)
		if err != nil {
			panic("begin: an answer is not written: " + err.Error())
		}
		sum := sha256.Sum256(data)
		a.Marks = append(a.Marks, hex.EncodeToString(sum[:8]))
	}
}

func whatOf(p *pen, f *show.Files) What {
	order, _ := p.at(show.OrderFile, "order")
	w := What{About: f.Bill.About, Place: f.Bill.Place, Evening: len(order.List) > 0}
	if title, there := p.at(show.BillFile, "title"); there {
		w.Title = title.Text
	}
	return w
}

func roomOf(r *room.Room) RoomSize {
	if r == nil {
		r = room.Unsaid()
	}
	out := RoomSize{Width: float64(r.Size[0]), Depth: float64(r.Size[1]), Height: float64(r.Size[2]), Front: float64(r.Front), Walls: r.Walls.Name, Floor: r.Floor.Name, Ceiling: r.Ceiling.Name}
	if s := r.Surfaces.Get(backdrop); s != nil {
		out.Backdrop = s.Material.Name
	}
	return out
}

// Names of things that the questions put into a room.
const (
	backdrop     = "backdrop"
	playingFloor = "playing floor"
)

// seatNames are the eyes of a block of seats, behind its name.
var seatNames = []string{"front left", "front right", "middle", "back left", "back right"}

func peopleOf(p *pen, r *room.Room) People {
	out := People{Seats: []Seats{}, Players: []Player{}, Ways: []Way{}}
	if r == nil {
		return out
	}
	for i := range r.Seats {
		out.seat(&r.Seats[i])
	}
	for i := range r.People {
		e := &r.People[i]
		out.Players = append(out.Players, Player{e.Name, e.Name, float64(e.At[0]), float64(e.At[1])})
	}
	for i := range r.Paths {
		w := Way{ID: r.Paths[i].Name, Name: r.Paths[i].Name, Width: float64(r.Paths[i].Value.Width), Points: [][2]float64{}}
		for _, at := range r.Paths[i].Value.Points {
			w.Points = append(w.Points, [2]float64{float64(at[0]), float64(at[1])})
		}
		out.Ways = append(out.Ways, w)
	}
	if s := r.Surfaces.Get(playingFloor); s != nil {
		x, y, w, h := float64(s.Centre[0]), float64(s.Centre[1]), float64(s.Width)/2, float64(s.Height)/2
		out.Playing = &Area{centimetres(x - w), centimetres(x + w), centimetres(y - h), centimetres(y + h)}
	}
	return out
}

// seat takes an eye of the audience into its block, or makes a block of it alone.
func (p *People) seat(e *room.Eye) {
	x, y := float64(e.At[0]), float64(e.At[1])
	name := blockOf(e.Name)
	if i := slices.IndexFunc(p.Seats, func(s Seats) bool { return s.Name == name }); i >= 0 && name != e.Name {
		s := &p.Seats[i]
		s.Left, s.Right, s.Near, s.Far = min(s.Left, x), max(s.Right, x), max(s.Near, y), min(s.Far, y)
		return
	}
	p.Seats = append(p.Seats, Seats{name, name, Area{x, x, y, y}, e.Child})
}

// blockOf is the name of the block that an eye is of; its own where it is of none.
func blockOf(eye string) string {
	if at := strings.LastIndex(eye, ", "); at > 0 && slices.Contains(seatNames, eye[at+2:]) {
		return eye[:at]
	}
	return eye
}

func glowOf(r *room.Room) Glow {
	out := Glow{Things: []Thing{}}
	if r == nil {
		return out
	}
	for i := range r.Objects {
		o := &r.Objects[i].Value
		out.Things = append(out.Things, Thing{r.Objects[i].Name, r.Objects[i].Name, o.Paint.Name, float64(o.Width), float64(o.Height), float64(o.Centre[0]), float64(o.Centre[1]), float64(o.Centre[2])})
	}
	return out
}

func siteOf(p *pen, f *show.Files) Site {
	s := Site{Timecode: f.Bill.Timecode != show.Timecode{}}
	if len(f.Bill.Outputs) > 0 {
		s.Out, s.To = AsItIsThere, f.Bill.Outputs[0].Spec()
		o, err := line.ParseOut(f.Bill.Outputs[0].To)
		if err == nil && slices.Contains([]string{ByE131, ByArtNet, BySerial, ByWidget}, o.Kind) && len(f.Bill.Outputs) == 1 && f.Bill.Outputs[0].Spec() == o.Kind+" "+o.Place {
			s.Out, s.To = o.Kind, o.Place
		}
	}
	desk, there := p.at(deskFile, "slots")
	if s.Desk = there; there {
		scenes, _ := p.at(deskFile, "scenes")
		s.DeskSlots, _ = strconv.Atoi(desk.Text)
		s.Scenes, _ = strconv.Atoi(scenes.Text)
	}
	return s
}
