package room_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"lampblack/room"
)

// A bilinear mean of four places is exact for what changes evenly, and places
// themselves do: between the outer middles the mean of where the four lie is the
// point that was asked for, beyond them it is as near as the middles go.
func TestBetween(t *testing.T) {
	r, rg := theHall(t), bars(t, 1)
	tr := solve(t, r, rg, room.Fineness{Patches: 600, Elements: 100})
	rng := rand.New(rand.NewPCG(5, 2))
	checked := 0
	for range 3000 {
		l := room.Look{Panel: rng.IntN(len(tr.Panels)), X: rng.Float64(), Y: rng.Float64()}
		p := &tr.Panels[l.Panel]
		covered := false
		for i := range p.Cols * p.Rows {
			covered = covered || tr.Places[p.First+i].Area == 0
		}
		if covered {
			continue
		}
		checked++
		places, weights := tr.Between(l)
		inside := func(share float64, n int) float64 {
			return min(max(share, .5/float64(n)), 1-.5/float64(n))
		}
		x, y := inside(l.X, p.Cols)*p.Width, inside(l.Y, p.Rows)*p.Height
		for k := range 3 {
			mean, want := 0.0, float64(p.Corner[k])+x*float64(p.U[k])+y*float64(p.V[k])
			for i, place := range places {
				mean += weights[i] * float64(tr.Places[place].At[k])
			}
			if math.Abs(mean-want) > 1e-9 {
				t.Fatalf("panel %s, %d by %d places, at %v, %v: the mean place is off by %v", p.Name, p.Cols, p.Rows, l.X, l.Y, mean-want)
			}
		}
	}
	if checked < 1000 {
		t.Errorf("only %d were checked", checked)
	}
}

// A ray to any place of a panel that nothing hides meets it there, as far away as
// it is; and what it meets is never farther than that place.
func TestTrace(t *testing.T) {
	r, rg := theHall(t), bars(t, 1)
	tr := solve(t, r, rg, room.Fineness{Patches: 600, Elements: 100})
	eye := tr.Places[tr.Eyes[0]].At
	met := 0
	for i := range tr.Places {
		p := &tr.Places[i]
		if p.Panel < 0 || p.Area == 0 {
			continue
		}
		var d room.Point
		far, front := 0.0, 0.0
		for k := range d {
			d[k] = p.At[k] - eye[k]
			far += float64(d[k] * d[k])
			front -= float64(d[k] * p.Normal[k])
		}
		far = math.Sqrt(far)
		if front <= 0 {
			continue
		}
		l, ok := tr.Trace(eye, d)
		if !ok || l.Distance > far+1e-9 {
			t.Fatalf("toward %s, %v m away: %+v, %v", p.Name, far, l, ok)
		}
		if l.Distance < far-1e-6 {
			continue // something is before it
		}
		met++
		panel := &tr.Panels[l.Panel]
		for k := range d {
			at := float64(panel.Corner[k]) + l.X*panel.Width*float64(panel.U[k]) + l.Y*panel.Height*float64(panel.V[k])
			if math.Abs(at-float64(p.At[k])) > 1e-6 {
				t.Fatalf("toward %s: it meets %s elsewhere", p.Name, panel.Name)
			}
		}
	}
	if met < 200 {
		t.Errorf("only %d places were met", met)
	}
	if l, ok := tr.Trace(room.Point{99, 0, 1}, room.Point{1, 0, 0}); ok {
		t.Errorf("outside the room a ray meets %+v", l)
	}
}
