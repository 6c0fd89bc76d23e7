package page

import (
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"lampblack/check/checktest"
	"lampblack/demo"
	"lampblack/plate"
	"lampblack/plate/drawing"
	"lampblack/room"
	"lampblack/show"
	"lampblack/soundtrack"
)

// theFish is the example show, solved.
var theFish = sync.OnceValues(func() (*show.Show, error) {
	dir, err := os.MkdirTemp("", "lampblack-fish")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	if err := demo.Fish.Write(ctx, dir, nil); err != nil {
		return nil, err
	}
	f, faults := show.Read(os.DirFS(dir))
	if err := faults.Err(); err != nil {
		return nil, err
	}
	track, err := soundtrack.Listen(ctx, filepath.Join(dir, f.Bill.Soundtrack.Name), "", soundtrack.Options{})
	if err != nil {
		return nil, err
	}
	s, faults := show.New(ctx, f, track)
	return s, faults.Err()
})

// processor runs a benchmark and tells the processor time of one turn, which other work on the
// machine does not change much.
func processor(b *testing.B, name string, turn func()) {
	b.Run(name, func(b *testing.B) {
		before := checktest.Spent()
		for b.Loop() {
			turn()
		}
		b.ReportMetric(float64((checktest.Spent()-before).Microseconds())/1000/float64(b.N), "cpu-ms/op")
	})
}

// The steps of a picture at 1280 x 720.
func BenchmarkSight(b *testing.B) {
	s, err := theFish()
	if err != nil {
		b.Fatal(err)
	}
	at := 69 * time.Second
	v := View(s, at, s.Room.MiddleSeat(), false)
	ctx := context.Background()
	processor(b, "ready", func() {
		if _, err := plate.NewSight(ctx, s.Transport, &v.Camera, 1280, 720, nil, nil); err != nil {
			b.Fatal(err)
		}
	})
	sight, err := plate.NewSight(ctx, s.Transport, &v.Camera, 1280, 720, nil, nil)
	if err != nil {
		b.Fatal(err)
	}
	points, rays := sight.Size()
	b.Logf("%d points, %d rays", points, rays)
	var scene *plate.Scene
	processor(b, "light", func() { scene = sight.Light(scene, room.All, &v.Instant) })
	var way []plate.Instant // from pose to pose
	for i := range 50 {
		way = append(way, Instant(s, at+time.Duration(i)*40*time.Millisecond))
	}
	i := 0
	processor(b, "light on the way", func() {
		scene = sight.Light(scene, room.All, &way[i%len(way)])
		i++
	})
	img, _ := scene.Show(nil, plate.AsEye)
	processor(b, "paint", func() { img, _ = scene.Show(img, plate.AsEye) })
}

// The six pictures of one instant, as lampblack picture draws them, with the paper's fineness.
func BenchmarkSix(b *testing.B) {
	s, err := theFish()
	if err != nil {
		b.Fatal(err)
	}
	ctx, at := context.Background(), 69*time.Second
	for _, one := range []struct {
		name string
		draw func() (*drawing.Drawing, error)
	}{
		{"seen", func() (*drawing.Drawing, error) { return View(s, at, s.Room.MiddleSeat(), false).Draw(ctx) }},
		{"glow", func() (*drawing.Drawing, error) { return View(s, at, s.Room.MiddleSeat(), true).Draw(ctx) }},
		{"lux", func() (*drawing.Drawing, error) { return Plan(s, at, 1, false).Draw(ctx) }},
		{"uv-a", func() (*drawing.Drawing, error) { return Plan(s, at, 1, true).Draw(ctx) }},
		{"plan", func() (*drawing.Drawing, error) { return Plot(s).Draw() }},
		{"gamut", func() (*drawing.Drawing, error) { return Gamuts(s, 1).Draw() }},
	} {
		processor(b, one.name, func() {
			d, err := one.draw()
			if err != nil {
				b.Fatal(err)
			}
			for _, form := range []string{"a.svg", "a.png"} {
				if _, err := d.File(form); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
